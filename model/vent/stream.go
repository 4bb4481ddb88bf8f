package vent

import (
	"fmt"
	"math"

	"fluedrift/model/combustion"
)

const (
	gasConstant   = 8.314462618 // J/(mol K), SI 2019
	kelvinZeroC   = 273.15
	airMolarMassG = 28.9644 // dry air, US Standard Atmosphere 1976
	gravity       = 9.80665 // m/s2, standard
)

// Firing is a burner at work.
type Firing struct {
	Gas                 combustion.Gas
	Air                 combustion.AirO2
	InputKW             float64 // gross heat put in at this fire
	CO2Percent          float64 // dry
	FlueTempC, AirTempC float64 // mean along the run
	PressurePa          float64 // ambient, see PressurePa
}

// Stream is gas in steady flow.
type Stream struct{ MassKgS, TempC, PressurePa, MolarMassG float64 }

// Streams returns the flow of flue gas and of combustion air. Water that
// saturation leaves no room for is taken to have left the flue gas before the
// run. An error for a gas that does not burn, and where CO2 does not lie
// between 0 and the gas's CO2max.
func (f Firing) Streams() (flue, air Stream, err error) {
	s, err := f.Gas.Burn(f.Air)
	if err != nil {
		return flue, air, err
	}
	h, err := f.Gas.Heating()
	if err != nil {
		return flue, air, err
	}
	lambda := s.LambdaFromCO2(f.CO2Percent)
	if math.IsNaN(lambda) {
		return flue, air, fmt.Errorf("CO2 %g %% is outside 0 to %.2f %%, what %s can give", f.CO2Percent, s.CO2MaxPercent(), f.Gas.Name)
	}
	g := s.FlueGasAt(lambda)
	molS := f.InputKW / h.GrossKJPerMol
	left := g.CondensedPart(f.FlueTempC, f.PressurePa)
	massG := g.MassG() - left*g.WaterMassG()
	flue = Stream{molS * massG / 1000, f.FlueTempC, f.PressurePa, massG / (g.WetMol - left*g.H2OMol)}
	air = Stream{molS * g.AirMassG / 1000, f.AirTempC, f.PressurePa, airMolarMassG}
	return flue, air, nil
}

// density returns the density of a gas in kg/m3: p M/(R T).
func density(pressurePa, tempC, molarMassG float64) float64 {
	return pressurePa * molarMassG / 1000 / (gasConstant * (tempC + kelvinZeroC))
}

// densityKgM3 returns the stream's density.
func (s Stream) densityKgM3() float64 { return density(s.PressurePa, s.TempC, s.MolarMassG) }

// velocityMS returns the mean velocity in a round pipe.
func (s Stream) velocityMS(diameterM float64) float64 {
	return s.MassKgS / (s.densityKgM3() * math.Pi / 4 * diameterM * diameterM)
}

// reynolds returns the Reynolds number in a round pipe: 4 m/(pi D mu). The
// viscosity is air's; wet flue gas differs by a few percent.
func (s Stream) reynolds(diameterM float64) float64 {
	return 4 * s.MassKgS / (math.Pi * diameterM * airViscosity(s.TempC))
}

// airViscosity returns the dynamic viscosity of air in Pa s by Sutherland's
// form with the constants of the US Standard Atmosphere 1976:
// 1.458e-6 T^1.5/(T + 110.4).
func airViscosity(tempC float64) float64 {
	t := tempC + kelvinZeroC
	return 1.458e-6 * math.Pow(t, 1.5) / (t + 110.4)
}

package combustion

import "math"

// What the tests compare with published figures, and no other package calls.
var (
	Blend                = blend
	Biogas               = biogas
	PropaneButane        = propaneButane
	Fo                   = fo
	SaturationPressurePa = saturationPressurePa
	SaturationTempC      = saturationTempC
)

// WetMolarMassG returns the mass of a mol of flue gas with all its water as
// vapour.
func (f FlueGas) WetMolarMassG() float64 { return f.MassG() / f.WetMol }

// DryMolarMassG returns the mass of a mol of dry flue gas.
func (f FlueGas) DryMolarMassG() float64 { return (f.MassG() - f.WaterMassG()) / f.DryMol }

// PerInput is flue gas and air for each MJ of gross heat put in by the fuel; by
// GrossPerNet times as much for each MJ of net heat.
type PerInput struct {
	FlueKg, AirKg    float64
	DryFlueM3, AirM3 float64 // at the reference temperature, 101.325 kPa
	WetFlueM3        float64 // the same, water as vapour
	ReferenceTempC   float64
}

// PerGrossMJ returns flue gas and air per MJ of gross input; volumes are of
// ideal gas at the reference temperature and 101.325 kPa.
func (f FlueGas) PerGrossMJ(h Heating, referenceTempC float64) PerInput {
	litre := molarVolumeL(referenceTempC)
	air := f.AirMassG / dryAirMassG
	return PerInput{
		FlueKg: f.MassG() / h.GrossKJPerMol, AirKg: f.AirMassG / h.GrossKJPerMol,
		DryFlueM3: f.DryMol * litre / h.GrossKJPerMol, WetFlueM3: f.WetMol * litre / h.GrossKJPerMol,
		AirM3: air * litre / h.GrossKJPerMol, ReferenceTempC: referenceTempC,
	}
}

// FoRounding returns by how much the rounding of a pair can move its Fo:
// (O2Half + Fo CO2Half)/CO2.
func (p Pair) FoRounding(air AirO2) float64 {
	return (p.O2Half + fo(p.CO2Percent, p.O2Percent, air)*p.CO2Half) / p.CO2Percent
}

// Sensitivity returns d ln CO2 / d ln lambda at a lambda: by how many percent
// CO2 falls when lambda rises by one. NaN below lambda 1.
func (s Stoichiometry) Sensitivity(lambda float64) float64 {
	if !(lambda >= 1) {
		return math.NaN()
	}
	return -lambda * s.AirMol / (s.DryMol + (lambda-1)*s.AirMol)
}

// Fo returns air/CO2max, the Fo of every complete combustion of this gas;
// +Inf for a fuel without carbon.
func (s Stoichiometry) Fo() float64 { return float64(s.Air) / s.CO2MaxPercent() }

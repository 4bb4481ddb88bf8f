package vent_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/reference"
	"fluedrift/model/combustion"
	"fluedrift/model/vent"
)

// firing returns the burner a figure describes; air at 20 degC.
func firing(f reference.Figure) vent.Firing {
	gas := map[string]combustion.Gas{"methane": combustion.Methane, "propane": combustion.Propane}[f.Inputs["gas"]]
	return vent.Firing{
		Gas: gas, Air: combustion.AirO2(f.Number("air")), InputKW: f.Number("kw"), CO2Percent: f.Number("co2"),
		FlueTempC: f.Number("flue"), AirTempC: 20, PressurePa: f.Number("pressure"),
	}
}

// flue returns the flue gas of the burner a figure describes.
func flue(t *testing.T, f reference.Figure) vent.Stream {
	s, _, err := firing(f).Streams()
	require.NoError(t, err, f.ID)
	return s
}

// fourGases returns the molar mass of that flue gas as made of CO2, water, O2
// and nitrogen only, without the argon of the air.
func fourGases(t *testing.T, f reference.Figure) float64 {
	b := firing(f)
	s, err := b.Gas.Burn(b.Air)
	require.NoError(t, err)
	g := s.FlueGasAt(s.LambdaFromCO2(b.CO2Percent))
	return (44.0095*g.CO2Mol + 18.0153*g.H2OMol + 31.9988*g.O2Mol + 28.0134*g.N2Mol) / g.WetMol
}

// lossOfK returns the pressure loss of a run with a given sum of loss
// coefficients: that of friction, and K velocity pressures.
func lossOfK(t *testing.T, f reference.Figure) float64 {
	s, d := flue(t, f), f.Number("diameter")
	run := vent.Run{Terminal: "plain", Sections: []vent.Section{{DiameterM: d, LengthM: f.Number("length")}}}
	l := run.VentLoss(s)
	require.Equal(t, l.FittingsPa.Low, l.FittingsPa.High, "a plain end is 1 velocity pressure")
	return l.FrictionPa + f.Number("k")*l.FittingsPa.Low
}

func friction(of func(re, relative float64) float64) func(reference.Figure) float64 {
	return func(f reference.Figure) float64 { return of(f.Number("re"), f.Number("rough")) }
}

// Every published figure on vents, at the tolerance its row states.
func TestPublishedFigures(t *testing.T) {
	perMJ := func(f reference.Figure) float64 {
		b := firing(f)
		b.InputKW, b.FlueTempC, b.PressurePa = 1000, 100, 101325 // 1 MJ/s, nothing condensed
		s, _, err := b.Streams()
		require.NoError(t, err)
		return s.MassKgS
	}
	reference.Assert(t, "vent", map[string]func(reference.Figure) float64{
		"colebrook-white": friction(vent.ColebrookWhite),
		"haaland":         friction(vent.Haaland),
		"swamee-jain":     friction(vent.SwameeJain),
		"churchill":       friction(vent.Churchill),
		"laminar":         func(f reference.Figure) float64 { return vent.Laminar(f.Number("re")) },
		"fitting":         func(f reference.Figure) float64 { return vent.PublishedK(f.Inputs["name"]) },
		"bend": func(f reference.Figure) float64 {
			return vent.BendK(vent.ColebrookWhite(f.Number("re"), 0), f.Number("angle"), f.Number("radius")/f.Number("diameter"))
		},
		"equivalent length of k": func(f reference.Figure) float64 {
			return vent.EquivalentLength(f.Number("k"), f.Number("diameter"), f.Number("f"))
		},
		"pressure of altitude":                      func(f reference.Figure) float64 { return vent.PressurePa(f.Number("altitude")) },
		"pressure of altitude by the short formula": func(f reference.Figure) float64 { return vent.ShortPressurePa(f.Number("altitude")) },
		"air density of altitude":                   func(f reference.Figure) float64 { return vent.AirDensity(f.Number("altitude")) },
		"viscosity of air":                          func(f reference.Figure) float64 { return vent.AirViscosity(f.Number("kelvin") - 273.15) },
		"handbook draft": func(f reference.Figure) float64 {
			return vent.HandbookDraftInWC(f.Number("barometer-inhg"), f.Number("height-ft"), f.Number("outdoor-r"), f.Number("mean-r"))
		},
		"draft by densities": func(f reference.Figure) float64 {
			return vent.DraftOfAir(f.Number("height"), f.Number("density"), f.Number("outdoor-k")-273.15, f.Number("mean-k")-273.15)
		},
		"draft coefficient": func(reference.Figure) float64 { return vent.DraftCoefficient() },
		"draft": func(f reference.Figure) float64 {
			s := vent.Stream{TempC: f.Number("flue"), PressurePa: f.Number("pressure"), MolarMassG: f.Number("molar-mass")}
			return vent.Draft(f.Number("height"), f.Number("outdoor"), s)
		},
		"handbook flue mass": func(f reference.Figure) float64 {
			return vent.HandbookFluePerGrossKg(f.Inputs["fuel"], f.Number("co2"))
		},
		"flue mass":        perMJ,
		"mass flow of run": func(f reference.Figure) float64 { return flue(t, f).MassKgS },
		"density of four gases": func(f reference.Figure) float64 {
			return vent.Density(f.Number("pressure"), f.Number("flue"), fourGases(t, f))
		},
		"velocity of run":        func(f reference.Figure) float64 { return flue(t, f).VelocityMS(f.Number("diameter")) },
		"reynolds number of run": func(f reference.Figure) float64 { return flue(t, f).Reynolds(f.Number("diameter")) },
		"colebrook-white friction of run": func(f reference.Figure) float64 {
			return vent.ColebrookWhite(flue(t, f).Reynolds(f.Number("diameter")), 0)
		},
		"pressure loss of run": func(f reference.Figure) float64 { return lossOfK(t, f) },
	})
}

// The handbook's draft of air and ours agree within what its rounded
// coefficient leaves open.
func TestDraftAgreesWithTheHandbook(t *testing.T) {
	const inHgPa, inWCPa = 3386.389, 249.0889 // NIST SP 811
	outdoorC, meanC := 530/1.8-273.15, 710/1.8-273.15
	hot := vent.Stream{TempC: meanC, PressurePa: 29.92 * inHgPa, MolarMassG: 28.9644}
	ours := vent.Draft(25*0.3048, outdoorC, hot) / inWCPa
	require.InEpsilon(t, vent.HandbookDraftInWC(29.92, 25, 530, 710), ours, 0.003)
	density := vent.Density(hot.PressurePa, outdoorC, 28.9644)
	require.InEpsilon(t, vent.DraftOfAir(25*0.3048, density, outdoorC, meanC)/inWCPa, ours, 1e-9)
	require.InEpsilon(t, vent.DraftCoefficient()*hot.PressurePa*25*0.3048*(1.8/530-1.8/710)/inWCPa, ours, 3e-5,
		"the two gas constants differ by 1.7e-5")
}

// Churchill's one formula against the turbulent equation, over all Reynolds
// numbers and walls a vent can have, and against 64/Re below.
func TestChurchillAgainstColebrookWhite(t *testing.T) {
	worst := 0.0
	for re := 4000.0; re < 1e8; re *= 1.1 {
		for _, rough := range []float64{0, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 5e-2} {
			worst = math.Max(worst, math.Abs(vent.Churchill(re, rough)/vent.ColebrookWhite(re, rough)-1))
		}
	}
	require.Less(t, worst, 0.031)
	for re := 1.0; re < 2000; re *= 1.3 {
		require.InEpsilon(t, vent.Laminar(re), vent.Churchill(re, 1e-4), 0.005)
	}
	before := vent.Churchill(1000, 1e-4) // no jump anywhere between
	for re := 1000.0; re < 1e5; re *= 1.001 {
		f := vent.Churchill(re, 1e-4)
		require.InEpsilon(t, before, f, 0.01, "at Re %v", re)
		before = f
	}
}

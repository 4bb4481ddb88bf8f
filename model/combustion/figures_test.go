package combustion_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/reference"
	"fluedrift/model/combustion"
)

// gases by the name the figures use.
var gases = map[string]combustion.Gas{
	"methane": combustion.Methane, "ethane": combustion.Ethane, "propane": combustion.Propane,
	"butane": combustion.Butane, "pipeline gas": combustion.PipelineGas,
	"hydrogen": {Name: "hydrogen", Parts: []combustion.Part{{Species: "hydrogen", Percent: 100}}},
	"eight components": {Name: "eight components", Parts: []combustion.Part{ // of the transcription's test, see heating.csv
		{Species: "methane", Percent: 92.47},
		{Species: "ethane", Percent: 3.50},
		{Species: "propane", Percent: 0.98},
		{Species: "butane", Percent: 0.22},
		{Species: "isobutane", Percent: 0.34},
		{Species: "pentane", Percent: 0.06},
		{Species: "nitrogen", Percent: 1.75},
		{Species: "carbon dioxide", Percent: 0.68},
	}},
	"carbon dioxide": {Name: "carbon dioxide", Parts: []combustion.Part{{Species: "carbon dioxide", Percent: 100}}},
}

func airOf(f reference.Figure) combustion.AirO2 { return combustion.AirO2(f.Number("air")) }

// burn returns the stoichiometry of the gas a figure names, blended where the
// figure says so.
func burn(t *testing.T, f reference.Figure) combustion.Stoichiometry {
	gas, ok := gases[f.Inputs["gas"]]
	require.True(t, ok, f.ID)
	if other := f.Inputs["blend"]; other != "" {
		var err error
		gas, err = combustion.Blend("blend", gas, gases[other], f.Number("share"))
		require.NoError(t, err, f.ID)
	}
	s, err := gas.Burn(airOf(f))
	require.NoError(t, err, f.ID)
	return s
}

// heat returns the heating values of the gas a figure names.
func heat(t *testing.T, f reference.Figure) combustion.Heating {
	h, err := gases[f.Inputs["gas"]].Heating()
	require.NoError(t, err, f.ID)
	return h
}

// lambdaOf returns the lambda of a figure's CO2.
func lambdaOf(t *testing.T, f reference.Figure) float64 {
	return burn(t, f).LambdaFromCO2(f.Number("co2"))
}

// fuelOf returns the fuel of a figure's CO2max.
func fuelOf(f reference.Figure) combustion.Fuel {
	return combustion.Fuel{CO2MaxPercent: f.Number("co2max"), Air: airOf(f)}
}

// What 40 CFR tables are printed in: MMBtu and standard cubic feet.
const mjPerMMBtu = 1055.05585262

var m3PerCubicFoot = math.Pow(0.3048, 3)

type compute = map[string]func(reference.Figure) float64

func TestFiguresOnCombustion(t *testing.T) {
	factors := func(f reference.Figure) combustion.FFactor { return combustion.RegulatoryFFactor(f.Inputs["fuel"]) }
	atoms := func(f reference.Figure) combustion.FFactor { return combustion.FFactorOf(burn(t, f), heat(t, f)) }
	expected := func(f reference.Figure, sign float64) float64 { // the end of a range, where the fuel's own Fo lies on its side
		gas := map[string]combustion.Gas{
			"natural gas": combustion.PipelineGas, "propane": combustion.Propane,
			"butane": combustion.Butane,
		}[f.Inputs["fuel"]]
		s, err := gas.Burn(combustion.AirO2Field)
		require.NoError(t, err, f.ID)
		if sign*(s.Fo()-f.Expected) > 0 {
			return f.Expected
		}
		return s.Fo()
	}
	reference.Assert(t, "combustion", compute{
		"air need":        func(f reference.Figure) float64 { return burn(t, f).AirMol },
		"dry flue gas":    func(f reference.Figure) float64 { return burn(t, f).DryMol },
		"wet flue gas":    func(f reference.Figure) float64 { return burn(t, f).WetMol },
		"co2max":          func(f reference.Figure) float64 { return burn(t, f).CO2MaxPercent() },
		"fo of gas":       func(f reference.Figure) float64 { return burn(t, f).Fo() },
		"lambda from co2": func(f reference.Figure) float64 { return lambdaOf(t, f) },
		"lambda from o2":  func(f reference.Figure) float64 { return burn(t, f).LambdaFromO2(f.Number("o2")) },
		"o2 from co2":     func(f reference.Figure) float64 { return burn(t, f).Fuel("").O2FromCO2(f.Number("co2")) },
		"excess air from o2": func(f reference.Figure) float64 {
			return combustion.ExcessAirPercent(burn(t, f).LambdaFromO2(f.Number("o2")))
		},
		"excess air by analysis": func(f reference.Figure) float64 {
			return combustion.ExcessAir3B(f.Number("o2"), f.Number("co"), f.Number("n2"))
		},
		"n2 to o2": func(f reference.Figure) float64 { // the constant, taken back out of the equation
			o2, n2 := f.Number("air")/2, 100-f.Number("air")
			return (o2 + 100*o2/combustion.ExcessAir3B(o2, 0, n2)) / n2
		},
		"fo of pair": func(f reference.Figure) float64 { return combustion.Fo(f.Number("co2"), f.Number("o2"), airOf(f)) },
		"fo of pair diluted with air": func(f reference.Figure) float64 {
			d := f.Number("dilution") / 100
			return combustion.Fo(f.Number("co2")/(1+d), (f.Number("o2")+d*f.Number("air"))/(1+d), airOf(f))
		},
		"o2 equal to co2": func(f reference.Figure) float64 { return crossing(burn(t, f).Fuel("")) },
		"co at o2": func(f reference.Figure) float64 {
			return combustion.COAtO2(f.Number("co"), f.Number("o2"), f.Number("ref"), airOf(f))
		},
		"co as measured": func(f reference.Figure) float64 {
			return combustion.COAtO2(f.Number("co"), 0, f.Number("o2"), airOf(f))
		},
		"co air-free from co2": func(f reference.Figure) float64 { return fuelOf(f).COAirFreeFromCO2(f.Number("co"), f.Number("co2")) },
		"co over co2":          func(f reference.Figure) float64 { return combustion.CORatio(f.Number("co"), f.Number("co2")) },
		"co mass": func(f reference.Figure) float64 {
			return combustion.COMgPerM3(f.Number("co"), f.Number("temp"), f.Number("pressure"))
		},
		"dry molar mass": func(f reference.Figure) float64 {
			return combustion.DryMolarMass3(f.Number("co2"), f.Number("o2"), f.Number("n2"))
		},
		"default dry molar mass": func(reference.Figure) float64 { return combustion.DefaultDryMolarMassG },
		"expected fo low":        func(f reference.Figure) float64 { return expected(f, 1) },
		"expected fo high":       func(f reference.Figure) float64 { return expected(f, -1) },
		"published fd":           func(f reference.Figure) float64 { return factors(f).DryScf },
		"published fc":           func(f reference.Figure) float64 { return factors(f).CO2Scf },
		"published fw":           func(f reference.Figure) float64 { return factors(f).WetScf },
		"published fd in si":     func(f reference.Figure) float64 { return factors(f).DryM3PerJ() },
		"fo of f factors":        func(f reference.Figure) float64 { return factors(f).Fo() },
		"fd of gas":              func(f reference.Figure) float64 { return atoms(f).DryScf },
		"fc of gas":              func(f reference.Figure) float64 { return atoms(f).CO2Scf },
		"fw of gas":              func(f reference.Figure) float64 { return atoms(f).WetScf },
	})
}

// crossing returns the CO2 that equals the O2 going with it, by bisection: O2
// falls as CO2 rises.
func crossing(fuel combustion.Fuel) float64 {
	lo, hi := 0.0, fuel.CO2MaxPercent
	for range 60 {
		if mid := (lo + hi) / 2; fuel.O2FromCO2(mid) > mid {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func TestFiguresOnHeating(t *testing.T) {
	reference.Assert(t, "heating", compute{
		"gross heat of a mol at 15 degC": func(f reference.Figure) float64 { return heat(t, f).GrossKJPerMol },
		"gross heat of a mol at 60 degF": func(f reference.Figure) float64 { return heat(t, f).GrossKJPerMol60F },
		"net heat of a mol at 15 degC":   func(f reference.Figure) float64 { return heat(t, f).NetKJPerMol },
		"ideal gross heat at 60 degF": func(f reference.Figure) float64 {
			return heat(t, f).IdealGrossMJPerM3At60F * 1e6 / mjPerMMBtu * m3PerCubicFoot
		},
		"gross heat of the real gas":       func(f reference.Figure) float64 { return heat(t, f).GrossMJPerM3 },
		"gross heat of the real gas in kJ": func(f reference.Figure) float64 { return 1000 * heat(t, f).GrossMJPerM3 },
		"relative density":                 func(f reference.Figure) float64 { return heat(t, f).RelativeDensity },
		"wobbe index":                      func(f reference.Figure) float64 { return heat(t, f).WobbeMJPerM3 },
		"wobbe index in kJ":                func(f reference.Figure) float64 { return 1000 * heat(t, f).WobbeMJPerM3 },
		"compression factor":               func(f reference.Figure) float64 { return heat(t, f).Compression },
		"gross over net":                   func(f reference.Figure) float64 { return heat(t, f).GrossPerNet() },
		"co2 of heat":                      func(f reference.Figure) float64 { return heat(t, f).CO2KgPerMJ(burn(t, f)) * mjPerMMBtu },
	})
}

func TestFiguresOnWater(t *testing.T) {
	dew := func(f reference.Figure) float64 {
		return burn(t, f).FlueGasAt(lambdaOf(t, f)).DewPointC(f.Number("pressure"))
	}
	reference.Assert(t, "water", compute{
		"saturation pressure by kelvin": func(f reference.Figure) float64 { return combustion.SaturationPressurePa(f.Number("kelvin") - 273.15) },
		"saturation temperature in kelvin": func(f reference.Figure) float64 {
			return combustion.SaturationTempC(f.Number("pressure")) +
				273.15
		},
		"saturation pressure":                      func(f reference.Figure) float64 { return combustion.SaturationPressurePa(f.Number("temp")) },
		"saturation pressure by the short formula": func(f reference.Figure) float64 { return combustion.MagnusPressurePa(f.Number("temp")) },
		"dew point":         dew,
		"dew point in degF": func(f reference.Figure) float64 { return 1.8*dew(f) + 32 },
	})
}

func TestFiguresOnLosses(t *testing.T) {
	constants := func(f reference.Figure) combustion.FlueConstants {
		k, err := combustion.OrdinanceConstants(f.Inputs["class"])
		require.NoError(t, err, f.ID)
		return k
	}
	reference.Assert(t, "loss", compute{
		"ordinance constant a": func(f reference.Figure) float64 { return constants(f).A },
		"ordinance constant b": func(f reference.Figure) float64 { return constants(f).B },
		"loss by the ordinance": func(f reference.Figure) float64 {
			return constants(f).LossPercent(f.Number("flue"), f.Number("air-temp"), f.Number("o2"))
		},
		"indirect efficiency": func(f reference.Figure) float64 {
			s := burn(t, f)
			const airC = 20 // the table prints the difference only
			l := s.FlueGasAt(s.LambdaFromO2(f.Number("o2"))).IndirectLoss(heat(t, f), airC+f.Number("net")/1.8, airC, 101325)
			return 100 - l.TotalPercent
		},
	})
}

func TestFiguresOnShifts(t *testing.T) {
	after := func(f reference.Figure, factor float64) float64 {
		return burn(t, f).CO2After(f.Number("co2"), factor) - f.Number("co2")
	}
	factorFor := func(f reference.Figure) float64 {
		return burn(t, f).LambdaFromCO2(f.Number("co2")+f.Number("points")) / lambdaOf(t, f)
	}
	colder := func(f reference.Figure, power float64) float64 { // lambda goes with 1/T to a power
		k := f.Number("temp") + 273.15
		return k - k/math.Pow(factorFor(f), power)
	}
	fan := func(f reference.Figure) float64 {
		return combustion.FixedFanByAirTemp(f.Number("before"), f.Number("after"))
	}
	ratio := func(f reference.Figure) float64 {
		return combustion.RatioControlByAirTemp(f.Number("before"), f.Number("after"))
	}
	pressure := func(f reference.Figure) float64 {
		return combustion.FixedFanByPressure(f.Number("before"), f.Number("after"))
	}
	reference.Assert(t, "shift", compute{
		"fixed fan by air temperature":     fan,
		"ratio control by air temperature": ratio,
		"fixed fan by pressure":            pressure,
		"co2 shift, fixed fan":             func(f reference.Figure) float64 { return after(f, fan(f)) },
		"co2 shift, ratio control":         func(f reference.Figure) float64 { return after(f, ratio(f)) },
		"lambda after pressure":            func(f reference.Figure) float64 { return lambdaOf(t, f) * pressure(f) },
		"sensitivity":                      func(f reference.Figure) float64 { return burn(t, f).Sensitivity(lambdaOf(t, f)) },
		"fixed fan by resistance":          func(f reference.Figure) float64 { return combustion.FixedFanByResistance(f.Number("factor")) },
		"ratio control by offset": func(f reference.Figure) float64 {
			return combustion.RatioControlByOffset(f.Number("difference"), f.Number("offset"))
		},
		"lambda by gas": func(f reference.Figure) float64 {
			before, err := gases[f.Inputs["before"]].Burn(airOf(f))
			require.NoError(t, err)
			after, err := gases[f.Inputs["after"]].Burn(airOf(f))
			require.NoError(t, err)
			return combustion.ByGas(before, after)
		},
		"humid air": func(f reference.Figure) float64 {
			return combustion.ByHumidAir(combustion.SaturationPressurePa(f.Number("temp")), f.Number("pressure"))
		},
		"co2 from o2": func(f reference.Figure) float64 { return fuelOf(f).CO2FromO2(f.Number("o2")) },
		"fo of setting": func(f reference.Figure) float64 {
			o2 := f.Number("o2")
			return combustion.Fo(fuelOf(f).CO2FromO2(o2), o2, airOf(f))
		},
		"fo rounding": func(f reference.Figure) float64 {
			p := combustion.Pair{CO2Percent: f.Number("co2"), O2Percent: f.Number("o2"), CO2Half: f.Number("half"), O2Half: f.Number("half")}
			return p.FoRounding(airOf(f))
		},
		"co2 for o2":                    func(f reference.Figure) float64 { return f.Number("o2") * fuelOf(f).CO2PerO2() },
		"lambda for co2 in percent":     func(f reference.Figure) float64 { return 100 * (factorFor(f) - 1) },
		"kelvin for co2, fixed fan":     func(f reference.Figure) float64 { return colder(f, 1) },
		"kelvin for co2, ratio control": func(f reference.Figure) float64 { return colder(f, 2) },
	})
}

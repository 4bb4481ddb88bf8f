package combustion_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/reference"
	"fluedrift/model/combustion"
)

// gases by the name the figures use.
var gases = map[string]combustion.Gas{
	"methane": combustion.Methane, "ethane": combustion.Ethane, "propane": combustion.Propane,
	"butane": combustion.Butane, "pipeline gas": combustion.PipelineGas,
	"hydrogen":       {Name: "hydrogen", Parts: []combustion.Part{{Species: "hydrogen", Percent: 100}}},
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

// computed maps a figure's quantity to what the package makes of its inputs.
var computed = map[string]func(*testing.T, reference.Figure) float64{
	"air need":        func(t *testing.T, f reference.Figure) float64 { return burn(t, f).AirMol },
	"dry flue gas":    func(t *testing.T, f reference.Figure) float64 { return burn(t, f).DryMol },
	"wet flue gas":    func(t *testing.T, f reference.Figure) float64 { return burn(t, f).WetMol },
	"co2max":          func(t *testing.T, f reference.Figure) float64 { return burn(t, f).CO2MaxPercent() },
	"fo of gas":       func(t *testing.T, f reference.Figure) float64 { return burn(t, f).Fo() },
	"lambda from co2": func(t *testing.T, f reference.Figure) float64 { return burn(t, f).LambdaFromCO2(f.Number("co2")) },
	"lambda from o2":  func(t *testing.T, f reference.Figure) float64 { return burn(t, f).LambdaFromO2(f.Number("o2")) },
	"o2 from co2":     func(t *testing.T, f reference.Figure) float64 { return burn(t, f).Fuel("").O2FromCO2(f.Number("co2")) },
	"excess air from o2": func(t *testing.T, f reference.Figure) float64 {
		return combustion.ExcessAirPercent(burn(t, f).LambdaFromO2(f.Number("o2")))
	},
	"excess air by analysis": func(_ *testing.T, f reference.Figure) float64 {
		return combustion.ExcessAir3B(f.Number("o2"), f.Number("co"), f.Number("n2"))
	},
	"fo of pair": func(_ *testing.T, f reference.Figure) float64 {
		return combustion.Fo(f.Number("co2"), f.Number("o2"), airOf(f))
	},
	"fo of pair diluted with air": func(_ *testing.T, f reference.Figure) float64 {
		d := f.Number("dilution") / 100
		return combustion.Fo(f.Number("co2")/(1+d), (f.Number("o2")+d*f.Number("air"))/(1+d), airOf(f))
	},
	"o2 equal to co2": func(t *testing.T, f reference.Figure) float64 {
		lo, hi := 0.0, burn(t, f).CO2MaxPercent() // O2FromCO2 falls, the identity rises: bisect
		for range 60 {
			mid := (lo + hi) / 2
			if burn(t, f).Fuel("").O2FromCO2(mid) > mid {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	},
	"co at o2": func(_ *testing.T, f reference.Figure) float64 {
		return combustion.COAtO2(f.Number("co"), f.Number("o2"), f.Number("ref"), airOf(f))
	},
	"co air-free from co2": func(_ *testing.T, f reference.Figure) float64 {
		fuel := combustion.Fuel{CO2MaxPercent: f.Number("co2max"), Air: airOf(f)}
		return fuel.COAirFreeFromCO2(f.Number("co"), f.Number("co2"))
	},
}

// Every published figure on combustion, at the tolerance its row states.
func TestPublishedFigures(t *testing.T) {
	figures, err := reference.Figures("combustion")
	require.NoError(t, err)
	for _, f := range figures {
		why := f.ID + ": " + f.Document + " " + f.Table + " (" + f.Verified + ")"
		switch f.Quantity {
		case "fo of gas at least":
			require.GreaterOrEqual(t, burn(t, f).Fo(), f.Expected, why)
			continue
		case "fo of gas at most":
			require.LessOrEqual(t, burn(t, f).Fo(), f.Expected, why)
			continue
		}
		compute, ok := computed[f.Quantity]
		require.True(t, ok, "%s: nothing computes %q", f.ID, f.Quantity)
		require.InDelta(t, f.Expected, compute(t, f), f.Tolerance, why)
	}
}

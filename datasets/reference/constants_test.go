package reference_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/reference"
	"fluedrift/model/combustion"
)

// Constants are kept with their source and computed by nobody. What can be
// said of each: it was seen, its place is named, and it stands in its relation
// to another published figure or to the chemistry.
func TestConstantsAreWhatWasSeen(t *testing.T) {
	by := map[string]float64{}
	reference.Assert(t, "constants", map[string]func(reference.Figure) float64{
		"constant": func(f reference.Figure) float64 {
			require.Equal(t, "seen", f.Verified, f.ID)
			require.NotEmpty(t, f.Table, f.ID)
			require.NotEmpty(t, f.Unit, f.ID)
			require.Positive(t, f.Expected, f.ID)
			by[f.ID] = f.Expected
			return f.Expected
		},
	})
	require.Less(t, by["co-ambient-8h"], by["co-ambient-1h"])
	require.Equal(t, by["co-workplace-recommended"], by["co-ambient-1h"])
	require.Less(t, by["co-workplace-8h"], by["co-workplace-ceiling"])
	require.Less(t, by["co-workplace-ceiling"], by["co-blocked-vent-test"])
	// 40 CFR 50.8 prints 10 and 40 mg/m3 beside the two, rounded to one digit.
	const mgPerM3 = 28.010 * 101325 / (8.314462618 * 298.15) / 1000 // of 1 ppm at 25 degC, 1 atm: p M/(R T)
	require.InDelta(t, 10, mgPerM3*by["co-ambient-8h"], 0.5)
	require.InDelta(t, 40, mgPerM3*by["co-ambient-1h"], 0.5)
	require.Less(t, by["interval-old"], by["interval-young"])
}

// Heat and CO2 of the greenhouse gas rule against the pure substances: within
// what its rounding and its commercial gases leave open.
func TestDefaultFactorsAgreeWithTheAtoms(t *testing.T) {
	figures, err := reference.Figures("constants")
	require.NoError(t, err)
	compared := 0
	for _, f := range figures {
		gas, ok := map[string]combustion.Gas{
			"natural-gas": combustion.PipelineGas, "propane-liquid": combustion.Propane, "butane-liquid": combustion.Butane,
			"ethane-liquid": combustion.Ethane, "lpg-liquid": combustion.Propane, "propane-gas": combustion.Propane,
		}[strings.TrimPrefix(strings.TrimPrefix(f.ID, "co2-"), "hhv-")]
		if !ok || strings.HasPrefix(f.ID, "hhv-") && strings.HasSuffix(f.ID, "-liquid") {
			continue
		}
		compared++
		s, err := gas.Burn(combustion.AirO2Field)
		require.NoError(t, err)
		h, err := gas.Heating()
		require.NoError(t, err)
		const mjPerMMBtu = 1055.05585262
		got := h.CO2KgPerMJ(s) * mjPerMMBtu
		if strings.HasPrefix(f.ID, "hhv-") {
			got = h.IdealGrossMJPerM3At60F * math.Pow(0.3048, 3) / mjPerMMBtu
		}
		require.InEpsilon(t, f.Expected, got, 0.025, f.ID)
	}
	require.Equal(t, 8, compared)
}

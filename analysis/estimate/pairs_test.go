package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
)

// Most analyzers compute CO2 from O2: a pair is one observation. A fleet whose
// records hold CO2 alone and the same with the O2 that goes with it, as such an
// analyzer prints it, give one fit: as many readings and differences, and the same
// coefficients and errors but for lines whose target is in O2, which take it from
// there with another rounding. Two observations would make errors 0.7 times as large.
func TestPairIsOneObservation(t *testing.T) {
	alone := estimated(t, 5, 80, plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 }), quick)
	pairs := invented(5, 80, plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 }))
	r := rulesFor(t, pairs.histories)
	r.LeaveOutAs(alone.rules)
	added := 0
	for _, h := range pairs.histories {
		for i := range h.Readings {
			x := &h.Readings[i]
			if !math.IsNaN(x.CO2Percent) && math.IsNaN(x.O2Percent) {
				x.O2Percent, x.O2Decimals = math.Round(100*r.Judge.Fuels[x.Fuel].O2FromCO2(x.CO2Percent))/100, 2
				added++
			}
		}
	}
	require.Greater(t, added, 1000)
	out, err := estimate.Run(t.Context(), pairs.histories, r)
	require.NoError(t, err)
	require.Len(t, out.Fits, len(alone.out.Fits))
	for i := range out.Fits {
		one, two := alone.out.Fits[i].Fit, out.Fits[i].Fit
		require.Equal(t, one.Counts, two.Counts)
		for k := range one.Coefficients {
			a, b := one.Coefficients[k], two.Coefficients[k]
			require.Equal(t, a.Name, b.Name)
			if !math.IsNaN(a.SE) {
				require.InDelta(t, a.SE, b.SE, 0.1*a.SE, a.Name)
				require.InDelta(t, a.Value, b.Value, 0.3*a.SE, a.Name)
			}
		}
	}
}

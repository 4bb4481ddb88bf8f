package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/drift"
)

// The mean and the variance of truncated distributions against sums over a fine
// grid; the middle half of a standard normal distribution (-1 to 1) has a variance of
// 1 - 2 phi(1)/(2 Phi(1) - 1) = 0.29112509.
func TestMomentsWithinAnInterval(t *testing.T) {
	mean, variance := within(-1, 1, drift.Mixture{{Weight: 1, SD: 1}})
	require.InDelta(t, 0, mean, 1e-12)
	require.InDelta(t, 0.29112509, variance, 1e-8)
	mixed := drift.Mixture{{Weight: 0.9, SD: 0.25}, {Weight: 0.1, SD: 0.65}}
	for _, from := range []float64{-0.5, -0.1, 0.1, 0.9, -1.9, 2.5} {
		const parts = 200_000
		total, sum, square := 0.0, 0.0, 0.0
		for k := range parts {
			x := from + (float64(k)+0.5)/parts
			w := 0.0
			for _, n := range mixed {
				w += n.Weight * math.Exp(-x*x/(2*n.SD*n.SD)) / n.SD
			}
			total, sum, square = total+w, sum+w*x, square+w*x*x
		}
		mean, variance = within(from, from+1, mixed)
		require.InDelta(t, sum/total, mean, 1e-6, "from %g", from)
		require.InDelta(t, square/total-sum*sum/total/total, variance, 1e-6, "from %g", from)
	}
	mean, variance = within(90, 91, mixed)
	require.Equal(t, 90.5, mean, "further off than any burner")
	require.InDelta(t, 1.0/12, variance, 1e-12)
}

func TestStepsOfValues(t *testing.T) {
	values := func(step float64) (all []float64) {
		for k := range 60 {
			all = append(all, math.Round((8+0.037*float64(k))/step)*step)
		}
		return all
	}
	for _, step := range []float64{1, 0.5, 0.2, 0.1, 0.01} {
		require.Equal(t, step, stepOf(values(step)))
	}
	require.True(t, math.IsNaN(stepOf(values(1)[:minGrid-1])))
}

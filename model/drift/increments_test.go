package drift

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Days to come are counted on from where the unit's last run begins, and come to the
// same as the integral over all runs (an identity), in any order in which they are asked
// for.
func TestDaysToComeAreTheIntegral(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const columns = 3
		year := rapid.Float64Range(-5, 5)
		rate := rapid.OneOf(rapid.Float64Range(-2, 2), rapid.Just(math.NaN()))
		starts := rapid.SliceOfN(year, 0, 4).Draw(t, "starts")
		slices.Sort(starts)
		g := integral{comps: []int{columns, columns, columns}}
		for _, from := range starts {
			run := Run{From: from, Rate: rapid.SliceOfN(rate, columns, columns).Draw(t, "rates")}
			if rapid.Bool().Draw(t, "grows") {
				run.Grow = rapid.SliceOfN(year, columns, columns).Draw(t, "growth")
			}
			g.runs = append(g.runs, run)
		}
		imputed := []float64{0.5, -1, 2}
		from := year.Draw(t, "from")
		var toLast []float64
		for _, to := range rapid.SliceOfN(rapid.Float64Range(from, 12), 1, 5).Draw(t, "days") {
			out, unknown := make([]float64, columns), make([]float64, columns)
			toLast = g.ahead(from, to, imputed, toLast, out, unknown)
			all, never := make([]float64, columns), make([]float64, columns)
			g.expected(from, to, imputed, all, never)
			require.InDeltaSlice(t, all, out, 1e-9)
			require.InDeltaSlice(t, never, unknown, 1e-9)
		}
	})
}

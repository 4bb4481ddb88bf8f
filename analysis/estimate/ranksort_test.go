package estimate

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestSorterIsASort: whatever the keys, equal ones and no numbers among them, units come
// in the order of comparing, draw after draw in one room.
func TestSorterIsASort(t *testing.T) {
	g := rand.New(rand.NewPCG(3, 4))
	odd := []float64{0, math.Copysign(0, -1), math.Inf(1), math.Inf(-1), math.NaN(), -1, 1, 1 + 1e-15, 1 - 1e-15, 5e-324, -5e-324}
	var by sorter
	for draw := range 60 {
		n := 1 + g.IntN(2000)
		drawn := make([]drawnUnit, n)
		for i := range drawn {
			key := g.NormFloat64() * math.Exp(10*g.NormFloat64())
			switch g.IntN(4) {
			case 0:
				key = odd[g.IntN(len(odd))]
			case 1:
				key = math.Round(key)
			}
			drawn[i] = drawnUnit{key, int32(i)}
		}
		want := slices.Clone(drawn)
		slices.SortFunc(want, drawnUnit.compare)
		got := by.sort(drawn)
		for i := range want {
			require.Equal(t, want[i].unit, got[i].unit, "draw %d, place %d", draw, i)
		}
	}
}

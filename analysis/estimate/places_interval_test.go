package estimate

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The interval of a rank leaves out a tenth of the draws, at both ends alike
// unless the place in the list would lie outside: draws 1 to 100, one each.
func TestIntervalHoldsThePlaceInTheList(t *testing.T) {
	draws := make([]int32, 100)
	for i := range draws {
		draws[i] = int32(i + 1)
	}
	for _, c := range []struct{ listed, low, high int }{
		{50, 6, 95},
		{6, 6, 95},
		{3, 3, 92},
		{1, 1, 90},
		{98, 9, 98},
		{100, 11, 100},
		{150, 11, 150},
	} {
		low, high := interval(draws, int32(c.listed))
		assert.Equal(t, [2]int{c.low, c.high}, [2]int{low, high}, "listed at %d", c.listed)
	}
	for i := range draws {
		draws[i] = 40 // all draws agree
	}
	low, high := interval(draws, 35)
	assert.Equal(t, [2]int{35, 40}, [2]int{low, high})
}

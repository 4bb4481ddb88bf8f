package drift

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Steps of Newton end where simplices and restarts alone end, with a third of the
// evaluations; identity of the optimum, from starts near and far.
func TestStepsArriveWhereSimplicesDo(t *testing.T) {
	for seed := range uint64(3) {
		f, err := NewFleet(invented(120, 6, 700+seed))
		require.NoError(t, err)
		for _, start := range [][4]float64{{1, 1, 0.7, 0.7}, {3, 0.2, 2, 0.3}} {
			both := [2]*search{}
			for i := range both {
				both[i] = &search{Search: Search{Size: 1e-4, Spread: 1e-5, MaxEvaluations: 600}, ctx: ctx, f: f, at: start, free: []int{0, 1, 2, 3}}
			}
			steps, converged := both[0].descend(true)
			assert.True(t, converged)
			first, _ := both[1].simplex(coldStep, 1e-4, 1e-5)
			again, _ := both[1].simplex(restartStep, 1e-4, 1e-5)
			assert.InDelta(t, math.Min(first, again), steps, 1e-4)
			for k := range both[0].at {
				assert.InDelta(t, both[1].at[k], both[0].at[k], 2e-3, "seed %d, ratio %d", 700+seed, k)
			}
			assert.Less(t, 3*both[0].end.Evaluations, 2*both[1].end.Evaluations)
			assert.Zero(t, both[0].end.Restarts)
		}
	}
}

// Where the criterion is not curved upwards the steps say so and leave the search
// at a point no worse than they found it.
func TestStepsDoNotPretend(t *testing.T) {
	f, err := NewFleet(invented(120, 6, 700))
	require.NoError(t, err)
	s := &search{Search: Search{Size: 1e-4, Spread: 1e-5, MaxEvaluations: 600}, ctx: ctx, f: f, at: [4]float64{50, 40, 30, 30}, free: []int{0, 1, 2, 3}}
	before := s.crit(s.start())
	best, ok := s.newton()
	assert.False(t, ok)
	assert.LessOrEqual(t, best, before)
	assert.InDelta(t, s.crit(s.start()), best, 1e-9)
}

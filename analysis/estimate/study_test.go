package estimate_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
)

// everyUnit numbers the histories of a world.
func everyUnit(o *world) []int {
	all := make([]int, len(o.histories))
	for i := range all {
		all[i] = i
	}
	return all
}

// Ranks from joint draws: the same seed gives the same ranks with any number of workers,
// another seed others, and what is in the middle lies within its interval.
func TestRanksFromJointDraws(t *testing.T) {
	ranks := func(seed uint64, workers int) []estimate.Rank {
		o := estimated(t, 101, 120, demo.Default(), without(estimate.EstimatedRatios),
			func(r *estimate.Config) { r.Draws, r.Seed, r.Workers = 500, seed, workers })
		return o.out.Ranks(everyUnit(o))
	}
	a := ranks(7, 1)
	require.Equal(t, a, ranks(7, 3))
	require.NotEqual(t, a, ranks(8, 1))
	known := 0
	for _, r := range a {
		if r != (estimate.Rank{}) {
			known++
			require.LessOrEqual(t, r.Low, r.Middle)
			require.LessOrEqual(t, r.Middle, r.High)
		}
	}
	require.Greater(t, known, 60)
}

// The study: spreads with errors, low less high, and the shift at installation,
// whose vent effect is what was planted and whose constant is not called one.
func TestStudy(t *testing.T) {
	w := modelsWorld()
	w.FactoryTests = true
	o := estimated(t, 121, 300, w, without(estimate.EstimatedRatios), brief)
	s, err := o.out.Study(context.Background())
	require.NoError(t, err)
	require.NotNil(t, s.Offset)
	c, ok := s.Offset.Beta.Coefficient("air temperature, ratio")
	require.True(t, ok)
	require.InDelta(t, 0.014-0.010, c.Value, 4*c.SE) // low less high as planted
	require.NotEmpty(t, s.Shifts)
	shift := s.Shifts[0]
	require.Equal(t, "installation", shift.Name)
	require.Greater(t, shift.Units, 60)
	vent, ok := shift.Fit.Coefficient("vent, fixed air")
	require.True(t, ok)
	require.InDelta(t, 0.5, vent.Value, 4*vent.SE)
	require.Less(t, vent.SE, 0.2)
	_, ok = shift.Fit.Coefficient("bench, transport, gas and altitude, fixed air")
	require.True(t, ok)
}

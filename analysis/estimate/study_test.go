package estimate_test

import (
	"context"
	"math"
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

// Ranks from joint draws: the interval holds the rank of the mean, the same seed
// gives the same ranks with any number of workers, another seed others.
func TestRanksFromJointDraws(t *testing.T) {
	ranks := func(seed uint64, workers int) (*world, []estimate.Rank) {
		o := estimated(t, 101, 120, demo.Default(), without(estimate.EstimatedRatios), func(r *estimate.Config) { r.Draws, r.Seed, r.Workers = 500, seed, workers })
		return o, o.out.Ranks(everyUnit(o))
	}
	o, a := ranks(7, 1)
	_, b := ranks(7, 3)
	for i := range a {
		require.Equal(t, math.IsNaN(a[i].Ahead), math.IsNaN(b[i].Ahead))
		a[i].Ahead, b[i].Ahead = 0, 0
	}
	require.Equal(t, a, b)
	_, c := ranks(8, 1)
	require.NotEqual(t, a, c)
	in, n := 0, 0
	type truth struct {
		rank estimate.Rank
		over float64
	}
	var all []truth
	for i, r := range a {
		u := o.units[i]
		if r == (estimate.Rank{}) || u < 0 {
			continue
		}
		require.LessOrEqual(t, r.Low, r.Middle)
		require.LessOrEqual(t, r.Middle, r.High)
		over := math.Inf(-1)
		for _, f := range o.out.Forecasts[i].Fires {
			rich, lean := o.fleet.ActionBand(u, f.Fire)
			d := o.trueNow(u, f.Fire) - o.fleet.TrueTarget(u, f.Fire, asOf)
			over = math.Max(over, math.Max(d-rich, -lean-d))
		}
		all = append(all, truth{r, over})
	}
	for _, x := range all {
		place := 1
		for _, y := range all {
			if y.over > x.over {
				place++
			}
		}
		n++
		if place >= x.rank.Low-2 && place <= x.rank.High+2 { // strays and doubted labels shift places
			in++
		}
	}
	require.InDelta(t, 0.9, float64(in)/float64(n), 0.1)
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

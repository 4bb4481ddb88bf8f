package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Without a record more, what a forecast says of the day of the list before is what that
// list said, whatever time has done since; a unit that was read since has none, and
// nobody has where nobody asks.
func TestEarlierIsWhatTheListBeforeSaid(t *testing.T) {
	before := estimated(t, 3, 100, demo.Default(), quick)
	r := before.rules
	r.AsOf, r.Earlier = r.AsOf+42, r.AsOf
	after, err := estimate.Run(t.Context(), before.histories, r)
	require.NoError(t, err)
	moved, fires := 0.0, 0
	for i, f := range before.out.Forecasts {
		if f == nil {
			continue
		}
		for k := range f.Fires {
			was, now := &f.Fires[k], &after.Forecasts[i].Fires[k]
			require.Equal(t, day.None, was.Earlier.Day)
			require.True(t, math.IsNaN(was.Earlier.Out()))
			if math.IsNaN(was.Today.Out()) {
				continue
			}
			require.Equal(t, was.Today.Day, now.Earlier.Day)
			require.InDelta(t, was.Today.Out(), now.Earlier.Out(), 0.005, "%s: the fleet is held to another day", before.histories[i].Unit.Serial)
			moved, fires = math.Max(moved, math.Abs(now.Today.Out()-now.Earlier.Out())), fires+1
		}
	}
	require.Greater(t, fires, 100)
	require.Greater(t, moved, 0.2, "time alone moves chances by more than that")

	r.Earlier = before.rules.AsOf - 700
	after, err = estimate.Run(t.Context(), before.histories, r)
	require.NoError(t, err)
	since, idle := 0, 0
	for i, f := range after.Forecasts {
		if f == nil {
			continue
		}
		for k := range f.Fires {
			if f.Fires[k].Earlier.Day == day.None {
				since++
				continue
			}
			idle++
			for _, x := range before.histories[i].Readings {
				used := x.Fire == f.Fires[k].Fire && (!math.IsNaN(x.CO2Percent) || !math.IsNaN(x.O2Percent))
				require.False(t, used && x.Day > r.Earlier && x.Condition == judge.AsLeft, before.histories[i].Unit.Serial)
			}
		}
	}
	require.Greater(t, since, 50)
	require.Greater(t, idle, 5)
}

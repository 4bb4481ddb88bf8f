package estimate_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/judge"
)

// A fire that nobody read has no forecast, no rank and no chance, whatever is
// known of its unit otherwise; those that were read have theirs.
func TestAFireNeverReadHasNoForecast(t *testing.T) {
	o := invented(3, 60, demo.Default())
	drop := func(h *judge.History, gone func(*judge.Reading) bool) {
		h.Readings = slices.DeleteFunc(slices.Clone(h.Readings), func(r judge.Reading) bool { return gone(&r) })
	}
	for i, h := range o.histories {
		switch i % 4 {
		case 0: // nothing was read
			drop(h, func(*judge.Reading) bool { return true })
		case 1: // low fire never
			drop(h, func(r *judge.Reading) bool { return r.Fire == judge.Low })
		case 2: // low fire only while it was set
			for k := range h.Readings {
				if h.Readings[k].Fire == judge.Low {
					h.Readings[k].Condition = judge.Between
				}
			}
		}
	}
	o.rules = rulesFor(t, o.histories)
	o.rules.Draws = 40
	var err error
	o.out, err = estimate.Run(context.Background(), o.histories, o.rules)
	require.NoError(t, err)
	read, units := 0, make([]int, len(o.histories))
	for i, f := range o.out.Forecasts {
		units[i] = i
		for k := range f.Fires {
			require.NotZero(t, i%4, "%s was never read", o.histories[i].Unit.Serial)
			require.False(t, i%4 < 3 && f.Fires[k].Fire == judge.Low, "low fire of %s was never read", o.histories[i].Unit.Serial)
			if !math.IsNaN(f.Fires[k].Today.Out()) {
				read++
			}
		}
	}
	require.Greater(t, read, 30)
	for i, r := range o.out.RanksAmong(units) {
		require.False(t, i%4 == 0 && r.Low > 0, "%s was never read and has a rank", o.histories[i].Unit.Serial)
	}
}

package estimate_test

import (
	"cmp"
	"context"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
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
	for i, r := range o.out.Ranks(units) {
		require.False(t, i%4 == 0 && r.Low > 0, "%s was never read and has a rank", o.histories[i].Unit.Serial)
	}
}

// In a world outside the model's family, a quarter of a fleet without a reading and a
// quarter without one at low fire: none of the first are among those booked sooner,
// whose order is that of the list without them, the likeliest out are as often
// out as there, and what was read at high fire alone decides where the second stand.
func TestUnreadUnitsAreNotBookedSooner(t *testing.T) {
	seeds, units := 2, 160
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		seeds, units = longSeeds(t, 10), 600
	}
	const unread, halfRead = 0, 1 // of each four units
	var right, rightWithout, places, base float64
	for seed := range uint64(seeds) {
		whole := func(i int) bool { return i%4 != unread }
		list, truth := unreadList(t, seed+1, units, func(int) bool { return true })
		without, _ := unreadList(t, seed+1, units, whole)
		for _, out := range truth {
			base += out / float64(seeds*units)
		}
		first := units / 8
		for k, l := range byChance(list)[:first] {
			require.False(t, math.IsNaN(l.OutProbability))
			right, rightWithout, places = right+truth[l.Unit.Key], rightWithout+truth[byChance(without)[k].Unit.Key], places+1
		}
		booked := bookedOf(list)
		require.NotEmpty(t, booked)
		require.Equal(t, bookedOf(without), booked)
		for k := range list {
			l := &list[k]
			switch i := int(l.Unit.Key); i % 4 {
			case unread:
				require.Equal(t, watch.NoReading, l.Ground, l.Unit.Serial)
				require.True(t, math.IsNaN(l.OutProbability), l.Unit.Serial)
			case halfRead:
				require.Len(t, l.Forecast.Fires, 1, l.Unit.Serial)
				require.Equal(t, judge.High, l.Forecast.Fires[0].Fire)
				require.InDelta(t, l.Forecast.Fires[0].Today.Out(), l.OutProbability, 0)
			}
		}
	}
	t.Logf("right among the likeliest eighth: %.3f, of the fleet without the unread %.3f; of all %.3f", right/places, rightWithout/places,
		base)
	require.InDelta(t, rightWithout/places, right/places, 0.02)
	require.Greater(t, right/places, 1.5*base) // jumps come without notice there
}

// byChance are the lines by today's probability, those without one last.
func byChance(list []watch.Line) []watch.Line {
	out := slices.Clone(list)
	slices.SortStableFunc(out, func(a, b watch.Line) int { return -cmp.Compare(a.OutProbability, b.OutProbability) }) // NaN is the least
	return out
}

// unreadList is the list of some units of a fleet, by number in Unit.Key, and which
// of all are truly out at a fire that somebody read: 1, else 0.
func unreadList(t *testing.T, seed uint64, units int, some func(int) bool) (list []watch.Line, truth []float64) {
	f := worlds.StickSlip(worlds.Options{Units: units, Seed: seed})
	var histories []*judge.History
	for i := range f.Histories {
		h := &f.Histories[i]
		h.Unit.Key = int32(i)
		switch i % 4 {
		case 0:
			h.Readings = nil
		case 1:
			h.Readings = slices.DeleteFunc(h.Readings, func(r judge.Reading) bool { return r.Fire == judge.Low })
		}
		out := 0.0
		if f.TrulyOut(i, f.AsOf()) {
			out = 1
		}
		truth = append(truth, out)
		if some(i) {
			histories = append(histories, h)
		}
	}
	r := rulesFor(t, histories)
	r.Brief = true
	r.LeaveOut(estimate.EstimatedRatios)
	out, err := estimate.Run(t.Context(), histories, r)
	require.NoError(t, err)
	w := watch.DefaultConfig(f.AsOf(), r.Judge)
	for i, h := range histories {
		list = append(list, assess(h, w, out.Forecasts[i]))
	}
	return watch.Order(list), truth
}

// bookedOf lists the serials that a list books sooner, in its order.
func bookedOf(list []watch.Line) (serials []string) {
	for i := range list {
		if list[i].Group == watch.BookSooner {
			serials = append(serials, list[i].Unit.Serial)
		}
	}
	return serials
}

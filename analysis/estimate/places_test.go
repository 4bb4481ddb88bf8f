package estimate_test

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
)

// trulyOut is how far a unit truly stands outside its action band on the as-of
// day, at the worse of its fires, points of CO2; negative inside.
func (o *world) trulyOut(i int) float64 {
	over, u := math.Inf(-1), o.units[i]
	for _, f := range o.out.Forecasts[i].Fires {
		rich, lean := o.fleet.ActionBand(u, f.Fire)
		d := o.trueNow(u, f.Fire) - o.fleet.TrueTarget(u, f.Fire, asOf)
		over = math.Max(over, math.Max(d-rich, -lean-d))
	}
	return over
}

// listed is the list of a world with the ranges of its places, and the number
// of the history behind each line.
func (o *world) listed() (ordered []watch.Line, history []int) {
	rules := watch.DefaultConfig(asOf, o.rules.Judge)
	lines, byKey := make([]watch.Line, len(o.histories)), map[int32]int{}
	for i, h := range o.histories {
		lines[i], byKey[h.Unit.Key] = assess(h, rules, o.out.Forecasts[i]), i
	}
	ordered = watch.Order(lines)
	for i := range ordered {
		history = append(history, byKey[ordered[i].Unit.Key])
	}
	at := watch.ByForecast(ordered)
	units := make([]int, len(at))
	for k, i := range at {
		units[k] = history[i]
	}
	standings := make([]watch.RankInterval, len(at))
	for k, r := range o.out.Ranks(units) {
		if r.Low > 0 {
			standings[k] = watch.RankInterval{From: r.Low, To: r.High, Ahead: r.Ahead}
		}
	}
	watch.Range(ordered, at, standings)
	return ordered, history
}

// placesHeld counts the lines with a range, those whose true place lies in it,
// those whose own place does not,
// neighbours called tied and how many of those truly stand in the other order,
// and the same of neighbours not called tied. The true place is the one a line
// has when the lines with a range are put, by how far outside their action
// bands they truly stand, into the places they hold together.
func (o *world) placesHeld() (all, in, outside int, tied, sure [2]int) {
	ordered, history := o.listed()
	type one struct{ line, history int }
	var ranked []one
	var places []int
	for i := range ordered {
		if ordered[i].PlaceFrom > 0 && o.units[history[i]] >= 0 {
			ranked, places = append(ranked, one{i, history[i]}), append(places, ordered[i].Place)
			if l := &ordered[i]; l.Place < l.PlaceFrom || l.Place > l.PlaceTo {
				outside++
			}
		}
	}
	for k := 1; k < len(ranked); k++ {
		a, b := ranked[k-1], ranked[k]
		if ordered[b.line].Place != ordered[a.line].Place+1 || ordered[a.line].Tier != ordered[b.line].Tier {
			continue
		}
		count := &sure
		if ordered[a.line].TiedWithNext {
			count = &tied
		}
		count[0]++
		if o.trulyOut(b.history) > o.trulyOut(a.history) {
			count[1]++
		}
	}
	slices.SortStableFunc(ranked, func(a, b one) int { return cmp.Compare(o.trulyOut(b.history), o.trulyOut(a.history)) })
	for k, r := range ranked {
		l := &ordered[r.line]
		all++
		if places[k] >= l.PlaceFrom && places[k] <= l.PlaceTo {
			in++
		}
	}
	return all, in, outside, tied, sure
}

// The 90 % interval of a unit's places holds the place it truly has; neighbours
// called tied stand in the other order more often than those that are not.
func TestPlacesHoldTheTruePlace(t *testing.T) {
	checkPlaces(t, nil, demo.Plain(), 3, 150, 0.84, 0.95) // some 300 lines, not independent: one standard error is about 0.02
}

// The same over more and larger fleets, held closer.
func TestPlacesOverManyFleets(t *testing.T) {
	kept := measured.Of(t, "ranks")
	checkPlaces(t, kept, demo.Plain(), longSeeds(t, 24), 600, 0.88, 0.92)
	checkPlaces(t, kept, demo.Default(), longSeeds(t, 24), 600, 0.88, 0.92)
}

func checkPlaces(t *testing.T, kept *measured.Figures, w demo.World, seeds, units int, low, high float64) {
	type counts struct {
		all, in, outside int
		tied, sure       [2]int
	}
	var sum counts
	eachSeed(seeds, func(seed uint64) (c counts) {
		o := estimated(t, seed, units, w, without(estimate.EstimatedRatios), func(r *estimate.Config) { r.Brief, r.Draws, r.Seed = true, 200, seed })
		c.all, c.in, c.outside, c.tied, c.sure = o.placesHeld()
		return c
	}, func(c counts) {
		sum.all, sum.in, sum.outside = sum.all+c.all, sum.in+c.in, sum.outside+c.outside
		for k := range 2 {
			sum.tied[k], sum.sure[k] = sum.tied[k]+c.tied[k], sum.sure[k]+c.sure[k]
		}
	})
	held := float64(sum.in) / float64(sum.all)
	other := func(n [2]int) float64 { return float64(n[1]) / float64(n[0]) }
	t.Logf("%d fleets of %d: %d lines with a range, %.1f %% hold the true place; of %d tied neighbours %.0f %% truly the other way round, of %d others %.0f %%",
		seeds, units, sum.all, 100*held, sum.tied[0], 100*other(sum.tied), sum.sure[0], 100*other(sum.sure))
	if kept != nil {
		of := fmt.Sprintf("%d fleets, %d lines, fans on record %v", seeds, sum.all, w.Fans != 0)
		kept.Share(of, "90 % interval of the rank holds, share", held, sum.all, fmt.Sprintf("%.2f to %.2f", low, high))
		kept.Share(of, "neighbours not told apart, truly the other way, share", other(sum.tied), sum.tied[0], "")
		kept.Share(of, "other neighbours, truly the other way, share", other(sum.sure), sum.sure[0], "")
	}
	require.Zero(t, sum.outside, "a line stands within its own range")
	require.GreaterOrEqual(t, held, low)
	require.LessOrEqual(t, held, high)
	require.Greater(t, other(sum.tied), other(sum.sure))
}

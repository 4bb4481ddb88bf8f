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

// listed is the list of a world with its rank intervals, and the number
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
			standings[k] = watch.RankInterval{From: r.Low, To: r.High}
		}
	}
	watch.Range(ordered, at, standings)
	return ordered, history
}

// ranksHeld counts the lines with a rank interval, those whose true rank lies in it, and
// those whose own rank does not. The true rank is the one a line has when the lines with
// an interval are put, by how far outside their action bands they truly stand, into the
// ranks they hold together.
func (o *world) ranksHeld() (all, in, outside int) {
	ordered, history := o.listed()
	type one struct{ line, history int }
	var ranked []one
	var ranks []int
	for i := range ordered {
		if l := &ordered[i]; l.RankFrom > 0 && o.units[history[i]] >= 0 {
			ranked, ranks = append(ranked, one{i, history[i]}), append(ranks, l.Rank)
			if l.Rank < l.RankFrom || l.Rank > l.RankTo {
				outside++
			}
		}
	}
	slices.SortStableFunc(ranked, func(a, b one) int { return cmp.Compare(o.trulyOut(b.history), o.trulyOut(a.history)) })
	for k, r := range ranked {
		l := &ordered[r.line]
		all++
		if ranks[k] >= l.RankFrom && ranks[k] <= l.RankTo {
			in++
		}
	}
	return all, in, outside
}

// The 90 % interval of a unit's rank holds the rank it truly has.
func TestIntervalsHoldTheTrueRank(t *testing.T) {
	checkRanks(t, nil, demo.Plain(), 3, 150, 0.84, 0.97)
}

// The same over more and larger fleets, held closer.
func TestIntervalsHoldTheTrueRankInManyFleets(t *testing.T) {
	kept := measured.Of(t, "ranks")
	checkRanks(t, kept, demo.Plain(), longSeeds(t, 24), 600, 0.88, 0.92)
	checkRanks(t, kept, demo.Default(), longSeeds(t, 24), 600, 0.88, 0.92)
}

func checkRanks(t *testing.T, kept *measured.Figures, w demo.World, seeds, units int, low, high float64) {
	all, in, outside := 0, 0, 0
	eachSeed(seeds, func(seed uint64) (c [3]int) {
		o := estimated(t, seed, units, w, without(estimate.EstimatedRatios), func(r *estimate.Config) { r.Draws, r.Seed = 200, seed })
		c[0], c[1], c[2] = o.ranksHeld()
		return c
	}, func(c [3]int) { all, in, outside = all+c[0], in+c[1], outside+c[2] })
	held := float64(in) / float64(all)
	t.Logf("%d fleets of %d: %d lines with an interval, %.1f %% hold the true rank", seeds, units, all, 100*held)
	if kept != nil {
		of := fmt.Sprintf("%d fleets, %d lines, fans on record %v", seeds, all, w.Fans != 0)
		kept.Share(of, "90 % interval of the rank holds, share", held, all, fmt.Sprintf("%.2f to %.2f", low, high))
	}
	require.Zero(t, outside, "a line stands within its own interval")
	require.GreaterOrEqual(t, held, low)
	require.LessOrEqual(t, held, high)
}

package estimate_test

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/model/day"
)

// listed is the list of a fleet with its rank intervals, and the number of the history
// behind each line.
func (o *inTruth) listed() (ordered []watch.Line, history []int) {
	rules := watch.DefaultConfig(o.asOf, o.rules.Judge)
	lines, byKey := make([]watch.Line, len(o.histories)), map[int32]int{}
	for i, h := range o.histories {
		lines[i], byKey[h.Unit.Key] = assess(h, rules, o.out.Forecasts[i]), i
	}
	ordered = fleet.Rank(&fleet.Judged{Histories: o.histories}, lines, o.out)
	for i := range ordered {
		history = append(history, byKey[ordered[i].Unit.Key])
	}
	return ordered, history
}

// ranksHeld counts the lines with a rank interval, those whose true rank lies in it, and
// those whose own rank does not. The true rank is the one a line has when the lines with
// an interval are put, by the key of what a visit truly avoids, into the ranks they hold
// together.
func (o *inTruth) ranksHeld() (all, in, outside int) {
	ordered, history := o.listed()
	type one struct {
		line *watch.Line
		key  float64
	}
	var ranked []one
	var ranks []int
	for i := range ordered {
		l := &ordered[i]
		if l.RankFrom == 0 {
			continue
		}
		truth, known := o.truly(history[i], l.PlannedDay, analysis.DefaultVisitConfig())
		if !known {
			continue
		}
		ranked, ranks = append(ranked, one{l, truth.Key}), append(ranks, l.Rank)
		if l.Rank < l.RankFrom || l.Rank > l.RankTo {
			outside++
		}
	}
	slices.SortStableFunc(ranked, func(a, b one) int { return cmp.Compare(b.key, a.key) })
	for k, r := range ranked {
		all++
		if ranks[k] >= r.line.RankFrom && ranks[k] <= r.line.RankTo {
			in++
		}
	}
	return all, in, outside
}

// The 90 % interval of a unit's rank holds the rank it truly has.
func TestIntervalsHoldTheTrueRank(t *testing.T) {
	checkRanks(t, nil, demo.Plain(), 3, 200, []day.Day{harmDates[2]}, 0.78, 1) // some 100 lines: one standard error is 0.03
}

// The same over more and larger fleets and dates, held closer.
func TestIntervalsHoldTheTrueRankInManyFleets(t *testing.T) {
	kept := measured.Of(t, "ranks")
	checkRanks(t, kept, demo.Plain(), longSeeds(t, 12), 600, harmDates, 0.85, 0.95)
	checkRanks(t, kept, demo.Default(), longSeeds(t, 12), 600, harmDates, 0.85, 0.95)
}

func checkRanks(t *testing.T, kept *measured.Figures, w demo.World, seeds, units int, dates []day.Day, low, high float64) {
	all, in, outside := 0, 0, 0
	for _, date := range dates {
		n, held := 0, 0
		eachSeed(seeds, func(seed uint64) (c [3]int) {
			o := demoOnDay(t, seed, units, w, date, func(r *estimate.Config) { r.Draws, r.Seed = 200, seed })
			c[0], c[1], c[2] = o.ranksHeld()
			return c
		}, func(c [3]int) { n, held, outside = n+c[0], held+c[1], outside+c[2] })
		t.Logf("%s, %d fleets of %d: %d lines with an interval, %.1f %% hold the true rank", date, seeds, units, n, 100*float64(held)/float64(n))
		if kept != nil {
			of := fmt.Sprintf("%s, %d fleets, %d lines, fans on record %v", date.String()[5:], seeds, n, w.Fans != 0)
			kept.Share(of, "90 % interval of the rank holds, share", float64(held)/float64(n), n, "")
		}
		all, in = all+n, in+held
	}
	held := float64(in) / float64(all)
	if kept != nil {
		of := fmt.Sprintf("all dates, %d lines, fans on record %v", all, w.Fans != 0)
		kept.Share(of, "90 % interval of the rank holds, share", held, all, fmt.Sprintf("%.2f to %.2f", low, high))
	}
	require.Zero(t, outside, "a line stands within its own interval")
	require.GreaterOrEqual(t, held, low)
	require.LessOrEqual(t, held, high)
}

package estimate_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/fleet"
)

// brokenWorlds each break the model in one way.
var brokenWorlds = []struct {
	name  string
	world fleet.World
}{
	{"demo", fleet.Demo()},
	{"jumps at failing parts, 6 % a year", demoWith(func(w *fleet.World) { w.JumpsPerYear = 0.06 })},
	{"no flags, half of technicians leave what they find", demoWith(func(w *fleet.World) { w.FlagMissing, w.AdjustShare = 1, 0.5 })},
	{"drift dies down in 4 years", demoWith(func(w *fleet.World) { w.Saturates = 4 })},
	{"60 % of far as founds not written down", demoWith(func(w *fleet.World) { w.FarMissing = 0.6 })},
	{"vent lengths 20 % wrong", demoWith(func(w *fleet.World) { w.VentErrorSD = 0.2 })},
	{"low fire three times as noisy", demoWith(func(w *fleet.World) { w.LowNoise = 3 })},
	{"two analyzers of each area swapped for half a year", demoWith(func(w *fleet.World) { w.Swapped = true })},
	{"gas of an area 2 % richer from 2024", demoWith(func(w *fleet.World) {
		w.LevelSteps = []fleet.LevelStep{{Area: "North 1", Day: fleet.Day(2024, 1, 15), CO2Points: 0.18}}
	})},
	{"only as left recorded", demoWith(func(w *fleet.World) { w.AsLeftOnly = true })},
	{"CO2 shown in steps of 0.5", demoWith(func(w *fleet.World) { w.DisplayStep, w.Gases = 0.5, fleet.OnlyCO2 })},
}

// Worlds that break the model: in none does precision in the top tenth fall below
// the best simple rule by more than two paired standard errors.
func TestWorldsThatBreakTheModel(t *testing.T) {
	n := longSeeds(t, 40)
	type one struct {
		own     ranking
		simple  map[string]ranking
		in, all int
	}
	fmt.Printf("%d fleets of 600 units; truth: outside the action band today\n\n| world | top 5 %% | top 10 %% | AUC | ECE | 90 %% intervals | best simple rule, top 10 %% | difference (se) |\n|---|---|---|---|---|---|---|---|\n", n)
	for _, w := range brokenWorlds {
		var all []one
		eachSeed(n, func(seed uint64) one {
			o := estimated(t, seed, 600, w.world, func(r *estimate.Rules) { r.Workers = 1 })
			own, simple := o.ranked()
			in, k := o.covered()
			return one{own: own, simple: simple, in: in, all: k}
		}, func(x one) { all = append(all, x) })
		var mean ranking
		in, k := 0, 0
		best, name := math.Inf(-1), ""
		for rule := range all[0].simple {
			sum := 0.0
			for _, x := range all {
				sum += x.simple[rule].top10 / float64(n)
			}
			if sum > best || sum == best && rule < name {
				best, name = sum, rule
			}
		}
		var diff, sq float64
		for _, x := range all {
			mean.top5 += x.own.top5 / float64(n)
			mean.top10 += x.own.top10 / float64(n)
			mean.auc += x.own.auc / float64(n)
			mean.ece += x.own.ece / float64(n)
			in, k = in+x.in, k+x.all
			d := x.own.top10 - x.simple[name].top10
			diff, sq = diff+d/float64(n), sq+d*d
		}
		se := math.Sqrt((sq/float64(n) - diff*diff) / float64(max(n-1, 1)))
		fmt.Printf("| %s | %.3f | %.3f | %.3f | %.3f | %.3f | %s %.3f | %+.3f (%.3f) |\n", w.name, mean.top5, mean.top10, mean.auc, mean.ece, float64(in)/float64(k), name, best, diff, se)
		require.Greater(t, diff, -2*se, w.name)
	}
}

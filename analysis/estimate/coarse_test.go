package estimate_test

import (
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/datasets/demo"
)

// A fleet whose analyzers all show half or whole percents is not called out for what
// its displays hide; its list says in which steps they show CO2, and that chances
// rest on assumptions.
func TestCoarseDisplaysAreNotOverCalled(t *testing.T) {
	seeds, units, long := 2, 80, os.Getenv("FLUEDRIFT_LONG") != ""
	if long {
		seeds, units = longSeeds(t, 10), 150
	}
	for _, step := range []float64{0.5, 1} {
		var c chances
		eachSeed(seeds, func(seed uint64) (one chances) {
			coarse := demoWith(func(w *demo.World) { w.DisplayStep, w.Gases = step, demo.OnlyCO2 })
			o := estimated(t, seed, units, coarse, quick, func(r *estimate.Config) { r.Brief, r.Workers = true, 1 })
			for _, u := range o.judged() {
				one.units, one.sum = one.units+1, one.sum+u.p
				if u.out {
					one.out++
				}
			}
			says := map[float64]string{0.5: "in steps of 0.5 points", 1: "in whole percents"}[step]
			require.True(t, o.hasNote(says))
			require.Contains(t, words.Basis(o.out.Basis())[0], "general assumptions")
			return one
		}, c.add)
		said, truth := c.sum/float64(c.units), c.out/float64(c.units)
		t.Logf("steps of %g: mean chance %.3f, truly out %.3f of %d", step, said, truth, c.units)
		room := 0.05
		if !long {
			room += 2 * math.Sqrt(truth*(1-truth)/float64(c.units))
		}
		require.InDelta(t, truth, said, room, "steps of %g", step)
	}
}

// A burner set to 9.4 or 9.6 % shows 9 or 10 in whole percents: neither counts as
// left 0.4 off its target, the parts of the forecast say why, and add up to it.
func TestACoarseReadingIsAnInterval(t *testing.T) {
	o := invented(4, 40, demoWith(func(w *demo.World) { w.DisplayStep, w.Gases = 1, demo.OnlyCO2 }))
	o.rules = rulesFor(t, o.histories)
	o.rules.Brief = true
	var err error
	o.out, err = estimate.Run(t.Context(), o.histories, o.rules)
	require.NoError(t, err)
	looked := 0
	for _, f := range o.out.Forecasts {
		for k := range f.Fires {
			x, sum := &f.Fires[k], 0.0
			hidden := slices.IndexFunc(x.Parts, func(p analysis.Part) bool { return p.Kind == analysis.PartDisplay })
			for _, p := range x.Parts {
				sum += p.Points
			}
			require.InDelta(t, x.CO2Percent, x.TargetCO2Percent+sum, 1e-6)
			if last := x.Parts[0].Points; hidden >= 0 && math.Abs(last) > 0.3 && math.Abs(last) < 0.5 {
				looked++
				require.Less(t, math.Abs(last+x.Parts[hidden].Points), 0.25, "read %+.2f", last)
				require.Less(t, x.Today.Out(), 0.5)
			}
		}
	}
	require.Greater(t, looked, 10)
}

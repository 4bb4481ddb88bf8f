package estimate_test

import (
	"context"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/datasets/poor"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// A poor variant of the demo gives a list whose mean chance is that of the truth, or
// none. All of them
// with 10 seeds or more in the long suite, a handful with 3 in the normal one.
func TestPoorVariantsOfTheDemo(t *testing.T) {
	seeds, some := 3, map[int]bool{0: true, 3: true, 8: true, 13: true, 15: true}
	long := os.Getenv("FLUEDRIFT_LONG") != ""
	if long {
		seeds = longSeeds(t, 10)
	}
	kept := measured.Of(t, "poor-variants")
	for k, v := range poor.All() {
		if long || some[k] {
			t.Run(v.Name, func(t *testing.T) { meanChance(t, &v, seeds, kept) })
		}
	}
}

// meanChance holds the mean chance over so many fleets to the truth.
func meanChance(t *testing.T, v *poor.Variant, seeds int, kept *measured.Figures) {
	if seeds >= 10 { // 700 units at least: the share truly out of 120 is known to 0.035 only
		seeds = max(seeds, 700/v.Units)
	}
	var c chances
	eachSeed(seeds, func(seed uint64) chances { return poorChances(t, v, seed) }, c.add)
	if c.units == 0 {
		t.Log("no chance is given")
		return
	}
	said, truth := c.sum/float64(c.units), c.out/float64(c.units)
	t.Logf("mean chance %.3f, truly out %.3f (%+.3f) of %d", said, truth, said-truth, c.units)
	kept.Number(v.Name, "mean chance", said, 3, "within 0.08 of the truth")
	kept.Share(v.Name, "truly outside, share", truth, c.units, "")
	room := 0.08
	if seeds < 10 {
		room += 2 * math.Sqrt(truth*(1-truth)/float64(c.units))
	}
	require.InDelta(t, truth, said, room)
}

// poorFleet is a fleet of a variant before it is estimated.
func poorFleet(t *testing.T, v *poor.Variant, units, years int, seed uint64) *world {
	o := worldOf(worlds.Demo(demo.Options{Units: units, Years: years, Seed: seed, AsOf: asOf, World: demo.Default()}))
	for _, h := range o.histories {
		v.Take(h)
	}
	o.rules = rulesFor(t, o.histories)
	return o
}

// poorChances are the chances of one fleet of a variant.
func poorChances(t *testing.T, v *poor.Variant, seed uint64) (c chances) {
	o := poorFleet(t, v, v.Units, v.Years, seed)
	o.rules.Brief = true
	var err error
	o.out, err = estimate.Run(context.Background(), o.histories, o.rules)
	require.NoError(t, err)
	for _, u := range o.judged() {
		c.units, c.sum = c.units+1, c.sum+u.p
		if u.out {
			c.out++
		}
	}
	return c
}

// Nothing impossible stands on the list of a poor variant, and its head names what
// is missing. All variants as they are in the long suite, some and smaller in the
// normal one.
func TestNothingImpossibleOnPoorLists(t *testing.T) {
	long := os.Getenv("FLUEDRIFT_LONG") != ""
	for k, v := range poor.All() {
		if !long && k%5 != 1 {
			continue
		}
		t.Run(v.Name, func(t *testing.T) {
			units, years := v.Units, v.Years
			if !long {
				units, years = min(units, 24), min(years, 6)
			}
			o := poorFleet(t, &v, units, years, 1)
			o.rules.Draws = 40
			var err error
			o.out, err = estimate.Run(t.Context(), o.histories, o.rules)
			require.NoError(t, err)
			for i, f := range o.out.Forecasts {
				for k := range f.Fires {
					o.possible(t, i, &f.Fires[k])
				}
			}
			lines := o.lines()
			for i := range lines {
				grounded(t, &lines[i])
			}
			head := watch.Summarize(lines, o.watchRules())
			head.Measured, head.Missing = words.Basis(o.out.Basis()), watch.Missing(o.histories, asOf)
			if units == v.Units && years == v.Years || len(v.Lacks) > 0 {
				says := func(s string) bool { return strings.Contains(s, v.Says) }
				require.True(t, slices.ContainsFunc(words.Head(&head), says), "%q", words.Head(&head))
			}
		})
	}
}

// possible holds a forecast within what can be: CO2 between nothing and the most the
// fuel makes, intervals around what is expected, probabilities between 0 and 1, the
// worst day no better than today and the planned day, and a fire that was read.
func (o *world) possible(t *testing.T, i int, f *analysis.FireForecast) {
	h := o.histories[i]
	who := h.Unit.Serial + " at " + string(f.Fire)
	most := o.rules.Judge.MostCO2(h.Unit.Fuel)
	ordered := func(values ...float64) {
		require.True(t, slices.IsSorted(values), "%s: %v", who, values)
	}
	ordered(0, f.LowPercent, f.CO2Percent, f.HighPercent, most)
	ordered(0, f.RecordedLowPercent, f.CO2Percent, f.RecordedHighPercent, most)
	for _, p := range f.Path {
		ordered(0, p.LowPercent, p.CO2Percent, p.HighPercent, most)
	}
	read := slices.ContainsFunc(h.Readings, func(r judge.Reading) bool {
		return r.Fire == f.Fire && r.Condition != judge.Between && (!math.IsNaN(r.CO2Percent) || !math.IsNaN(r.O2Percent))
	})
	require.True(t, read, "%s was never read", who)
	if math.IsNaN(f.Today.Out()) {
		return
	}
	for _, c := range []analysis.Probability{f.Today, f.Planned, f.Worst} {
		ordered(0, c.Rich, 1)
		ordered(0, c.Lean, 1)
		require.LessOrEqual(t, c.Out(), 1+1e-9, who)
		require.LessOrEqual(t, c.Out(), f.Worst.Out(), who)
		require.GreaterOrEqual(t, c.Day, day.Day(asOf), who)
	}
	require.LessOrEqual(t, f.Worst.Day, f.Planned.Day, who)
	if f.FirstOutside == analysis.LeavingAlready {
		require.GreaterOrEqual(t, f.Today.Out(), o.rules.OutProbability, who)
	}
	if f.Today.Out() >= o.rules.OutProbability {
		require.NotEqual(t, analysis.LeavingNot, f.FirstOutside, who)
	}
}

// watchRules are those of the list.
func (o *world) watchRules() watch.Config { return watch.DefaultConfig(asOf, o.rules.Judge) }

// lines is the list, with the ranks that each could have.
func (o *world) lines() []watch.Line {
	var lines []watch.Line
	for i, h := range o.histories {
		lines = append(lines, assess(h, o.watchRules(), o.out.Forecasts[i]))
	}
	return fleet.Rank(&fleet.Judged{Histories: o.histories}, lines, o.out)
}

// grounded holds a line to what was read: a ground that the forecast gives, a chance
// and a rank interval stand only where a fire was read; a side only where the two
// are apart.
func grounded(t *testing.T, l *watch.Line) {
	who := l.Unit.Serial
	read := slices.ContainsFunc(l.Fires, func(f watch.FireLine) bool { return f.Reading != nil })
	byForecast := l.Ground == watch.ProbablyOutside || l.Ground == watch.ExpectedOutside
	if !read {
		require.False(t, byForecast || l.RankFrom > 0 || !math.IsNaN(l.OutProbability) || !math.IsNaN(l.WorstOutProbability), "%s was never read",
			who)
	}
	if l.RankFrom > 0 {
		require.False(t, math.IsNaN(l.OutProbability), who)
		require.LessOrEqual(t, l.RankFrom, l.RankTo, who)
	}
	if !byForecast {
		return
	}
	chance := func(f *analysis.FireForecast) analysis.Probability { return f.Today }
	out := l.OutProbability
	if l.Ground == watch.ExpectedOutside {
		chance, out = func(f *analysis.FireForecast) analysis.Probability { return f.Worst }, l.WorstOutProbability
	}
	if out < 0.5 { // a last reading that nothing confirms, to be asked about
		require.Equal(t, watch.AskFirst, l.Group, who)
		require.True(t, slices.ContainsFunc(l.Forecast.Fires, func(f analysis.FireForecast) bool {
			return f.Unconfirmed != nil &&
				f.Unconfirmed.LargerOut >= 0.5
		}), who)
		return
	}
	for i := range l.Forecast.Fires {
		if c := chance(&l.Forecast.Fires[i]); c.Out() == out && l.Side != watch.NoSide {
			require.Greater(t, math.Abs(c.Rich-c.Lean), 0.1, who)
			require.Equal(t, c.Rich > c.Lean, l.Side == watch.Rich, who)
		}
	}
}

package days_test

import (
	"math"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/days"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/datasets/worlds"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// listOf makes the watchlist of an invented fleet.
func listOf(t *testing.T, f *worlds.DemoFleet) []watch.Line {
	t.Helper()
	values := f.Histories()
	var histories []*judge.History
	type lineTarget struct {
		line string
		fire judge.Fire
		fuel string
	}
	targets := map[lineTarget]judge.Target{}
	for i := range values {
		h := &values[i]
		histories = append(histories, h)
		for k := range h.Readings {
			if x := &h.Readings[k]; x.Target.Declared() {
				targets[lineTarget{h.Unit.ModelLine, x.Fire, x.Fuel}] = x.Target
			}
		}
	}
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8, "propane": 13.7}, combustion.AirO2Field)
	require.NoError(t, err)
	delete(fuels, "butane")
	delete(fuels, "propane-butane")
	j := judge.DefaultConfig(fuels)
	j.TargetOf = func(line string, fire judge.Fire, fuel string, _ day.Day) judge.Target {
		return targets[lineTarget{line, fire, fuel}]
	}
	w := watch.DefaultConfig(f.AsOf(), j)
	r := estimate.DefaultConfig(f.AsOf(), j)
	r.Workers, r.Planned = 2, func(h *judge.History) day.Day { return watch.PlanOf(h, w).PlannedDay }
	judged, err := fleet.Judge(t.Context(), histories, fleet.Options{List: w, Model: r})
	require.NoError(t, err)
	out, err := fleet.Estimate(t.Context(), judged)
	require.NoError(t, err)
	return fleet.Rank(judged, fleet.Assess(judged, out.Forecasts), nil)
}

// truly is the days outside the action band that visits avoid in truth: a unit
// is outside where any fire is. A visit sets each fire to its target; then the
// fire moves as it truly does. Weeks are taken at their first day.
func truly(f *worlds.DemoFleet, seen []days.Seen) float64 {
	sum := 0.0
	for _, s := range seen {
		u, ok := f.UnitBySerial(s.Serial)
		if !ok {
			continue
		}
		var at []day.Day
		for d := s.Day; d < s.Until; d += 7 {
			at = append(at, d)
		}
		before, after := make([]bool, len(at)), make([]bool, len(at))
		for _, fire := range f.Fires(u) {
			rich, lean := f.ActionBand(u, fire)
			co2 := f.TrueCO2Days(u, fire, at)
			for k := range at {
				off := co2[k] - f.TrueTarget(u, fire, at[k])
				set := co2[k] - co2[0]
				before[k] = before[k] || off > rich || off < -lean
				after[k] = after[k] || set > rich || set < -lean
			}
		}
		for k := range at {
			span := float64(min(7, int32(s.Until-at[k])))
			if before[k] {
				sum += span
			}
			if after[k] {
				sum -= span
			}
		}
	}
	return sum
}

// demoInput is two crews, four weeks on the demo's map (44-46 N, 38-35 W).
func demoInput(asOf day.Day, lines []watch.Line) days.Input {
	in := days.Input{Lines: lines, AsOf: asOf, Rules: days.DefaultConfig(asOf + 1)}
	for _, c := range []days.Crew{
		{Code: "one", Home: days.Place{LatitudeDeg: 45, LongitudeDeg: -37.2}},
		{Code: "two", Home: days.Place{LatitudeDeg: 45, LongitudeDeg: -35.8}},
	} {
		for d := time.Monday; d <= time.Friday; d++ {
			c.Days[d] = days.Window{From: 480, Until: 990}
		}
		in.Crews = append(in.Crews, c)
	}
	return in
}

// Measured against the truth that made the demo's fleet, a plan avoids at least
// 1.3 times the days outside that the same crews and days avoid in order of the
// last visit day, among the same units.
func TestPlanAgainstTruth(t *testing.T) {
	seeds, units, long := uint64(1), 300, os.Getenv("FLUEDRIFT_LONG") != ""
	if long {
		seeds, units = 10, 600
	}
	total := [3]float64{}
	for seed := uint64(1); seed <= seeds; seed++ {
		f := worlds.Demo(demo.Options{Units: units, Years: 12, Seed: seed, World: demo.Default()})
		in := demoInput(f.AsOf(), listOf(t, f))
		if !long {
			in.Rules.Iterations = 800
		}
		p, err := days.Make(in)
		require.NoError(t, err)
		require.Len(t, p.Compared, 3)
		for i, c := range p.Compared {
			true1 := truly(f, c.Visits)
			total[i] += true1
			t.Logf("seed %d way %d: %3d units %6.0f minutes, expected %6.0f days, true %6.0f", seed, c.Way, c.Units, c.DriveMinutes, c.GainDays,
				true1)
		}
	}
	t.Logf("true days avoided: %.0f, by last visit day %.0f (ratio %.2f), in the list's order %.0f (ratio %.2f)",
		total[0], total[1], total[0]/total[1], total[2], total[0]/total[2])
	kept := measured.Of(t, "days")
	for i, name := range []string{"this plan", "in order of last visit day", "in the list's order"} {
		kept.Number(name, "true days avoided", total[i], 0, "")
		if i > 0 {
			kept.Number(name, "this plan is better, times", total[0]/total[i], 2, []string{"", "at least 1.3", "over 1"}[i])
		}
	}
	assert.Greater(t, total[0], 1.3*math.Max(total[1], 1))
	assert.Greater(t, total[0], total[2])
}

// The parts a drift rate is read from are the forecast's own: were they called
// otherwise, no rate would be found.
func TestForecastsNameTheirDrift(t *testing.T) {
	f := worlds.Demo(demo.Options{Units: 60, Years: 8, Seed: 2, World: demo.Default()})
	kinds := map[analysis.PartKind]bool{}
	for _, l := range listOf(t, f) {
		for _, fire := range forecastFires(l.Forecast) {
			for _, part := range fire.Parts {
				kinds[part.Kind] = true
			}
		}
	}
	assert.Contains(t, kinds, analysis.PartDrift)
	assert.Contains(t, kinds, analysis.PartSlope)
}

func forecastFires(f *analysis.Forecast) []analysis.FireForecast {
	if f == nil {
		return nil
	}
	return f.Fires
}

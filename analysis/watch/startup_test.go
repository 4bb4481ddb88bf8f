package watch_test

import (
	"context"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/datasets/worlds"
	"fluedrift/model/combustion"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

const startupAsOf = 20514 // 2026-03-02

// lostStartup is a start-up that was taken out of the records, with what it showed
// and what was true.
type lostStartup struct {
	recorded, whole, expected float64 // points
}

// lose takes every fourth start-up that has a factory test before it out of the
// records of a fleet.
func lose(f *worlds.DemoFleet, all []*judge.History, rules *judge.Config) map[string]lostStartup {
	unit := map[string]int{}
	for u := range f.Len() {
		unit[f.Serial(u)] = u
	}
	lost := map[string]lostStartup{}
	for i, h := range all {
		u, ok := unit[h.Unit.Serial]
		if !ok || i%4 != 0 {
			continue
		}
		for _, t := range h.Targets {
			bench := math.NaN()
			for k := range h.Readings {
				x := &h.Readings[k]
				if x.Fire != t.Fire || h.Visits[x.Visit].Reason == judge.FactoryTest && x.Condition != judge.AsLeft {
					continue
				}
				if h.Visits[x.Visit].Reason == judge.FactoryTest {
					bench = rules.Deviation(x)
					continue
				}
				if d := rules.Deviation(x) - bench; h.Visits[x.Visit].Reason == "start-up" && x.Condition == judge.AsFound && !math.IsNaN(d) {
					whole, _ := f.StartupShift(u, t.Fire, f.AirC(u, h.Unit.Installed))
					_, expected := f.StartupShift(u, t.Fire, f.ExpectedAirC(u, h.Unit.Installed))
					lost[h.Unit.Serial+" "+string(t.Fire)] = lostStartup{d, whole, expected}
				}
				break
			}
		}
		h.Readings = slices.DeleteFunc(h.Readings, func(x judge.Reading) bool { return h.Visits[x.Visit].Reason == "start-up" })
	}
	return lost
}

// shiftErrors are how far expected shifts lay from the truth.
type shiftErrors struct {
	n                       int
	line, fit               float64 // root mean square from what vent and air make
	lineWhole, fitWhole     float64 // and from the whole shift of the unit
	coveredLine, coveredFit int     // recorded shifts inside the interval
	coveredWhole            int     // true whole shifts inside that of the fit
	halfLine, halfFit       float64 // mean half width of the interval
}

// lostStartups expects the shifts of a fleet's lost start-ups, by the line and by
// the fit.
func lostStartups(t *testing.T, seed uint64, w demo.World) (out shiftErrors) {
	t.Helper()
	f := worlds.Demo(demo.Options{Units: 600, Years: 12, Seed: seed, AsOf: startupAsOf, World: w})
	values := f.Histories()
	var all []*judge.History
	for i := range values {
		all = append(all, &values[i])
	}
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8, "propane": 13.7}, combustion.AirO2Field)
	require.NoError(t, err)
	j := judge.DefaultConfig(fuels)
	lost := lose(f, all, &j)
	e := estimate.DefaultConfig(startupAsOf, j)
	e.Brief = true // no path of a forecast is looked at
	e.Held = map[judge.Fire]drift.Theta{judge.High: drift.FixedRatios, judge.Low: drift.FixedRatios, judge.Single: drift.FixedRatios}
	judged, err := fleet.Judge(t.Context(), all, fleet.Options{List: watch.DefaultConfig(startupAsOf, j), Model: e})
	require.NoError(t, err)
	found, err := fleet.Estimate(t.Context(), judged)
	require.NoError(t, err)
	starts, err := found.Startups(context.Background())
	require.NoError(t, err)
	// the invented lines': 5 ft
	v := watch.VentOptions{Elbow90M: e.Elbow90M, Elbow45M: e.Elbow45M, FactoryRunM: func(string, string) float64 { return 5 * 0.3048 }}
	byLine, _ := watch.StartupGaps(all, nil, watch.DefaultConfig(startupAsOf, j), v)
	v.Startups = watch.Startups{Units: starts.Units(), Expect: starts.Expect}
	byFit, _ := watch.StartupGaps(all, nil, watch.DefaultConfig(startupAsOf, j), v)
	name := func(g *watch.StartupGap) string { return g.Unit.Serial + " " + string(g.Fire) }
	lines := map[string]*watch.StartupGap{}
	for i := range byLine {
		lines[name(&byLine[i])] = &byLine[i]
	}
	for i := range byFit {
		g := &byFit[i]
		truth, ok := lost[name(g)]
		l := lines[name(g)]
		if !ok || g.ShiftBy != watch.ShiftByFit || l == nil || l.ShiftBy != watch.ShiftByLine {
			continue
		}
		out.add(truth, l, g)
	}
	for _, v := range []*float64{&out.line, &out.fit, &out.lineWhole, &out.fitWhole} {
		*v = math.Sqrt(*v / float64(out.n))
	}
	out.halfLine, out.halfFit = out.halfLine/float64(out.n), out.halfFit/float64(out.n)
	return out
}

func (s *shiftErrors) add(truth lostStartup, line, fit *watch.StartupGap) {
	square := func(g *watch.StartupGap, of float64) float64 { return (g.ShiftPoints - of) * (g.ShiftPoints - of) }
	inside := func(g *watch.StartupGap, of float64) int {
		if g.ShiftLow <= of && of <= g.ShiftHigh {
			return 1
		}
		return 0
	}
	s.n++
	s.line, s.fit = s.line+square(line, truth.expected), s.fit+square(fit, truth.expected)
	s.lineWhole, s.fitWhole = s.lineWhole+square(line, truth.whole), s.fitWhole+square(fit, truth.whole)
	s.coveredLine, s.coveredFit = s.coveredLine+inside(line, truth.recorded), s.coveredFit+inside(fit, truth.recorded)
	s.coveredWhole += inside(fit, truth.whole)
	s.halfLine, s.halfFit = s.halfLine+(line.ShiftHigh-line.ShiftLow)/2, s.halfFit+(fit.ShiftHigh-fit.ShiftLow)/2
}

// What is expected of start-ups that are not on record, against the truth: the fit
// of shifts comes nearer than the line by length, and its interval holds the
// recorded shifts it has not seen nine times in ten (0.85 to 0.95, in a few fleets
// two binomial errors wider). With FLUEDRIFT_LONG=1 over twenty fleets of each world.
func TestShiftsOfLostStartups(t *testing.T) {
	seeds, long := 2, os.Getenv("FLUEDRIFT_LONG") != ""
	if long {
		seeds = 20
	}
	plain := demo.Plain()
	plain.FactoryTests = true
	kept := measured.Of(t, "lost-startups")
	for name, w := range map[string]demo.World{"model": plain, "demo": demo.Default()} {
		t.Run(name, func(t *testing.T) {
			var sum shiftErrors
			var nearer []float64
			for seed := range seeds {
				s := lostStartups(t, uint64(seed+1), w)
				nearer = append(nearer, s.line-s.fit)
				sum.plus(&s, float64(seeds))
			}
			mean, sd := stat.MeanStdDev(nearer, nil)
			se := sd / math.Sqrt(float64(seeds))
			n := float64(sum.n)
			held := float64(sum.coveredFit) / n
			t.Logf("%d lost start-ups; error of what vent and air make: line %.3f, fit %.3f (nearer by %.3f, se %.3f); of the whole shift "+
				"%.3f, %.3f", sum.n, sum.line, sum.fit, mean, se, sum.lineWhole, sum.fitWhole)
			t.Logf("90 %% intervals hold recorded shifts: line %.3f, fit %.3f, half as wide as %.3f, %.3f; true shifts: fit %.3f",
				float64(sum.coveredLine)/n, held, sum.halfLine, sum.halfFit, float64(sum.coveredWhole)/n)
			kept.Number(name, "error of a line by length, points", sum.line, 3, "")
			kept.Number(name, "error of the fit, points", sum.fit, 3, "")
			kept.Mean(name, "fit nearer by, points", mean, se, 3, "at least 2 errors")
			kept.Number(name, "error against the whole shift, line", sum.lineWhole, 3, "")
			kept.Number(name, "error against the whole shift, fit", sum.fitWhole, 3, "")
			kept.Share(name, "90 % intervals hold, line, share", float64(sum.coveredLine)/n, sum.n, "")
			kept.Share(name, "90 % intervals hold, fit, share", held, sum.n, "0.85 to 0.95")
			kept.Number(name, "half width, line, points", sum.halfLine, 2, "")
			kept.Number(name, "half width, fit, points", sum.halfFit, 2, "")
			wider := 0.0
			if !long {
				wider = 2 * math.Sqrt(0.9*0.1/n)
			}
			require.GreaterOrEqual(t, held, 0.85-wider)
			require.LessOrEqual(t, held, 0.95+wider)
			require.Greater(t, mean, 0.0)
			if long {
				require.Greater(t, mean, 2*se)
			}
		})
	}
}

// plus adds the figures of one of several fleets.
func (s *shiftErrors) plus(o *shiftErrors, fleets float64) {
	s.n, s.coveredLine, s.coveredFit, s.coveredWhole = s.n+o.n, s.coveredLine+o.coveredLine, s.coveredFit+o.coveredFit,
		s.coveredWhole+o.coveredWhole
	s.line, s.fit, s.lineWhole, s.fitWhole = s.line+o.line/fleets, s.fit+o.fit/fleets, s.lineWhole+o.lineWhole/fleets,
		s.fitWhole+o.fitWhole/fleets
	s.halfLine, s.halfFit = s.halfLine+o.halfLine/fleets, s.halfFit+o.halfFit/fleets
}

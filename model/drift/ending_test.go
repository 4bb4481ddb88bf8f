package drift

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// groupsApart counts groups of analyzers that never meet.
type groupsApart int

// alarms are what the record of a fit says went other than it should: one entry
// a fault, none of a sound fit. The column for unknown vents is always out here,
// all vents being known.
func alarms(fit *Fit) (out []any) {
	end := fit.Ended()
	switch {
	case end.Search != nil && end.Search.Fallback != nil:
		out = append(out, end.Search.Fallback)
	case end.How != Estimated:
		out = append(out, end.How)
	}
	if e := end.Search; e != nil {
		for _, p := range e.NotDetected {
			out = append(out, p)
		}
		for _, h := range e.Held {
			out = append(out, h)
		}
	}
	for _, c := range fit.Coefficients {
		if c.Dropped != nil && c.Name != "vent unknown" {
			out = append(out, Dropped{c.Name, c.Dropped})
		}
	}
	groups := map[int]bool{}
	for _, b := range fit.Analyzers {
		if b.Component >= 0 {
			groups[b.Component] = true
		}
	}
	if len(groups) > 1 {
		out = append(out, groupsApart(len(groups)))
	}
	return out
}

// every changes all visits of a fleet.
func every(in *Input, change func(s *Series, v *Visit)) {
	for u := range in.Series {
		for v := range in.Series[u].Visits {
			change(&in.Series[u], &in.Series[u].Visits[v])
		}
	}
}

// analyzers gives every reading another analyzer, known by unit and the one it
// has, and takes the calibration periods away.
func analyzers(in *Input, n int, of func(unit, analyzer int) int) {
	for u := range in.Series {
		for v := range in.Series[u].Visits {
			vis := &in.Series[u].Visits[v]
			vis.Analyzer, vis.Period = of(u, vis.Analyzer), -1
			for k := range vis.Readings {
				vis.Readings[k].Analyzer, vis.Readings[k].Period = of(u, vis.Readings[k].Analyzer), -1
			}
		}
	}
	in.Analyzers, in.Periods = n, 0
}

// planted faults, each with all the alarms it must raise and no other.
var plantedEndings = []struct {
	name   string
	units  int
	search Search
	plant  func(in *Input)
	want   []any
}{
	{"all vents the same", 120, Search{}, func(in *Input) {
		for u := range in.Series {
			in.Series[u].Runs[0].Rate[1] = 0.5
		}
	}, []any{Dropped{"vent", Follows{From: []string{"time"}}}}},
	{"age not known apart from time", 120, Search{}, func(in *Input) {
		for u := range in.Series {
			in.Series[u].Runs[0].Grow[3], in.Series[u].Runs[0].Rate[3] = 0, 3*in.Series[u].Runs[0].Rate[1]
		}
	}, []any{Dropped{"age", Follows{From: []string{"vent"}}}}},
	{"one temperature", 120, Search{}, func(in *Input) {
		every(in, func(_ *Series, v *Visit) {
			for k := range v.Readings {
				v.Readings[k].Level = []float64{5}
			}
		})
	}, []any{Dropped{"temp", NeverChanges{}}}},
	{"too few units", 30, Search{}, func(*Input) {}, []any{WithPriors, Dropped{Settling, NeedsDifferences{Least: 400}}}},
	{"hardly any units", 2, Search{}, func(*Input) {}, []any{Defaults, Dropped{Settling, NeedsDifferences{Least: 20}}}},
	{"one analyzer", 120, Search{}, func(in *Input) {
		analyzers(in, 1, func(_, _ int) int { return 0 })
	}, []any{HeldPart{AnalyzerBias, NotEstimable}}},
	{"one analyzer a unit", 120, Search{}, func(in *Input) {
		analyzers(in, 8, func(u, _ int) int { return u % 8 })
	}, []any{HeldPart{AnalyzerBias, NotEstimable}}},
	{"three analyzers", 120, Search{}, func(in *Input) {
		analyzers(in, 3, func(_, a int) int { return a % 3 })
	}, []any{HeldPart{AnalyzerBias, FewCompared}}},
	{"two pools of analyzers", 120, Search{}, func(in *Input) {
		analyzers(in, 16, func(u, a int) int { return a + 8*(u%2) })
	}, []any{groupsApart(2)}},
	{"only as left", 120, Search{}, func(in *Input) {
		every(in, func(_ *Series, v *Visit) {
			v.Readings = v.Readings[len(v.Readings)-1:]
			v.Readings[0].Kind, v.Adjusted = AsLeft, Yes
		})
	}, []any{Defaults, Dropped{Settling, NeedsDifferences{Least: 20}}}},
	{"readings that never differ", 120, Search{}, func(in *Input) {
		every(in, func(_ *Series, v *Visit) {
			v.Readings = v.Readings[:1]
			v.Readings[0].Y, v.Adjusted = 0.05, No
		})
	}, []any{Defaults, Dropped{Settling, NeedsDifferences{Least: 20}}}},
	{"every reading written twice as two", 120, Search{}, func(in *Input) {
		for u := range in.Series {
			var doubled []Visit
			for _, v := range in.Series[u].Visits {
				v.Readings, v.Adjusted = v.Readings[:1], No
				doubled = append(doubled, v, v)
			}
			in.Series[u].Visits = doubled
		}
	}, []any{NoiseVanishes{}, Dropped{Settling, NeverChanges{}}}},
	{"pairs a year apart", 200, Search{}, func(in *Input) {
		for u := range in.Series {
			for v := range in.Series[u].Visits {
				vis := &in.Series[u].Visits[v]
				vis.T, vis.Adjusted = float64(v), Yes
				if len(vis.Readings) == 1 {
					again := vis.Readings[0]
					again.Kind = AsLeft
					vis.Readings = append(vis.Readings, again)
				}
			}
		}
	}, []any{HeldPart{Wandering, GapsAlike}, Dropped{Settling, Follows{From: []string{"time"}}}}},
	{"a search cut short", 120, Search{MaxEvaluations: 4}, func(*Input) {}, []any{NotSettled{Restarts: 3}}},
}

// No missed failure: each planted fault raises its alarms, and no false one
// beside them.
func TestPlantedEndings(t *testing.T) {
	for _, c := range plantedEndings {
		t.Run(c.name, func(t *testing.T) {
			in := invented(c.units, 8, 5)
			c.plant(&in)
			f, err := NewFleet(in)
			require.NoError(t, err)
			fit, err := f.Fit(ctx, Options{Ratios: c.search.Ratios})
			require.NoError(t, err)
			assert.Equal(t, c.want, alarms(fit))
		})
	}
}

// No false alarm: sound fleets raise none, however many faults are looked for.
func TestSoundEndings(t *testing.T) {
	for seed := range uint64(5) {
		f, err := NewFleet(invented(150, 8, 500+seed))
		require.NoError(t, err)
		fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
		require.NoError(t, err)
		assert.Empty(t, alarms(fit), "seed %d", 500+seed)
		assert.Equal(t, Estimated, fit.How)
	}
}

// A part that is not there: its ratio comes out at the boundary, said to be not
// detected, in about half of the fleets, and small in the others; the other parts
// raise nothing.
func TestEndingsAtTheBoundary(t *testing.T) {
	for _, c := range []struct {
		part   Part
		name   string
		change func(sd *sds)
		of     func(fit *Fit) float64
	}{
		{Wandering, "wandering", func(sd *sds) { sd.wander = 0 }, (*Fit).sqrtQ},
		{UnitSlope, "unit slope", func(sd *sds) { sd.slope = 0 }, (*Fit).tauSD},
		{AnalyzerBias, "analyzer bias", func(sd *sds) { sd.bias = 0 }, func(fit *Fit) float64 { b, _ := fit.BiasSD(); return b }},
		{PeriodBias, "bias by calibration period", func(sd *sds) { sd.period = 0 }, func(fit *Fit) float64 { _, b := fit.BiasSD(); return b }},
	} {
		t.Run(c.name, func(t *testing.T) {
			const fleets = 4
			found := 0
			for seed := range uint64(fleets) {
				sd := trueSDs
				c.change(&sd)
				in, _ := sd.invented(120, 8, 700+seed)
				f, err := NewFleet(in)
				require.NoError(t, err)
				fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
				require.NoError(t, err)
				got := alarms(fit)
				assert.Less(t, c.of(fit), 0.04)
				if len(got) == 0 {
					continue
				}
				require.Equal(t, []any{c.part}, got)
				require.Equal(t, []Part{c.part}, fit.Ended().Search.NotDetected)
				require.Zero(t, c.of(fit))
				found++
			}
			// none of 4, at one half each, has a chance of 6 %; the seeds are fixed
			assert.Positive(t, found)
			t.Logf("not detected in %d of %d", found, fleets)
		})
	}
}

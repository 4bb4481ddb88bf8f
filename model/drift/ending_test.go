package drift

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// alarms are what the record of a fit says went other than it should: one entry
// a fault, none of a sound fit. The column for unknown vents is always out here,
// all vents being known.
func alarms(fit *Fit) (out []string) {
	if fit.How != Estimated {
		out = append(out, fit.Ended)
	}
	if e := fit.Search; e != nil {
		out = append(append(out, e.NotDetected...), e.Held...)
	}
	for _, c := range fit.Coefficients {
		if c.Dropped != "" && c.Name != "vent unknown" {
			out = append(out, c.Name+": "+c.Dropped)
		}
	}
	groups := map[int]bool{}
	for _, b := range fit.Analyzers {
		if b.Component >= 0 {
			groups[b.Component] = true
		}
	}
	if len(groups) > 1 {
		out = append(out, fmt.Sprintf("%d groups of analyzers", len(groups)))
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
	want   []string
}{
	{"all vents the same", 120, Search{}, func(in *Input) {
		for u := range in.Series {
			in.Series[u].Runs[0].Rate[1] = 0.5
		}
	}, []string{"vent: it follows from time"}},
	{"age not known apart from time", 120, Search{}, func(in *Input) {
		for u := range in.Series {
			in.Series[u].Runs[0].Grow[3], in.Series[u].Runs[0].Rate[3] = 0, 3*in.Series[u].Runs[0].Rate[1]
		}
	}, []string{"age: it follows from vent"}},
	{"one temperature", 120, Search{}, func(in *Input) {
		every(in, func(_ *Series, v *Visit) {
			for k := range v.Readings {
				v.Readings[k].Level = []float64{5}
			}
		})
	}, []string{"temp: it never changes within a segment"}},
	{"too few units", 30, Search{}, func(*Input) {}, []string{"fixed ratios, 2", "settling after adjustment: it needs 400 differences"}},
	{"hardly any units", 2, Search{}, func(*Input) {}, []string{"nothing fitted", "settling after adjustment: it needs 20 differences"}},
	{"one analyzer", 120, Search{}, func(in *Input) {
		analyzers(in, 1, func(_, _ int) int { return 0 })
	}, []string{"analyzer bias (not estimable)"}},
	{"one analyzer a unit", 120, Search{}, func(in *Input) {
		analyzers(in, 8, func(u, _ int) int { return u % 8 })
	}, []string{"analyzer bias (not estimable)"}},
	{"three analyzers", 120, Search{}, func(in *Input) {
		analyzers(in, 3, func(_, a int) int { return a % 3 })
	}, []string{"analyzer bias (too few analyzers compared)"}},
	{"two pools of analyzers", 120, Search{}, func(in *Input) {
		analyzers(in, 16, func(u, a int) int { return a + 8*(u%2) })
	}, []string{"2 groups of analyzers"}},
	{"only as left", 120, Search{}, func(in *Input) {
		every(in, func(_ *Series, v *Visit) {
			v.Readings = v.Readings[len(v.Readings)-1:]
			v.Readings[0].Kind, v.Adjusted = AsLeft, Yes
		})
	}, []string{"nothing fitted, 0 differences", "settling after adjustment: it needs 20 differences"}},
	{"readings that never differ", 120, Search{}, func(in *Input) {
		every(in, func(_ *Series, v *Visit) {
			v.Readings = v.Readings[:1]
			v.Readings[0].Y, v.Adjusted = 0.05, No
		})
	}, []string{"nothing fitted", "settling after adjustment: it needs 20 differences"}},
	{"every reading written twice as two", 120, Search{}, func(in *Input) {
		for u := range in.Series {
			var doubled []Visit
			for _, v := range in.Series[u].Visits {
				v.Readings, v.Adjusted = v.Readings[:1], No
				doubled = append(doubled, v, v)
			}
			in.Series[u].Visits = doubled
		}
	}, []string{"fixed ratios: the noise runs to nothing", "settling after adjustment: it never changes"}},
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
	}, []string{"wandering (all gaps equal", "settling after adjustment: it follows from time"}},
	{"a search cut short", 120, Search{MaxEvaluations: 8}, func(*Input) {}, []string{"fixed ratios: the search did not settle"}},
}

// No missed failure: each planted fault raises its alarms, and no false one
// beside them; the line of the record is one line.
func TestPlantedEndings(t *testing.T) {
	for _, c := range plantedEndings {
		t.Run(c.name, func(t *testing.T) {
			in := invented(c.units, 8, 5)
			c.plant(&in)
			f, err := NewFleet(in)
			require.NoError(t, err)
			fit, err := f.Fit(ctx, Method{Ratios: c.search.Ratios})
			require.NoError(t, err)
			got := alarms(fit)
			require.Len(t, got, len(c.want), "%q", got)
			for i, words := range c.want {
				assert.Contains(t, got[i], words)
			}
			assert.NotEmpty(t, fit.Ended)
			assert.NotContains(t, fit.Ended, "\n")
		})
	}
}

// No false alarm: sound fleets raise none, however many faults are looked for.
func TestSoundEndings(t *testing.T) {
	for seed := range uint64(5) {
		f, err := NewFleet(invented(150, 8, 500+seed))
		require.NoError(t, err)
		fit, err := f.Fit(ctx, Method{Ratios: Search{}.Ratios})
		require.NoError(t, err)
		assert.Empty(t, alarms(fit), "seed %d", 500+seed)
		assert.True(t, strings.HasPrefix(fit.Ended, "ratios estimated, "), fit.Ended)
	}
}

// A part that is not there: its ratio comes out at the boundary, said to be not
// detected, in about half of the fleets, and small in the others; the other parts
// raise nothing.
func TestEndingsAtTheBoundary(t *testing.T) {
	for _, c := range []struct {
		part   string
		change func(sd *sds)
		of     func(fit *Fit) float64
	}{
		{"wandering", func(sd *sds) { sd.wander = 0 }, (*Fit).sqrtQ},
		{"unit slope", func(sd *sds) { sd.slope = 0 }, (*Fit).tauSD},
		{"analyzer bias", func(sd *sds) { sd.bias = 0 }, func(fit *Fit) float64 { b, _ := fit.BiasSD(); return b }},
		{"bias by calibration period", func(sd *sds) { sd.period = 0 }, func(fit *Fit) float64 { _, b := fit.BiasSD(); return b }},
	} {
		t.Run(c.part, func(t *testing.T) {
			const fleets = 4
			found := 0
			for seed := range uint64(fleets) {
				sd := trueSDs
				c.change(&sd)
				in, _ := sd.invented(120, 8, 700+seed)
				f, err := NewFleet(in)
				require.NoError(t, err)
				fit, err := f.Fit(ctx, Method{Ratios: Search{}.Ratios})
				require.NoError(t, err)
				got := alarms(fit)
				assert.Less(t, c.of(fit), 0.04)
				if len(got) == 0 {
					continue
				}
				require.Equal(t, []string{c.part}, got)
				require.Contains(t, fit.Ended, "not detected: "+c.part)
				require.Zero(t, c.of(fit))
				found++
			}
			// none of 4, at one half each, has a chance of 6 %; the seeds are fixed
			assert.Positive(t, found)
			t.Logf("not detected in %d of %d", found, fleets)
		})
	}
}

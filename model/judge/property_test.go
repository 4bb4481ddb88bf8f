package judge_test

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/day"
	. "fluedrift/model/judge"
)

// drawHistory draws a history rich in coincidences: few distinct values, equal
// days, every condition.
func drawHistory(t *rapid.T) *History {
	var visits []visit
	d := day.Day(-400)
	for range rapid.IntRange(0, 8).Draw(t, "visits") {
		d += day.Day(rapid.SampledFrom([]int{0, 1, 365}).Draw(t, "gap"))
		v := on(d, rapid.SampledFrom([]string{"", Yes, No}).Draw(t, "adjusted"))
		for _, fire := range []Fire{High, Low} {
			for _, condition := range []Condition{AsFound, Between, AsLeft} {
				if !rapid.Bool().Draw(t, "taken") {
					continue
				}
				x := full(condition, rapid.SampledFrom([]float64{9, 9.4, 10, 12.5, nan}).Draw(t, "co2"),
					rapid.SampledFrom([]float64{0.5, 5, nan}).Draw(t, "o2"), rapid.SampledFrom([]float64{0, 12, 3000, nan}).Draw(t, "co"),
					rapid.SampledFrom([]float64{60, 61, nan}).Draw(t, "flue"), nan)
				x.Fire = fire
				v.readings = append(v.readings, x)
			}
		}
		visits = append(visits, v)
	}
	return history(visits...)
}

// A judgement depends on its own unit alone: not on the order in which units
// are judged, nor on what was judged before.
func TestUnrelatedUnitsDoNotMatter(t *testing.T) {
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		var fleet []*History
		for range rapid.IntRange(1, 4).Draw(t, "units") {
			fleet = append(fleet, drawHistory(t))
		}
		first := make([]Judgement, len(fleet))
		for k, h := range fleet {
			first[k] = Judge(h, r)
		}
		for _, k := range rand.New(rand.NewPCG(1, uint64(len(fleet)))).Perm(len(fleet)) {
			require.Equal(t, first[k], Judge(fleet[k], r))
		}
	})
}

// Every reading has a use; only a finding, a value taken between or a missing
// gas takes one down; findings name readings of their own fire, in order, and
// a rich one is never passed as used.
func TestJudgementHoldsTogether(t *testing.T) {
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		h := drawHistory(t)
		j := Judge(h, r)
		require.Len(t, j.Uses, len(h.Readings))
		named := map[int]bool{}
		label := false
		for _, f := range j.Findings {
			require.Contains(t, factsOf[f.Kind], reflect.TypeOf(f.Facts), f.Kind)
			for k, i := range f.Readings {
				require.Equal(t, f.Fire, h.Readings[i].Fire)
				require.True(t, k == 0 || i > f.Readings[k-1])
				named[i] = true
			}
			label = label || f.Kind == FuelLabel
			if f.Kind == RichPossible {
				require.GreaterOrEqual(t, j.Uses[f.Readings[0]], StateOnly)
			}
		}
		for i, u := range j.Uses {
			x := &h.Readings[i]
			blank := x.Condition == Between || x.CO2Percent != x.CO2Percent && x.O2Percent != x.O2Percent
			require.True(t, u == Used || named[i] || blank || label, "reading %d is %s without a reason", i, u)
		}
	})
}

// A later visit at one fire changes nothing that was said about the other.
func TestFiresAreJudgedApart(t *testing.T) {
	r := rules(t)
	r.TargetOf = nil // a doubted fuel label concerns every fire by design
	rapid.Check(t, func(t *rapid.T) {
		h := drawHistory(t)
		before := Judge(h, r)
		n := len(h.Readings)
		x := full(AsFound, 9.4, nan, 12, 61, nan)
		x.Fire, x.Visit, x.Day = Single, len(h.Visits), 5000
		h.Visits = append(h.Visits, Visit{Day: 5000, Minute: -1})
		h.Readings = append(h.Readings, x)
		after := Judge(h, r)
		require.Equal(t, before.Uses, after.Uses[:n])
		require.Equal(t, before.Findings, after.Findings)
	})
}

// BenchmarkJudge judges a million readings: 25,000 units of ten visits with as
// found and as left at both fires. Less than 3 CPU seconds is the aim.
func BenchmarkJudge(b *testing.B) {
	r := rules(b)
	rng := rand.New(rand.NewPCG(7, 7))
	var visits []visit
	for k := range 10 {
		v := on(day.Day(100+365*k), Yes)
		for _, fire := range []Fire{High, Low} {
			for _, condition := range []Condition{AsFound, AsLeft} {
				x := full(condition, 9+0.1*float64(rng.IntN(5)), 4.9, float64(rng.IntN(40)), 60+0.1*float64(rng.IntN(60)), float64(rng.IntN(25)))
				x.Fire = fire
				v.readings = append(v.readings, x)
			}
		}
		visits = append(visits, v)
	}
	h := history(visits...)
	require.Len(b, h.Readings, 40)
	found := 0
	for b.Loop() {
		for range 25_000 {
			found += len(Judge(h, r).Findings)
		}
	}
	b.ReportMetric(float64(found)/float64(b.N)/25_000, "findings/unit")
}

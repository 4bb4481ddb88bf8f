package watch

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// unregistered is a history as it comes without its register rows: nothing is
// known but the readings, and those have neither fuel nor target.
func unregistered(h *judge.History) *judge.History {
	out := &judge.History{Unit: judge.Unit{
		Key: h.Unit.Key, Serial: h.Unit.Serial, Source: h.Unit.Source, Installed: day.None, StateFrom: day.None, RemovedDay: day.None,
		FirstDay: h.Unit.FirstDay, InputKW: math.NaN(),
	}, Visits: h.Visits, Readings: slices.Clone(h.Readings)}
	for i := range out.Readings {
		r := &out.Readings[i]
		r.Fuel, r.Target, r.VentRun = "", judge.Target{CO2Percent: math.NaN(), O2Percent: math.NaN()}, -1
	}
	return out
}

// By O2 no fuel is needed, at a reference O2 neither: 310 ppm at 6.1 % O2 are 438
// air-free, 375 at a reference of 3 % likewise (310 x 20.9/14.8 and 375 x
// 20.9/17.9, the form of 40 CFR 62.14650(f)). CO2 alone takes the highest CO2max,
// that of butane: 258 x 14.0/9.0 is 401.
func TestCOWithoutAFuel(t *testing.T) {
	reference := withCO(high(judge.AsLeft, 9.0), 375, judge.AtReference, "")
	reference.COReferenceO2Percent = 3
	for _, c := range []struct {
		name string
		r    judge.Reading
		want string
		any  bool
	}{
		{"O2", withGas(high(judge.AsLeft, 0), math.NaN(), 6.1, 310), "CO 438 ppm air-free", false},
		{"both gases", withGas(high(judge.AsLeft, 0), 8.4, 6.1, 310), "CO 438 ppm air-free", false},
		{"reference", reference, "CO 438 ppm air-free", false},
		{"CO2 alone", withCO(high(judge.AsLeft, 9.0), 258, judge.AsMeasured, ""), "CO 401 ppm air-free", true},
	} {
		l := Assess(unregistered(again(c.r)), testRules(), nil)
		require.Equal(t, COUrgentNow, l.Ground, c.name)
		require.Equal(t, c.want, Say.CO(&l.CO), c.name)
		require.Equal(t, c.any, l.Marked(MarkCOAnyFuel), c.name)
		require.False(t, marked(l, MarkCOAsMeasured), c.name)
	}
}

// drawCOHistory draws a unit whose CO, gases, fires and days lie about every
// limit that decides a level.
func drawCOHistory(t *rapid.T) *judge.History {
	h := unit()
	h.Visits, h.Readings = nil, nil
	h.Unit.Fuel = rapid.SampledFrom([]string{"natural gas", "propane", "peat"}).Draw(t, "fuel")
	h.Fuels[0].Fuel = h.Unit.Fuel
	at := dayOf(2017, time.January, 10)
	for range rapid.IntRange(1, 4).Draw(t, "visits") {
		at += day.Day(rapid.SampledFrom([]int{1, 300, 700}).Draw(t, "gap"))
		var readings []judge.Reading
		for range rapid.IntRange(1, 3).Draw(t, "readings") {
			fire, target := judge.High, highTarget
			if rapid.Bool().Draw(t, "low") {
				fire, target = judge.Low, lowTarget
			}
			r := reading(fire, rapid.SampledFrom([]judge.Condition{judge.AsFound, judge.AsLeft}).Draw(t, "condition"),
				rapid.SampledFrom([]float64{0, 1.9, 2.05, 8.6, 9.0, 9.6, 11.5, 12.5, 14.5, math.NaN()}).Draw(t, "co2"), target)
			r.O2Percent = rapid.SampledFrom([]float64{0.5, 0.99, 5, 6.1, 17, 18, 20.9, math.NaN()}).Draw(t, "o2")
			r.COPPM = rapid.SampledFrom([]float64{0, 20, 70, 99, 100, 250, 305, 399, 400, 900, math.NaN()}).Draw(t, "co")
			r.COBasis = rapid.SampledFrom([]string{judge.AsMeasured, judge.AirFree, judge.AtReference, "unknown"}).Draw(t, "basis")
			r.COLimit = rapid.SampledFrom([]string{"", "", "", judge.Below, judge.Above}).Draw(t, "limit")
			r.COReferenceO2Percent = rapid.SampledFrom([]float64{0, 3, math.NaN()}).Draw(t, "reference")
			r.Fuel = h.Unit.Fuel
			readings = append(readings, r)
		}
		// found before left
		slices.SortStableFunc(readings, func(a, b judge.Reading) int { return strings.Compare(string(a.Condition), string(b.Condition)) })
		visit(h, at, "annual", readings...)
	}
	return h
}

// A unit never has a lower level of CO because its register rows are missing.
func TestLostRegisterRowNeverLowersCO(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := drawCOHistory(t)
		with, without := Assess(h, testRules(), nil), Assess(unregistered(h), testRules(), nil)
		if with.CO.Level >= COAttention {
			require.GreaterOrEqual(t, without.CO.Level, with.CO.Level, "%s and %s", Say.CO(&with.CO), Say.CO(&without.CO))
			require.LessOrEqual(t, without.Group, BookSooner)
		}
		if with.Ground == COUrgentNow {
			require.Equal(t, COUrgentNow, without.Ground, "%s and %s", Say.CO(&with.CO), Say.CO(&without.CO))
		}
	})
	seen := map[Level]int{} // of fixed draws, so that chance never leaves a level out
	for seed := range 300 {
		h := rapid.Custom(drawCOHistory).Example(seed)
		one := Assess(h, testRules(), nil)
		seen[one.CO.Level]++
	}
	for _, level := range []Level{COBelow, COAttention, COUrgent} {
		require.Positive(t, seen[level], "level %d", level)
	}
}

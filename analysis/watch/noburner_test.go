package watch

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/model/judge"
)

// withGas gives a reading its gases and its CO as measured; NaN is not recorded.
func withGas(r judge.Reading, co2, o2, co float64) judge.Reading {
	r.CO2Percent, r.O2Percent, r.O2Decimals, r.COPPM = co2, o2, 1, co
	return r
}

// A reading with no burner at work replaces nothing: not an urgent CO, not a gas,
// not the record of what was left. CO 445 at 9.0 % CO2 of 11.8 % is 583 ppm air-free (identity
// CO x CO2max/CO2).
func TestNoBurnerReplacesNothing(t *testing.T) {
	nan := math.NaN()
	for name, last := range map[string]judge.Reading{
		"room air":             withGas(high(judge.AsLeft, 0), 0, 20.9, 0),
		"CO2 alone":            withGas(high(judge.AsLeft, 0), 0, nan, 0),
		"O2 alone":             withGas(high(judge.AsLeft, 0), nan, 20.5, 0),
		"CO under five":        withCO(withGas(high(judge.AsLeft, 0), nan, 20.5, nan), 5, judge.AsMeasured, judge.Below),
		"hardly any flue gas":  withGas(high(judge.AsLeft, 0), nan, 18, 1),
		"CO said to be free":   withCO(withGas(high(judge.AsLeft, 0), 0, 20.9, nan), 3, judge.AirFree, ""),
		"CO at a reference O2": withCO(withGas(high(judge.AsLeft, 0), 0, 20.9, nan), 3, judge.AtReference, ""),
	} {
		t.Run(name, func(t *testing.T) {
			h := again(withCO(high(judge.AsLeft, 9.0), 445, judge.AsMeasured, ""), low(judge.AsLeft, 8.6))
			visit(h, dayOf(2026, time.January, 12), "annual", last, withGas(low(judge.AsLeft, 8.6), 8.7, nan, 22))
			l := Assess(h, testRules(), nil)
			require.Equal(t, COUrgentNow, l.Ground)
			require.Equal(t, dayOf(2025, time.November, 3), l.CO.Day)
			require.Contains(t, said(l)[0], "CO 583 ppm air-free")
			require.Contains(t, said(l)[0], "no CO recorded at this fire since")
			require.Equal(t, dayOf(2026, time.January, 12), l.LastRoutine)
			require.Contains(t, Say.Marks(&l), "last visit not fully recorded: high fire is missing")
			require.InDelta(t, 9.0, l.Fires[0].CO2Percent, 1e-9)
			require.Contains(t, l.Marks, Mark{Mark: analysis.Mark{Kind: MarkFinding}, Finding: judge.NoBurner})
			fixes := FixesOf(l)
			require.Len(t, fixes, 1)
			require.Equal(t, "no-burner-at-work", fixes[0].Reason)
			require.True(t, fixes[0].Open)
			require.NotContains(t, fixes[0].Message, "NaN")
			require.True(t, slices.ContainsFunc(Tell(h, l, testRules()).Entries,
				func(e Entry) bool { return Say.Verdict(&e) == "no burner at work" }))
		})
	}
}

// A CO of the attention level or more that was read without a burner at work is
// what it says, or more: it stands in a tier of CO with its line.
func TestNoBurnerWithCO(t *testing.T) {
	for _, c := range []struct {
		ppm    float64
		ground Ground
	}{{99, ToPlan}, {100, COForAttention}, {399, COForAttention}, {400, COUrgentNow}} {
		h := unit()
		visit(h, dayOf(2026, time.January, 12), "call-out", withGas(high(judge.AsFound, 0), 0, 20.9, c.ppm))
		l := Assess(h, testRules(), nil)
		require.Equal(t, c.ground, l.Ground, c.ppm)
		if c.ground != ToPlan {
			require.Contains(t, said(l)[0], "ppm on a record that could not be used, north.csv:12 (high fire, 12 Jan 2026; no burner at work)")
		}
	}
}

// The least a CO can be never shows that it is low: without a gas nobody knows
// what 80 ppm as measured are, and "over 50" says nothing below.
func TestLowerBoundIsNotLow(t *testing.T) {
	nan := math.NaN()
	for name, last := range map[string]judge.Reading{
		"no gas":   withGas(high(judge.AsFound, 0), nan, nan, 80),
		"zero":     withGas(high(judge.AsFound, 0), nan, nan, 0),
		"over 50":  withCO(high(judge.AsFound, 9.0), 50, judge.AirFree, judge.Above),
		"no fuel":  func() judge.Reading { r := high(judge.AsFound, 9.0); r.Fuel = "peat"; r.CO2Percent = nan; return r }(),
		"over CO2": withGas(high(judge.AsFound, 0), 30, nan, 80),
	} {
		h := again(withCO(high(judge.AsLeft, 9.0), 445, judge.AsMeasured, ""), low(judge.AsLeft, 8.6))
		visit(h, dayOf(2026, time.January, 12), "call-out", last)
		require.Equal(t, COUrgentNow, Assess(h, testRules(), nil).Ground, name)
	}
	h := again(withCO(high(judge.AsLeft, 9.0), nan, "", ""), low(judge.AsLeft, 8.6))
	visit(h, dayOf(2026, time.January, 12), "call-out", withGas(high(judge.AsFound, 0), nan, nan, 80))
	l := Assess(h, testRules(), nil)
	require.True(t, l.Marked(MarkCOAsMeasured))
	require.False(t, l.Marked(MarkNoCO))
}

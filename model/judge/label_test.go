package judge_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	. "fluedrift/model/judge"
)

// lefts is a history of yearly as-left readings.
func lefts(co2 ...float64) *History {
	var visits []visit
	for k, v := range co2 {
		visits = append(visits, on(day.Day(100+365*k), "yes", value(AsFound, v+0.1), value(AsLeft, v)))
	}
	return history(visits...)
}

// labelOf returns the fuel label finding of a history, nil if none.
func labelOf(h *History, r Config) *Finding {
	for _, f := range Judge(h, r).Findings {
		if f.Kind == FuelLabel {
			return &f
		}
	}
	return nil
}

// Natural gas is set to 9.0 and propane to 10.0, so half way is 9.5.
func TestFuelLabel(t *testing.T) {
	r := rules(t)
	delete(r.Fuels, "butane") // so that propane is the one other fuel
	for name, c := range map[string]struct {
		h     *History
		doubt bool
	}{
		"set as propane":           {lefts(9.9, 10.0, 10.1), true},
		"just beyond half way":     {lefts(9.51, 9.51, 9.51), true},
		"just short of half way":   {lefts(9.49, 9.49, 9.49), false},
		"two as lefts are too few": {lefts(10.0, 10.0), false},
		"the median decides":       {lefts(10.0, 10.0, 9.0), true},
		"one stray of three":       {lefts(9.0, 9.0, 10.0), false},
		"away from the other fuel": {lefts(8.0, 8.0, 8.0), false},
		"set as propane of late":   {lefts(9, 9, 9, 9, 9, 10, 10, 10), true},
		"two of late are too few":  {lefts(9, 9, 9, 9, 9, 10, 10), false},
		"as found alone does not tell": {history(on(1, "no", value(AsFound, 10)), on(400, "no", value(AsFound, 10)),
			on(800, "no", value(AsFound, 10))), false},
	} {
		f := labelOf(c.h, r)
		require.Equal(t, c.doubt, f != nil, name)
		if f != nil {
			require.Equal(t, "propane", f.OtherFuel, name)
			require.Equal(t, SetAs{Percent: 10}, f.Facts, name)
		}
	}
}

// The readings under a doubted label leave the fit at every fire; those before
// an unrecorded conversion stay.
func TestFuelLabelTakesItsReadingsOutOfTheFit(t *testing.T) {
	h := lefts(10, 10, 10)
	h.Readings = append(h.Readings, change(func(x *Reading) { x.Visit, x.Day = 2, 830 }).with(low(value(AsFound, 9.8))))
	j := Judge(h, rules(t))
	for i, u := range j.Uses {
		require.Equal(t, StateOnly, u, i)
	}

	j = Judge(lefts(9, 9, 9, 9, 10, 10, 10), rules(t))
	for i, u := range j.Uses {
		want := Used
		if i >= 8 {
			want = StateOnly
		}
		require.Equal(t, want, u, i)
	}
}

// Fuels that are set alike cannot be told apart, a stretch of unknown fuel is
// no evidence, and without the other fuel's target there is nothing to compare.
func TestFuelLabelNeedsEvidence(t *testing.T) {
	r := rules(t)
	propane := func(h *History) *History {
		for i := range h.Readings {
			h.Readings[i].Fuel, h.Readings[i].Target = "propane", setTo(10.0)
		}
		return h
	}
	require.Nil(t, labelOf(propane(lefts(10.2, 10.2, 10.2)), r), "butane is set 0.1 from propane")
	require.Equal(t, "natural gas", labelOf(propane(lefts(9, 9, 9)), r).OtherFuel)

	h := lefts(10, 10, 10)
	for i := range h.Readings {
		h.Readings[i].FuelUncertain = true
	}
	require.Nil(t, labelOf(h, r))

	require.NotNil(t, labelOf(lefts(10, 10, 10), r))
	copies := history(on(1, "", full(AsLeft, 10, nan, 12, 61, nan)), on(400, "", full(AsLeft, 10, nan, 12, 61, nan)),
		on(800, "", full(AsLeft, 10, nan, 12, 61, nan)))
	require.Nil(t, labelOf(copies, r), "a copied as left is no further evidence")

	r.TargetOf = func(string, Fire, string, day.Day) Target { return Target{CO2Percent: nan, O2Percent: nan} }
	require.Nil(t, labelOf(lefts(10, 10, 10), r))
	r.TargetOf = nil
	require.Nil(t, labelOf(lefts(10, 10, 10), r))
}

// O2 readings are placed in O2: by 11.8 and 13.7 % CO2max in air of 20.9 %
// (declared), CO2 9.0 on natural gas is O2 4.96 and CO2 10.0 on propane 5.64,
// half way 5.30.
func TestFuelLabelFromO2(t *testing.T) {
	r := rules(t)
	delete(r.Fuels, "butane") // so that propane is the one other fuel
	byO2 := func(o2 float64, setting float64) *History {
		h := lefts(9, 9, 9)
		for i := range h.Readings {
			h.Readings[i].CO2Percent, h.Readings[i].O2Percent = nan, o2
			h.Readings[i].Target.SetRich, h.Readings[i].Target.SetLean = setting, setting
		}
		return h
	}
	require.NotNil(t, labelOf(byO2(5.64, 0.1), r))
	require.Nil(t, labelOf(byO2(5.2, 0.1), r))
	require.Nil(t, labelOf(byO2(5.64, 0.2), r), "0.68 points of O2 are under two bands of 0.35")
}

// Where nothing is declared on the other fuel, it stands for the CO2 that this fuel
// gives at the O2 of the unit's own target: by 11.8 and 13.7 % CO2max (declared) 9.0
// on natural gas is 10.45 on propane. A target in O2 is the same on any fuel.
func TestFuelLabelByAStandIn(t *testing.T) {
	r := rules(t)
	delete(r.Fuels, "butane")
	r.TargetOf = func(string, Fire, string, day.Day) Target { return Target{} }
	standing := func(co2 float64, target Target) *History {
		h := lefts(co2, co2, co2)
		h.Unit.Fuel, h.Targets = "natural gas", []FireTarget{{Fire: High, Target: target}}
		return h
	}
	found := labelOf(standing(10.4, setTo(9.0)), r)
	require.NotNil(t, found)
	require.Equal(t, "propane", found.OtherFuel)
	require.True(t, found.Open)
	require.InDelta(t, 9.0*13.7/11.8, found.Facts.(SetAs).Percent, 1e-9)
	require.Nil(t, labelOf(standing(9.1, setTo(9.0)), r))
	require.Nil(t, labelOf(standing(10.4, setToO2(5.0)), r))
}

package watch

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// stand is where a unit stands: the ground of its first reason, and the group.
type stand struct {
	ground Ground
	group  Group
}

// Where the units of the cases stand.
var (
	urgentToday      = stand{COUrgentNow, GoToday}
	urgentAsked      = stand{COUrgentNow, AskFirst}
	attention        = stand{COForAttention, BookSooner}
	inOrder          = stand{ToPlan, CanWait}
	leftOff          = stand{LeftOutside, BookSooner}
	leftOffAsked     = stand{LeftOutside, AskFirst}
	fuelAsked        = stand{FuelInDoubt, AskFirst}
	untested         = stand{NotTestedSince, BookSooner}
	untestedAsked    = stand{NotTestedSince, AskFirst}
	outNow           = stand{ProbablyOutside, BookSooner}
	outAhead         = stand{ExpectedOutside, BookSooner}
	unconfirmedAsked = stand{LastUnconfirmed, AskFirst}
	overdueNow       = stand{OverdueTest, TestOverdue}
	targetAsked      = stand{NoTarget, AskFirst}
	unreadAsked      = stand{NoReading, AskFirst}
	unreadOverdue    = stand{NoReading, TestOverdue}
)

// groundCase is a unit at which a ground just holds, or just does not.
type groundCase struct {
	name   string
	h      *judge.History
	f      *analysis.Forecast
	stands stand
	reason string // part of the first reason
}

func checkGrounds(t *testing.T, cases []groundCase) {
	t.Helper()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			l := Assess(c.h, testRules(), c.f)
			assert.Equal(t, c.stands, stand{l.Ground, l.Group})
			if assert.NotEmpty(t, l.Reasons) {
				assert.Contains(t, said(l)[0], c.reason)
			}
			assert.LessOrEqual(t, len(l.Reasons), 2)
		})
	}
}

// At 9.0 % CO2 of 11.8 % as measured becomes air-free times 11.8/9.0; 305 ppm
// is 399.9 air-free and 306 is 401.2 (identity CO x CO2max/CO2).
func TestCOUrgent(t *testing.T) {
	co := func(ppm float64, basis, limit string) *judge.History {
		return again(withCO(high(judge.AsLeft, 9.0), ppm, basis, limit), low(judge.AsLeft, 8.6))
	}
	older := unit()
	older.Visits, older.Readings = nil, nil
	visit(older, dayOf(2024, time.May, 6), "annual", withCO(high(judge.AsFound, 9.0), 500, judge.AsMeasured, ""), low(judge.AsLeft, 8.6))
	visit(older, dayOf(2025, time.May, 6), "annual", withCO(high(judge.AsLeft, 9.0), math.NaN(), "", ""), low(judge.AsLeft, 8.6))
	set := unit()
	set.Visits, set.Readings = nil, nil
	found := withCO(high(judge.AsFound, 9.6), 900, judge.AsMeasured, "")
	visit(set, dayOf(2025, time.May, 6), "annual", found, high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	isolated := co(900, judge.AirFree, "")
	isolated.Unit.State = "isolated"
	stray := co(900, judge.AirFree, "")
	stray.Unit = judge.Unit{Serial: "X", Installed: day.None, StateFrom: day.None, RemovedDay: day.None, FirstDay: day.None}
	stray.Targets = nil
	scarce := func(ppm float64) *judge.History {
		return again(withCO(withO2(high(judge.AsLeft, 0), 0.9), ppm, judge.AsMeasured, ""), low(judge.AsLeft, 8.6))
	}
	both := func(co2, o2 float64) *judge.History {
		r := withCO(high(judge.AsLeft, co2), 20, judge.AsMeasured, "")
		r.O2Percent, r.O2Decimals = o2, 1
		return again(r, low(judge.AsLeft, 8.6))
	}
	checkGrounds(t, []groundCase{
		{"made air-free", co(306, judge.AsMeasured, ""), nil, urgentToday, "CO 401 ppm air-free on 3 Nov 2025, urgent from 400 ppm"},
		{"just below", co(305, judge.AsMeasured, ""), nil, attention, "CO 400 ppm air-free"},
		{"air-free as it is", co(400, judge.AirFree, ""), nil, urgentToday, "CO 400 ppm"},
		{"air-free just below", co(399, judge.AirFree, ""), nil, attention, "CO 399 ppm"},
		{"unknown basis counts as measured", co(306, "unknown", ""), nil, urgentToday, "CO 401 ppm"},
		{"over range without a number", co(math.NaN(), judge.AsMeasured, judge.Above), nil, urgentToday, "over the analyzer's range"},
		{"over a number counts as the number", co(200, judge.AirFree, judge.Above), nil, attention, "CO over 200 ppm"},
		{"over a number, made air-free", co(200, judge.AsMeasured, judge.Above), nil, attention, "CO over 262 ppm"},
		{"over a number just below urgent", co(305, judge.AsMeasured, judge.Above), nil, attention, "CO over 400 ppm"},
		{"over a number that is urgent itself", co(306, judge.AsMeasured, judge.Above), nil, urgentToday, "CO over 401 ppm"},
		{"over a small number", co(50, judge.AirFree, judge.Above), nil, inOrder, "Nothing on record"},
		{"over the level for attention", co(100, judge.AirFree, judge.Above), nil, attention, "CO over 100 ppm"},
		{"below a number for attention", co(399, judge.AirFree, judge.Below), nil, attention, "CO below 399 ppm"},
		{"below a large number", co(500, judge.AirFree, judge.Below), nil, urgentToday, "CO below 500 ppm"},
		{"below a small number", co(5, judge.AirFree, judge.Below), nil, inOrder, "Nothing on record"},
		{"no CO recorded since", older, nil, urgentToday, "no CO recorded at this fire since"},
		{"mended at the same visit", set, nil, inOrder, "Nothing on record"},
		{"isolated", isolated, nil, urgentAsked, "make sure that it stays so"},
		{"serial not in the register", stray, nil, urgentToday, "CO 900 ppm"},
		{"hardly any oxygen, CO not recorded", scarce(math.NaN()), nil, urgentToday, "rich of stoichiometric"},
		{"hardly any oxygen, some CO", scarce(150), nil, urgentToday, "rich of stoichiometric"},
		{"on target without oxygen, CO low", both(9.0, 0.9), nil, urgentToday, "rich of stoichiometric"},
		{"on target with 1 % of oxygen", both(9.0, 1.0), nil, inOrder, "Nothing on record"},
		{"lean without oxygen, CO low", both(8.3, 0.9), nil, urgentToday, "a CO2 in band shows nothing"},
		{"rich of its band without oxygen, CO low", both(11.2, 0.9), nil, leftOffAsked, "left at"},
		{"hardly any oxygen, CO low", scarce(20), nil, leftOffAsked, "left at"},
	})
}

func TestFuelInDoubt(t *testing.T) {
	// Propane at 13.7 against 11.8 shows 10.45 % where natural gas shows 9.0 %:
	// half the way is 9.72 (identity 9.0 x (1 + 13.7/11.8)/2 = 9.725).
	lefts := func(values ...float64) *judge.History {
		h := unit()
		h.Visits, h.Readings = nil, nil
		for i, v := range values {
			visit(h, dayOf(2021+i, time.November, 3), "annual", high(judge.AsLeft, v), low(judge.AsLeft, 8.6))
		}
		return h
	}
	resolved := lefts(10.3, 10.4, 10.5, 10.4, 9.0)
	over := again(high(judge.AsLeft, 12.1), low(judge.AsLeft, 8.6))
	all := again(withCO(high(judge.AsLeft, 12.0), 0, judge.AirFree, ""), low(judge.AsLeft, 8.6))
	checkGrounds(t, []groundCase{
		{"three as lefts near the other fuel", lefts(10.3, 10.4, 10.5), nil, fuelAsked, "nearer to the target of"},
		{"three just this side of half way", lefts(9.7, 9.7, 9.7), nil, leftOffAsked, "0.7 points rich"},
		{"two are not enough", lefts(10.3, 10.4), nil, leftOffAsked, "1.4 points rich"},
		{"resolved since", resolved, nil, inOrder, "Nothing on record"},
		{"more CO2 than the fuel can give", over, nil, fuelAsked, "more than natural gas can give"},
		{"as much as it can give", all, nil, leftOffAsked, "3.0 points rich"},
	})
}

func TestLeftOutside(t *testing.T) {
	left := func(v float64) *judge.History { return again(high(judge.AsLeft, 9.0), low(judge.AsLeft, v)) }
	found := func(v float64, adjusted string) *judge.History {
		h := again(high(judge.AsFound, 9.0), low(judge.AsFound, v))
		h.Visits[0].AdjustedHigh, h.Visits[0].AdjustedLow = "no", adjusted
		return h
	}
	inO2Target := again(withO2(high(judge.AsLeft, 0), 4.6), low(judge.AsLeft, 8.6))
	inO2Target.Targets[0].Target.CO2Percent, inO2Target.Targets[0].Target.O2Percent = math.NaN(), 5.0
	edge := again(withO2(high(judge.AsLeft, 0), 5.3), low(judge.AsLeft, 8.6)) // 8.81 % CO2
	converted := again(withO2(high(judge.AsLeft, 0), 5.5), low(judge.AsLeft, 8.6))
	changed := unit()
	changed.Targets[1].Target = co2Target(8.9)
	fuel := left(8.1)
	fuel.Readings[1].Fuel = "propane"
	const (
		off  = "on 3 Nov 2025, target 8.6 ±0.2 % CO2: "
		kept = "found at 8.3 % CO2 " + off + "0.3 points lean of target, and nothing recorded after it"
	)
	checkGrounds(t, []groundCase{
		{"lean", left(8.1), nil, leftOffAsked, "Low fire left at 8.1 % CO2 " + off + "0.5 points lean of target."},
		{"a little lean", left(8.3), nil, leftOff, "0.3 points lean"},
		{"on the edge", left(8.4), nil, inOrder, "Nothing"},
		{"rich", left(8.9), nil, leftOff, "0.3 points rich"},
		{"found so and left so", found(8.3, "no"), nil, leftOff, kept},
		{"found so and adjusted", found(8.3, "yes"), nil, inOrder, "Nothing"},
		{"target in O2", inO2Target, nil, leftOffAsked, "High fire left at 4.6 % O2 on 3 Nov 2025, target 5.0 ±0.2 % O2: 0.4 points rich"},
		{"O2 against a target in CO2", converted, nil, leftOff, "left at 8.7 % CO2 (recorded as 5.5 % O2)"},
		{"O2 rounded from the edge", edge, nil, inOrder, "Nothing"},
		{"target changed since", changed, nil, leftOff, "target 8.9"},
		{"read on another fuel", fuel, nil, inOrder, "Nothing"},
	})
}

func TestNotTestedSince(t *testing.T) {
	january := dayOf(2026, time.January, 5)
	const (
		since   = "the vent run changed on 5 Jan 2026 (high fire last read on 3 Nov 2025)"
		perhaps = "May not have been tested since the vent run changed, some day between 2 Jun 2025 and 5 Jan 2026"
	)
	rerouted := func(from, uncertain day.Day) *judge.History {
		h := unit()
		run := h.VentRuns[0]
		h.VentRuns[0].Until, run.From, run.UncertainFrom, run.LengthM = from, from, uncertain, 14
		h.VentRuns = append(h.VentRuns, run)
		return h
	}
	afterTest := rerouted(january, dayOf(2025, time.December, 1))
	gap := rerouted(january, day.None)
	gap.VentRuns[1].Known = false
	converted := unit()
	propane := judge.FuelPeriod{From: january, Until: day.None, UncertainFrom: day.None, Fuel: "propane"}
	converted.Fuels = append(converted.Fuels, propane)
	converted.Unit.Fuel = "propane"
	half := rerouted(january, day.None)
	visit(half, dayOf(2026, time.January, 12), "vent altered", high(judge.AsLeft, 9.0))
	sameDay := rerouted(january, day.None)
	visit(sameDay, january, "vent altered", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	checkGrounds(t, []groundCase{
		{"vent rerouted", rerouted(january, day.None), nil, untested, since},
		{"tested after it", rerouted(dayOf(2025, time.October, 6), day.None), nil, inOrder, "Nothing"},
		{"on the day itself", sameDay, nil, inOrder, "Nothing"},
		{"one fire only after it", half, nil, untested, "low fire last read on 3 Nov 2025"},
		{"some day since", rerouted(january, dayOf(2025, time.June, 2)), nil, untestedAsked, perhaps},
		{"some day, all after the test", afterTest, nil, untested, "Not tested since the vent run changed, some day"},
		{"a gap in the register is no change", gap, nil, inOrder, "Nothing"},
		{"fuel changed", converted, nil, untested, "the fuel changed to propane on 5 Jan 2026"},
	})
}

func TestCOForAttention(t *testing.T) {
	co := func(ppm float64) *judge.History {
		return again(high(judge.AsLeft, 9.0), withCO(low(judge.AsLeft, 8.6), ppm, judge.AirFree, ""))
	}
	checkGrounds(t, []groundCase{
		{"at the level", co(100), nil, attention, "Low fire: CO 100 ppm air-free on 3 Nov 2025, for attention from 100 ppm."},
		{"below it", co(99), nil, inOrder, "Nothing"},
	})
}

func TestForecastGrounds(t *testing.T) {
	const atWorst = "30 % likely out of limits today, 55 % at worst before its planned visit (10 Jun 2026), more likely on the lean side."
	unconfirmed := func(read, out float64) *analysis.Unconfirmed {
		return &analysis.Unconfirmed{Day: asOf - 100, ReadPercent: read, ExpectedPercent: 8.6, MistakeProbability: 0.6, LargerOut: out}
	}
	forecast := func(now, planned, worst float64) *analysis.Forecast {
		c := func(v float64, on day.Day) analysis.Probability {
			return analysis.Probability{Day: on, Rich: v / 4, Lean: 3 * v / 4}
		}
		return &analysis.Forecast{Fires: []analysis.FireForecast{{
			Fire: judge.Low, RatePercent: math.NaN(), CO2Percent: 8.3, LowPercent: 8.1, HighPercent: 8.5, TargetCO2Percent: 8.6,
			Today: c(now, asOf), Planned: c(planned, asOf+200), Worst: c(worst, asOf+100),
			FirstOutside: analysis.LeavingWithin, FirstOutsideFrom: dayOf(2026, time.May, 3), FirstOutsideTo: dayOf(2026, time.October, 3),
		}}}
	}
	verify := forecast(0.2, 0.2, 0.2)
	verify.Fires[0].Unconfirmed = unconfirmed(7.9, 0.7)
	calm := forecast(0.2, 0.2, 0.2)
	calm.Fires[0].Unconfirmed = unconfirmed(8.4, 0.4)
	checkGrounds(t, []groundCase{
		{"outside now", unit(), forecast(0.5, 0.6, 0.6), outNow, "50 % likely out of limits today, more likely on the lean side"},
		{"not quite", unit(), forecast(0.49, 0.4, 0.4), inOrder, "Nothing"},
		{"by the planned day", unit(), forecast(0.3, 0.5, 0.4), outAhead, "Expected to leave its limits between May and October 2026."},
		{"in the worst month", unit(), forecast(0.3, 0.2, 0.55), outAhead, atWorst},
		{"unconfirmed last reading", unit(), verify, unconfirmedAsked, "nothing since confirms it: a typing error, or the burner changed"},
		{"unconfirmed, inside either way", unit(), calm, inOrder, "Nothing"},
	})
}

func TestOverdueAndTarget(t *testing.T) {
	const (
		yesterday = "No routine visit within the interval: the last was on 1 Mar 2025, " +
			"the next was planned for 1 Mar 2026 (1 day overdue)."
		neverRoutine = "No routine visit on record: one was due by 7 May 2019 (6 years overdue). " +
			"The visit on 3 Nov 2025 (call-out) does not count: not every fire was read."
	)
	at := func(on day.Day) *judge.History {
		h := again(high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
		h.Visits[0].Day = on
		for i := range h.Readings {
			h.Readings[i].Day = on
		}
		return h
	}
	none := unit()
	none.Targets = nil
	for i := range none.Readings {
		none.Readings[i].Target = judge.Target{CO2Percent: math.NaN(), O2Percent: math.NaN()}
	}
	noBand := unit()
	noBand.Targets[0].Target.SetRich, noBand.Targets[0].Target.SetLean = math.NaN(), math.NaN()
	never := again(high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	never.Visits[0].Reason = "call-out"
	never.Readings[1].CO2Percent = math.NaN() // its CO alone was read
	called := at(dayOf(2025, time.March, 1))
	visit(called, dayOf(2026, time.January, 5), "call-out", high(judge.AsLeft, 9.0))
	silent := at(dayOf(2025, time.March, 1))
	visit(silent, dayOf(2026, time.January, 5), "")
	unleft := again(high(judge.AsFound, 9.0), low(judge.AsFound, 8.6))
	unleft.Visits[0].AdjustedHigh, unleft.Visits[0].AdjustedLow = "yes", "yes"
	stray := unit()
	stray.Unit.InRegister, stray.Targets = false, nil
	checkGrounds(t, []groundCase{
		{"planned for yesterday", at(dayOf(2025, time.March, 1)), nil, overdueNow, yesterday},
		{"planned for today", at(dayOf(2025, time.March, 2)), nil, inOrder, "planned for 2 Mar 2026"},
		{"no routine visit", never, nil, overdueNow, neverRoutine},
		{"called out since", called, nil, overdueNow, "The visit on 5 Jan 2026 (call-out) does not count: not every fire was read."},
		{"nothing read since", silent, nil, overdueNow, "The visit on 5 Jan 2026 does not count: no CO2 or O2 was written down."},
		{"visited within the year, what was left not recorded", unleft, nil, inOrder, "planned for 3 Nov 2026"},
		{"no target", none, nil, targetAsked, `No target declared for model line "Kestrel 300" on "natural gas" at high fire`},
		{"no band", noBand, nil, targetAsked, "has no setting band"},
		{"serial not in the register", stray, nil, targetAsked, "not in the register"},
	})
}

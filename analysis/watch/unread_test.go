package watch

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// unreadUnit is a unit on the register that nobody has read.
func unreadUnit() *judge.History {
	h := unit()
	h.Visits, h.Readings = nil, nil
	return h
}

// A unit without a reading is asked about, or overdue, whatever its vent or a forecast
// say, and the reason names what is known of the cause.
func TestUnitWithoutAReading(t *testing.T) {
	factory := unit()
	factory.Visits[0].Reason = "factory test"
	seen := unreadUnit()
	visit(seen, dayOf(2025, time.May, 6), "annual")
	cold := again(withO2(withCO(high(judge.AsFound, 0), math.NaN(), "", ""), 20.5))
	cold.Readings[0].COPPM = math.NaN()
	rerouted := unreadUnit()
	run := rerouted.VentRuns[0]
	rerouted.VentRuns[0].Until, run.From = dayOf(2026, time.January, 5), dayOf(2026, time.January, 5)
	rerouted.VentRuns = append(rerouted.VentRuns, run)
	undated := unreadUnit()
	undated.Unit.Installed = day.None
	noTargets := unreadUnit()
	noTargets.Targets = nil
	gasless := unit()
	for i := range gasless.Readings {
		gasless.Readings[i].CO2Percent = math.NaN()
	}
	checkGrounds(t, []groundCase{
		{"never visited", unreadUnit(), nil, unreadOverdue, "No reading on record: no visit since it was installed on 7 May 2018."},
		{"only the factory's test", factory, nil, unreadOverdue, "No reading on record: no visit since"},
		{
			"visited, nothing written down", seen, nil, unreadAsked,
			"last visited on 6 May 2025, and no CO2 or O2 of a burner at work was written down",
		},
		{"no burner at work", cold, nil, unreadAsked, "last visited on 3 Nov 2025"},
		{"vent changed since", rerouted, nil, unreadOverdue, "No reading on record"},
		{"no install day", undated, nil, unreadAsked, "no visit, and no install day"},
		{"no target either", noTargets, nil, unreadOverdue, "No reading on record"},
		{"its CO alone was read, as the least it can be", gasless, nil, unreadAsked, "no CO2 or O2 of a burner at work was written down"},
	})
	l := Assess(noTargets, testRules(), nil)
	assert.True(t, marked(l, MarkNoReading))
	require.Len(t, FixesOf(l), 1)
	assert.Equal(t, ReasonNoTargetLine, FixesOf(l)[0].Reason)

	r := testRules()
	r.Unused = map[string]Unused{"0070-1": {Lines: 3, First: "north.csv:12"}}
	l = Assess(unreadUnit(), r, nil)
	assert.Equal(t, AskFirst, l.Group)
	assert.Equal(t, "No reading on record: 3 lines of it could not be used, the first north.csv:12. Correct the record.", said(l)[0])
	assert.Contains(t, said(l)[1], "No routine visit on record")
}

// A unit whose register line was set aside stays on the list, and the line is
// named as the cause.
func TestRegisterLineSetAsideIsNamed(t *testing.T) {
	h := unit()
	h.Unit.InRegister = false
	r := testRules()
	assert.Contains(t, said(Assess(h, r, nil))[0], "Serial not in the register")
	r.Unused = map[string]Unused{"0070-1": {Register: "units.csv:4"}}
	l := Assess(h, r, nil)
	assert.Equal(t, NoTarget, l.Ground)
	assert.Equal(t, "Its line of the register, units.csv:4, was set aside: only its CO is judged until that line is corrected.", said(l)[0])
}

// Units without a reading stand behind those booked sooner, before those that can wait,
// the longest overdue first; they are counted.
func TestUnitsWithoutAReadingStandBehindThoseBooked(t *testing.T) {
	named := func(h *judge.History, serial string) *judge.History {
		h.Unit.Serial = serial
		return h
	}
	overdue := named(unit(), "overdue")
	overdue.Visits[0].Day = dayOf(2023, time.May, 6)
	for i := range overdue.Readings {
		overdue.Readings[i].Day = overdue.Visits[0].Day
	}
	later := named(unreadUnit(), "later")
	later.Unit.Installed = dayOf(2024, time.May, 6)
	out := &analysis.Forecast{Fires: []analysis.FireForecast{{
		Fire: judge.High, RatePercent: math.NaN(),
		Today: analysis.Probability{Day: asOf, Rich: 0.9},
	}}}
	r := testRules()
	lines := []Line{
		Assess(later, r, nil), Assess(named(unreadUnit(), "never"), r, nil), Assess(named(unit(), "wait"), r, nil),
		Assess(overdue, r, nil), Assess(named(unit(), "out"), r, out),
	}
	var serials []string
	for _, l := range Order(lines) {
		serials = append(serials, l.Unit.Serial)
	}
	assert.Equal(t, []string{"out", "never", "overdue", "later", "wait"}, serials)
	s := Summarize(lines, r)
	assert.Equal(t, 2, s.Unread)
	assert.InDelta(t, 0.4, s.UnreadShare(), 1e-12)
}

// While exports are unread, what is not found may stand in them.
func TestNothingIsOnNoRecordWhileExportsAreUnread(t *testing.T) {
	fresh, r := unreadUnit(), testRules()
	require.Contains(t, said(Assess(fresh, r, nil))[0], "No reading on record: no visit since it was installed on ")
	r.NotRead = "north_2026.csv, up and 2 more"
	require.Contains(t, said(Assess(fresh, r, nil))[0],
		"No reading in what was read (not read: north_2026.csv, up and 2 more): no visit since it was installed on ")
	l := Assess(fresh, r, nil)
	require.Contains(t, strings.Join(Say.Standing(&l, r.NotRead), " "),
		"No routine visit in what was read (not read: north_2026.csv, up and 2 more)")
	sheet := SheetOf(fresh, &l, r, nil)
	require.Contains(t, Say.Sheet(&sheet).LastTest, "none in what was read (not read: north_2026.csv, up and 2 more); due by ")
}

package watch

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// The calendar's own facts.
func TestAddMonths(t *testing.T) {
	for _, c := range []struct {
		from day.Day
		n    int
		want day.Day
	}{
		{dayOf(2025, time.January, 31), 1, dayOf(2025, time.February, 28)},
		{dayOf(2024, time.January, 31), 1, dayOf(2024, time.February, 29)},
		{dayOf(2024, time.February, 29), 12, dayOf(2025, time.February, 28)},
		{dayOf(2025, time.October, 31), 6, dayOf(2026, time.April, 30)},
		{dayOf(2025, time.December, 15), 12, dayOf(2026, time.December, 15)},
		{dayOf(1969, time.December, 31), 2, dayOf(1970, time.February, 28)},
		{dayOf(2025, time.March, 2), 0, dayOf(2025, time.March, 2)},
	} {
		assert.Equal(t, Say.Day(c.want), Say.Day(c.from.AddMonths(c.n)))
	}
}

func TestIntoService(t *testing.T) {
	summer := []time.Month{time.May, time.June, time.July, time.August, time.September}
	for _, c := range []struct {
		name     string
		day      day.Day
		months   []time.Month
		expected day.Day
	}{
		{"any month", dayOf(2026, time.January, 4), nil, dayOf(2026, time.January, 4)},
		{"in service", dayOf(2026, time.May, 1), summer, dayOf(2026, time.May, 1)},
		{"last day", dayOf(2026, time.September, 30), summer, dayOf(2026, time.September, 30)},
		{"just after", dayOf(2026, time.October, 1), summer, dayOf(2026, time.September, 30)},
		{"just before", dayOf(2026, time.April, 30), summer, dayOf(2026, time.May, 1)},
		{"nearer back over the year's end", dayOf(2027, time.January, 10), summer, dayOf(2026, time.September, 30)}, // 102 days back, 111 on
		{"nearer ahead", dayOf(2027, time.January, 20), summer, dayOf(2027, time.May, 1)},                           // 112 back, 101 on
		{"one month a year", dayOf(2026, time.March, 15), []time.Month{time.December}, dayOf(2025, time.December, 31)},
	} {
		assert.Equal(t, Say.Day(c.expected), Say.Day(intoService(c.day, c.months)), c.name)
	}
}

// A day moved into the service months is in them, and no nearer day is.
func TestIntoServiceIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		months := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) time.Month { return time.Month(rapid.IntRange(1, 12).Draw(t, "month")) }), 1,
			5).Draw(t, "months")
		from := day.Day(rapid.IntRange(0, 30000).Draw(t, "day"))
		to := intoService(from, months)
		assert.True(t, inService(to, months))
		gap := max(int32(to-from), int32(from-to))
		for d := range gap {
			assert.False(t, inService(from-day.Day(d), months) || inService(from+day.Day(d), months))
		}
	})
}

// A routine visit is one that the calendar asks for, whatever it wrote down, or one of
// any reason with a reading at every fire (common practice, no source).
func TestPlan(t *testing.T) {
	on, later := dayOf(2025, time.November, 3), dayOf(2026, time.January, 12)
	called := func(reason judge.Reason, readings ...judge.Reading) *judge.History {
		h := unit()
		visit(h, later, reason, readings...)
		return h
	}
	factory := unit()
	factory.Visits[0].Reason = judge.FactoryTest
	future := unit()
	visit(future, asOf+1, judge.Annual, high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	neverInstalled := called(judge.CallOut)
	neverInstalled.Visits, neverInstalled.Readings = neverInstalled.Visits[1:], nil
	neverInstalled.Unit.Installed = day.None
	nothing := unit()
	nothing.Visits, nothing.Readings = nil, nil
	nothing.Unit.Installed, nothing.Unit.FirstDay = day.None, day.None
	here, there := movedUnit(later-1, day.None), movedUnit(later+1, day.None)
	visit(here, later, judge.Annual)
	visit(there, later, judge.Annual)
	installed, next, after := dayOf(2019, time.May, 7), on.AddMonths(12), later.AddMonths(12)
	for name, c := range map[string]struct {
		h    *judge.History
		want Plan
	}{
		"annual, left at both fires":   {unit(), Plan{on, next, false, false}},
		"annual, one found outside":    {again(high(judge.AsFound, 9.1), low(judge.AsFound, 8.3)), Plan{on, next, false, false}},
		"annual, one fire":             {called(judge.Annual, high(judge.AsLeft, 9.0)), Plan{later, after, false, false}},
		"annual, no burner at work":    {called(judge.Annual, high(judge.AsLeft, 0.2)), Plan{later, after, false, false}},
		"annual, nothing read":         {called(judge.Annual), Plan{later, after, false, false}},
		"start-up, nothing read":       {called(judge.StartUp), Plan{later, after, false, false}},
		"seasonal start, nothing read": {called(judge.SeasonalStart), Plan{later, after, false, false}},
		"call-out, nothing read":       {called(judge.CallOut), Plan{on, next, false, false}},
		"call-out, one fire":           {called(judge.CallOut, high(judge.AsLeft, 9.0)), Plan{on, next, false, false}},
		"call-out, both fires, one cold": {
			called(judge.CallOut, high(judge.AsLeft, 9.0), low(judge.AsLeft, 0.2)),
			Plan{on, next, false, false},
		},
		"call-out, both as found": {
			called(judge.CallOut, high(judge.AsFound, 9.0), low(judge.AsFound, 8.0)),
			Plan{later, after, false, false},
		},
		"after repair, found and left": {
			called(judge.AfterRepair, high(judge.AsLeft, 9.0), low(judge.AsFound, 8.6)),
			Plan{later, after, false, false},
		},
		"no reason, one fire":                {called("", low(judge.AsLeft, 8.6)), Plan{on, next, false, false}},
		"no reason, both fires":              {called("", high(judge.Between, 9.0), low(judge.AsLeft, 8.6)), Plan{later, after, false, false}},
		"a factory test is none":             {factory, Plan{day.None, installed, true, false}},
		"after the as-of day":                {future, Plan{on, next, false, false}},
		"moved since":                        {there, Plan{day.None, (later + 1).AddMonths(12), false, true}},
		"visited where it moved to":          {here, Plan{later, after, false, false}},
		"no install day: first record's day": {neverInstalled, Plan{day.None, installed, true, false}},
		"no day at all":                      {nothing, Plan{day.None, day.None, true, false}},
	} {
		t.Run(name, func(t *testing.T) { assert.Equal(t, c.want, PlanOf(c.h, testRules())) })
	}
}

// What a routine visit did not record is a mark of the unit, and named; it makes no
// test overdue.
func TestUnrecordedIsAMark(t *testing.T) {
	adjusted := func(answer string, readings ...judge.Reading) *judge.History {
		h := unit()
		v := visit(h, dayOf(2026, time.January, 12), judge.Annual, readings...)
		v.AdjustedHigh, v.AdjustedLow = answer, answer
		return h
	}
	since := adjusted("", high(judge.AsLeft, 9.0))
	visit(since, dayOf(2026, time.February, 2), judge.CallOut, high(judge.AsLeft, 9.0))
	point := func(rate float64) judge.Reading {
		r := reading(judge.Point, judge.AsFound, 9.5, highTarget)
		r.RatePercent = rate
		return r
	}
	points := again(point(100), point(50))
	points.Readings[1].Condition = judge.AsLeft
	visit(points, dayOf(2026, time.January, 12), judge.Annual, point(100), point(50))
	noHabit := again(high(judge.AsFound, 9.0), low(judge.AsFound, 8.0))
	for name, c := range map[string]struct {
		h    *judge.History
		want string
	}{
		"left at both":           {unit(), ""},
		"found inside at both":   {adjusted("", high(judge.AsFound, 9.1), low(judge.AsFound, 8.5)), ""},
		"found outside, not set": {adjusted(judge.No, high(judge.AsFound, 9.1), low(judge.AsFound, 8.1)), ""},
		"found outside": {
			adjusted("", high(judge.AsFound, 9.1), low(judge.AsFound, 8.1)),
			"last visit not fully recorded: low fire as left is missing",
		},
		"found inside, then set": {
			adjusted(judge.Yes, high(judge.AsFound, 9.1), low(judge.AsFound, 8.5)),
			"last visit not fully recorded: high fire and low fire as left are missing",
		},
		"one fire not read": {adjusted("", high(judge.AsLeft, 9.0)), "last visit not fully recorded: low fire is missing"},
		"one as left, one missing": {
			adjusted(judge.Yes, high(judge.AsFound, 9.0)),
			"last visit not fully recorded: high fire as left and low fire are missing",
		},
		"a call-out since":       {since, "last routine visit not fully recorded: low fire is missing"},
		"nothing read":           {adjusted(""), ""}, // "last visit without CO2 and O2" says it
		"points":                 {points, "last visit not fully recorded: point as left is missing"},
		"nobody records as left": {noHabit, ""}, // "only as-found readings" says it
	} {
		t.Run(name, func(t *testing.T) {
			l := Assess(c.h, testRules(), nil)
			assert.LessOrEqual(t, l.DaysOverdue, int32(0))
			assert.Equal(t, c.want != "", marked(l, MarkUnrecorded))
			marks := Say.Marks(&l)
			if c.want == "" {
				assert.NotContains(t, marks, "not fully recorded")
				return
			}
			assert.Contains(t, marks, c.want)
			assert.Equal(t, 1, strings.Count(marks, "not fully recorded"))
		})
	}
}

// A short interval is never moved back to before the test it counts from.
func TestPlanIsAfterTheTest(t *testing.T) {
	r := testRules()
	r.IntervalMonths, r.ServiceMonths = 1, []time.Month{time.November}
	h := unit()
	h.Visits[0].Day = dayOf(2025, time.November, 30) // a month on is 30 December, and November ends nearer than it begins again
	assert.Equal(t, "1 Nov 2026", Say.Day(PlanOf(h, r).PlannedDay))
}

// A serial used again: the test and the CO of the boiler that had it before
// count for nothing (an identity: the list is that of the unit without them).
func TestEarlierInstallDoesNotCount(t *testing.T) {
	rules := testRules()
	h := unit()
	h.Visits, h.Readings = nil, nil
	visit(h, h.Unit.Installed-400, "annual", high(judge.AsLeft, 9), withCO(low(judge.AsLeft, 9), 900, judge.AirFree, ""))
	l := Assess(h, rules, nil)
	assert.True(t, l.NoRoutine)
	assert.NotEqual(t, COUrgentNow, l.Ground)
	bare := unit()
	bare.Visits, bare.Readings = nil, nil
	without := Assess(bare, rules, nil)
	assert.Equal(t, [2]any{without.Ground, without.PlannedDay}, [2]any{l.Ground, l.PlannedDay})
	g := unit()
	g.Visits, g.Readings = nil, nil
	visit(g, g.Unit.Installed-earlierInstallDays, "annual", high(judge.AsLeft, 9), withCO(low(judge.AsLeft, 9), 900, judge.AirFree, ""))
	assert.Equal(t, COUrgentNow, Assess(g, rules, nil).Ground) // the install day may be recorded late
}

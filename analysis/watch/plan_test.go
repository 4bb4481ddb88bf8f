package watch

import (
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
		months := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) time.Month { return time.Month(rapid.IntRange(1, 12).Draw(t, "month")) }), 1, 5).Draw(t, "months")
		from := day.Day(rapid.IntRange(0, 30000).Draw(t, "day"))
		to := intoService(from, months)
		assert.True(t, inService(to, months))
		gap := max(int32(to-from), int32(from-to))
		for d := range gap {
			assert.False(t, inService(from-day.Day(d), months) || inService(from+day.Day(d), months))
		}
	})
}

func TestPlan(t *testing.T) {
	on := dayOf(2025, time.November, 3)
	foundInside := again(high(judge.AsFound, 9.1), low(judge.AsFound, 8.5))
	foundOutside := again(high(judge.AsFound, 9.1), low(judge.AsFound, 8.3))
	foundAdjusted := again(high(judge.AsFound, 9.1), low(judge.AsFound, 8.5))
	foundAdjusted.Visits[0].AdjustedLow = "yes"
	oneFire := unit()
	visit(oneFire, dayOf(2026, time.January, 12), "call-out", high(judge.AsLeft, 9.0))
	onlyFire := again(high(judge.AsLeft, 9.0))
	twoVisits := again(high(judge.AsLeft, 9.0))
	visit(twoVisits, dayOf(2025, time.November, 10), "follow-up", low(judge.AsLeft, 8.6))
	factory := unit()
	factory.Visits[0].Reason = "factory test"
	future := unit()
	visit(future, asOf+1, "annual", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	cold := again(high(judge.AsLeft, 9.0), low(judge.AsLeft, 0.2))
	unknown := again(high(judge.AsFound, 9.0))
	unknown.Visits[0].AdjustedHigh = "yes"
	unknown.Unit.Installed = day.None
	nothing := unit()
	nothing.Visits, nothing.Readings = nil, nil
	nothing.Unit.Installed, nothing.Unit.FirstDay = day.None, day.None
	installed, next := dayOf(2019, time.May, 7), dayOf(2026, time.November, 3)
	for name, c := range map[string]struct {
		h    *judge.History
		want Plan
	}{
		"left at both fires":                 {unit(), Plan{on, next, false, false}},
		"found inside at both":               {foundInside, Plan{on, next, false, false}},
		"found outside at one":               {foundOutside, Plan{day.None, installed, true, false}},
		"found inside but adjusted":          {foundAdjusted, Plan{day.None, installed, true, false}},
		"one fire later":                     {oneFire, Plan{on, next, false, false}},
		"only one fire ever read":            {onlyFire, Plan{on, next, false, false}},
		"one fire each at two visits":        {twoVisits, Plan{day.None, installed, true, false}},
		"a factory test is none":             {factory, Plan{day.None, installed, true, false}},
		"after the as-of day":                {future, Plan{on, next, false, false}},
		"no burner at work":                  {cold, Plan{day.None, installed, true, false}},
		"no install day: first record's day": {unknown, Plan{day.None, installed, true, false}},
		"no day at all":                      {nothing, Plan{day.None, day.None, true, false}},
	} {
		t.Run(name, func(t *testing.T) { assert.Equal(t, c.want, PlanOf(c.h, testRules())) })
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
	assert.True(t, l.NeverTested)
	assert.NotEqual(t, COUrgentNow, l.Tier)
	bare := unit()
	bare.Visits, bare.Readings = nil, nil
	without := Assess(bare, rules, nil)
	assert.Equal(t, [2]any{without.Tier, without.PlannedDay}, [2]any{l.Tier, l.PlannedDay})
	g := unit()
	g.Visits, g.Readings = nil, nil
	visit(g, g.Unit.Installed-earlierInstallDays, "annual", high(judge.AsLeft, 9), withCO(low(judge.AsLeft, 9), 900, judge.AirFree, ""))
	assert.Equal(t, COUrgentNow, Assess(g, rules, nil).Tier) // the install day may be recorded late
}

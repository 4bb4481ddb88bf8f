package watch

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// A CO read without a burner at work stands until a full test records CO low at
// every fire: not one fire of it, not a test whose CO is missing or only known to
// be at least so much, not one before. Urgent CO of a burner at work gives way to
// the newest CO of its fire as well.
func TestCOIsSettledByAFullTest(t *testing.T) {
	nan := math.NaN()
	may, june := dayOf(2025, time.May, 6), dayOf(2025, time.June, 10)
	none := func(r judge.Reading) judge.Reading { r.COPPM = nan; return r }
	bound := withGas(high(judge.AsLeft, 0), nan, nan, 3)
	for name, c := range map[string]struct {
		later       []judge.Reading
		on          day.Day
		idle, plain Ground // where the CO was read without and with a burner at work
	}{
		"nothing":                {nil, june, COUrgentNow, COUrgentNow},
		"full test, low":         {[]judge.Reading{high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6)}, june, ToPlan, ToPlan},
		"one fire":               {[]judge.Reading{high(judge.AsLeft, 9.0)}, june, COUrgentNow, ToPlan},
		"CO missing at a fire":   {[]judge.Reading{high(judge.AsLeft, 9.0), none(low(judge.AsLeft, 8.6))}, june, COUrgentNow, ToPlan},
		"CO missing at its fire": {[]judge.Reading{none(high(judge.AsLeft, 9.0)), low(judge.AsLeft, 8.6)}, june, COUrgentNow, COUrgentNow},
		"at least 3":             {[]judge.Reading{bound, low(judge.AsLeft, 8.6)}, june, COUrgentNow, COUrgentNow},
		"found low, left blank": {
			[]judge.Reading{high(judge.AsFound, 9.0), none(high(judge.AsLeft, 9.0)), low(judge.AsLeft, 8.6)},
			june,
			COUrgentNow, ToPlan,
		},
		"left the same day":  {[]judge.Reading{high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6)}, may, ToPlan, ToPlan},
		"found the same day": {[]judge.Reading{high(judge.AsFound, 9.0), low(judge.AsFound, 8.6)}, may, COUrgentNow, ToPlan},
	} {
		for idle, want := range map[bool]Ground{true: c.idle, false: c.plain} {
			first := withGas(high(judge.AsFound, 0), 9.0, nan, 900)
			if idle {
				first = withGas(high(judge.AsFound, 0), 0, 20.9, 900)
			}
			h := again()
			h.Visits = nil
			visit(h, dayOf(2024, time.May, 6), "annual", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
			visit(h, may, "call-out", first)
			visit(h, c.on, "annual", c.later...)
			l := Assess(h, testRules(), nil)
			if want == COUrgentNow {
				require.Equal(t, want, l.Ground, "%s, idle %t", name, idle)
				require.Equal(t, may, l.CO.Day, name)
			} else {
				require.NotEqual(t, COUrgentNow, l.Ground, "%s, idle %t", name, idle)
			}
		}
	}
}

// A settled CO hides none that was read later.
func TestSettledCOHidesNoLaterOne(t *testing.T) {
	h := again(withGas(high(judge.AsFound, 0), 0, 20.9, 900))
	visit(h, dayOf(2025, time.November, 20), "annual", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	require.Equal(t, ToPlan, Assess(h, testRules(), nil).Ground)
	visit(h, dayOf(2026, time.January, 20), "call-out", withGas(high(judge.AsFound, 0), 0, 20.9, 150))
	require.Equal(t, COForAttention, Assess(h, testRules(), nil).Ground)
}

// A burner set at points stops at other rates at each visit: its urgent CO is
// settled by a full test as well, and by nothing less.
func TestCOAtAPointIsSettled(t *testing.T) {
	point := func(rate, co float64) judge.Reading {
		r := withCO(high(judge.AsLeft, 9.0), co, judge.AsMeasured, "")
		r.Fire, r.RatePercent = judge.Point, rate
		return r
	}
	history := func(co ...float64) *judge.History {
		h := again(point(60, 900))
		h.Visits = h.Visits[:0]
		h.Readings = nil
		visit(h, dayOf(2024, time.May, 6), "annual", point(60, 900), point(90, 20))
		visit(h, dayOf(2025, time.November, 3), "annual", point(40, co[0]), point(80, co[1]))
		return h
	}
	require.Equal(t, COUrgentNow, Assess(history(20, math.NaN()), testRules(), nil).Ground)
	require.Equal(t, COUrgentNow, Assess(history(math.NaN(), 20), testRules(), nil).Ground)
	l := Assess(history(20, 20), testRules(), nil)
	require.Greater(t, l.Ground, COForAttention)
	require.False(t, marked(l, MarkNoCO))
}

// An urgent CO says how old it is, and since when lists have asked.
func TestOldUrgentCOSaysItsAge(t *testing.T) {
	h := again(high(judge.AsLeft, 9.0))
	h.Visits, h.Readings = nil, nil
	visit(h, dayOf(2024, time.October, 23), "annual", withCO(high(judge.AsFound, 9.0), 500, judge.AsMeasured, ""), low(judge.AsFound, 8.6))
	lines := func() []Line { return []Line{Assess(h, testRules(), nil)} }
	before := asOf - 1

	l := lines()
	AskAgain(l, nil, testRules(), day.None)
	require.Equal(t, "High fire: CO 656 ppm air-free on 23 Oct 2024, urgent from 400 ppm; read 16 months ago; first asked for on this list.",
		said(l[0])[0])
	require.Equal(t, asOf, l[0].AskedSince)

	for name, c := range map[string]struct {
		e    Earlier
		want day.Day
	}{
		"asked then": {
			Earlier{Serial: "0070-1", Group: GoToday, AskedSince: dayOf(2024, time.November, 2)},
			dayOf(2024, time.November, 2),
		},
		"by an older program":    {Earlier{Serial: "0070-1", Group: GoToday, AskedSince: day.None}, before},
		"stood elsewhere":        {Earlier{Serial: "0070-1", Group: CanWait, AskedSince: day.None}, asOf},
		"another unit was asked": {Earlier{Serial: "0070-2", Group: GoToday, AskedSince: dayOf(2024, time.November, 2)}, asOf},
	} {
		l := lines()
		AskAgain(l, []Earlier{c.e}, testRules(), before)
		require.Equal(t, c.want, l[0].AskedSince, name)
		if c.want < asOf {
			require.Contains(t, said(l[0])[0], "; asked for since the list of "+Say.Day(c.want)+".", name)
		}
	}

	visit(h, asOf, "call-out", withCO(high(judge.AsFound, 9.0), 600, judge.AsMeasured, "")) // somebody went, and found it again
	l = lines()
	AskAgain(l, []Earlier{{Serial: "0070-1", Group: GoToday, AskedSince: dayOf(2024, time.November, 2)}}, testRules(), before)
	require.Equal(t, asOf, l[0].AskedSince)

	fine := []Line{Assess(unit(), testRules(), nil)}
	was := said(fine[0])[0]
	AskAgain(fine, nil, testRules(), day.None)
	require.Equal(t, was, said(fine[0])[0])
	require.Equal(t, day.None, fine[0].AskedSince)
}

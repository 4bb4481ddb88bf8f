package watch

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// unused is a CO as measured on a line that could not be used.
func unused(on day.Day, fire judge.Fire, ppm float64) judge.UnusedCO {
	nan := math.NaN()
	return judge.UnusedCO{
		Day: on, LatestDay: on, Fire: fire, Condition: judge.AsFound, COPPM: ppm, COBasis: judge.AsMeasured,
		COReferenceO2Percent: nan, O2Percent: nan, Reason: "out-of-physical-range", Origin: "north.csv:9",
	}
}

// A CO on a record that could not be used puts its unit into the tiers of CO as
// the least it can be: as recorded, or by its O2, 20.9/(20.9 - O2) (40 CFR 60
// Appendix A, Method 19, for dry gas).
func TestUnusedCOReachesTheTiers(t *testing.T) {
	on := dayOf(2026, time.January, 12)
	for name, c := range map[string]struct {
		co     func(*judge.UnusedCO)
		ground Ground
		ppm    float64
	}{
		"urgent as recorded":    {func(u *judge.UnusedCO) { u.COPPM = 900 }, COUrgentNow, 900},
		"attention as recorded": {func(u *judge.UnusedCO) { u.COPPM = 120 }, COForAttention, 120},
		"urgent by its O2":      {func(u *judge.UnusedCO) { u.COPPM, u.O2Percent = 300, 6.9 }, COUrgentNow, 300 * 20.9 / 14},
		"over range":            {func(u *judge.UnusedCO) { u.COPPM, u.COLimit = math.NaN(), judge.Above }, COUrgentNow, math.NaN()},
		"over 2000":             {func(u *judge.UnusedCO) { u.COPPM, u.COLimit = 2000, judge.Above }, COUrgentNow, 2000},
		"no burner at work":     {func(u *judge.UnusedCO) { u.COPPM, u.O2Percent = 120, 20.8 }, COForAttention, 120},
		"at a reference O2": {
			func(u *judge.UnusedCO) { u.COPPM, u.COBasis, u.COReferenceO2Percent = 90, judge.AtReference, 3 },
			COForAttention, 90 * 20.9 / 17.9,
		},
		"fire and day not known":  {func(u *judge.UnusedCO) { u.COPPM, u.Fire, u.Day = 900, "", day.None }, COUrgentNow, 900},
		"below":                   {func(u *judge.UnusedCO) { u.COPPM = 20 }, ToPlan, 20 * 11.8 / 8.6},
		"an upper limit":          {func(u *judge.UnusedCO) { u.COPPM, u.COLimit = 500, judge.Below }, ToPlan, 20 * 11.8 / 8.6},
		"not readable":            {func(u *judge.UnusedCO) { u.COPPM, u.Text = math.NaN(), "1?" }, CONotRead, 20 * 11.8 / 8.6},
		"known later":             {func(u *judge.UnusedCO) { u.COPPM, u.Day, u.LatestDay = 900, asOf+1, asOf+1 }, ToPlan, 20 * 11.8 / 8.6},
		"a day that is not known": {func(u *judge.UnusedCO) { u.COPPM, u.Day, u.LatestDay = 900, day.None, day.None }, COUrgentNow, 900},
	} {
		h := unit()
		u := unused(on, judge.High, math.NaN())
		c.co(&u)
		h.UnusedCO = []judge.UnusedCO{u}
		l := Assess(h, testRules(), nil)
		require.Equal(t, c.ground, l.Ground, name)
		if math.IsNaN(c.ppm) {
			require.True(t, math.IsNaN(l.CO.AirFreePPM), name)
		} else {
			require.InDelta(t, c.ppm, l.CO.AirFreePPM, 1e-9, name)
		}
	}
}

// What the list says of it: the number, the record, fire and day, why it could
// not be used and what to do; go today where it is urgent.
func TestUnusedCOInWords(t *testing.T) {
	h := unit()
	h.UnusedCO = []judge.UnusedCO{unused(dayOf(2026, time.January, 12), judge.High, 900)}
	l := Assess(h, testRules(), nil)
	require.Equal(t, GoToday, l.Group)
	require.Equal(t, "CO 900 ppm on a record that could not be used, north.csv:9 (high fire, 12 Jan 2026; out of physical range): at "+
		"least that much air-free, urgent from 400 ppm; read 49 days ago. Correct the record, or test the unit at every fire.", said(l)[0])
	require.True(t, marked(l, MarkCOUnused))
	require.Equal(t, "CO 900 ppm on a record that could not be used, north.csv:9", Say.CO(&l.CO))
	records := CORecords([]Line{l}, asOf)
	require.Equal(t, "CO 900 ppm on a record that could not be used, north.csv:9", Say.CO(&records[0].CO))
	e := Tell(h, l, testRules()).Entries[0]
	require.Equal(t, "record that could not be used: out of physical range", Say.What(&e))
	require.Equal(t, "north.csv:9", e.Origin)

	h.UnusedCO[0].COPPM, h.UnusedCO[0].Text, h.UnusedCO[0].Fire = math.NaN(), "1?", ""
	l = Assess(h, testRules(), nil)
	require.Equal(t, AskFirst, l.Group)
	require.Equal(t, `CO "1?" on a record cannot be read, north.csv:9 (12 Jan 2026; out of physical range): correct the record.`, said(l)[0])
	require.True(t, marked(l, MarkCOUnreadable))
}

// Only a full test after the record with CO recorded low at every fire settles it.
func TestUnusedCOIsSettledByALaterFullTest(t *testing.T) {
	on := dayOf(2025, time.December, 1)
	left := func(fire judge.Fire, ppm float64) judge.Reading {
		r := high(judge.AsLeft, 9.0)
		if fire == judge.Low {
			r = low(judge.AsLeft, 8.6)
		}
		return withCO(r, ppm, judge.AirFree, "")
	}
	nan := math.NaN()
	none := withCO(high(judge.AsLeft, 9.0), nan, "", "")
	limit := withCO(high(judge.AsLeft, 9.0), 50, judge.AirFree, judge.Above)
	cold := withCO(high(judge.AsLeft, 0), 0, judge.AsMeasured, "")
	cold.O2Percent = 20.9
	for name, c := range map[string]struct {
		after    []judge.Reading
		days     int32
		fire     judge.Fire
		settles  bool
		asFound  bool
		noDay    bool
		asLeftCO string
	}{
		"nothing since":            {nil, 0, judge.High, false, true, false, ""},
		"low at every fire":        {[]judge.Reading{left(judge.High, 20), left(judge.Low, 20)}, 30, judge.High, true, true, false, ""},
		"one fire only":            {[]judge.Reading{left(judge.High, 20)}, 30, judge.High, false, true, false, ""},
		"CO missing at a fire":     {[]judge.Reading{none, left(judge.Low, 20)}, 30, judge.High, false, true, false, ""},
		"a lower limit":            {[]judge.Reading{limit, left(judge.Low, 20)}, 30, judge.High, false, true, false, ""},
		"no burner at work":        {[]judge.Reading{cold, left(judge.Low, 20)}, 30, judge.High, false, true, false, ""},
		"the same visit, left low": {[]judge.Reading{left(judge.High, 20), left(judge.Low, 20)}, 0, judge.High, true, true, false, ""},
		"the same day, as left":    {[]judge.Reading{left(judge.High, 20), left(judge.Low, 20)}, 0, judge.High, false, false, false, ""},
		"before it":                {[]judge.Reading{left(judge.High, 20), left(judge.Low, 20)}, -10, judge.High, false, true, false, ""},
		"another fire":             {[]judge.Reading{left(judge.High, 20), left(judge.Low, 20)}, 30, judge.Single, false, true, false, ""},
		"day not known":            {[]judge.Reading{left(judge.High, 20), left(judge.Low, 20)}, 30, judge.High, false, true, true, ""},
	} {
		h := unit()
		u := unused(on, c.fire, 900)
		if !c.asFound {
			u.Condition = judge.AsLeft
		}
		if c.noDay { // known no earlier than the export, which is later than the test
			u.Day, u.LatestDay = day.None, on+60
		}
		h.UnusedCO = []judge.UnusedCO{u}
		if c.after != nil {
			visit(h, on+day.Day(c.days), "annual", c.after...)
		}
		require.Equal(t, c.settles, Assess(h, testRules(), nil).Ground != COUrgentNow, name)
	}
}

// Nobody is told that it can wait whose last visit told no CO.
func TestCOOfTheLastVisitNotRead(t *testing.T) {
	nan := math.NaN()
	none := withCO(low(judge.AsFound, 8.6), nan, "", "")
	h := unit()
	require.Equal(t, ToPlan, Assess(h, testRules(), nil).Ground)
	visit(h, dayOf(2026, time.January, 12), "call-out", withCO(high(judge.AsFound, 9.0), 20, judge.AirFree, ""), none)
	l := Assess(h, testRules(), nil)
	require.Equal(t, CONotRead, l.Ground)
	require.Equal(t, AskFirst, l.Group)
	require.Equal(t, "No CO on record at low fire from its last visit on 12 Jan 2026: ask for it and enter it.", said(l)[0])
	require.True(t, marked(l, MarkCONotRead))
	visit(h, dayOf(2026, time.January, 20), "call-out")
	require.Equal(t, "No CO on record from its last visit on 20 Jan 2026: ask for it and enter it.", said(Assess(h, testRules(), nil))[0])
}

// Records that hold a dangerous CO come first among those to correct, the higher
// first, and say so.
func TestFixesThatHoldCOComeFirst(t *testing.T) {
	h := unit()
	h.UnusedCO = []judge.UnusedCO{unused(dayOf(2026, time.January, 12), judge.High, 150)}
	l := Assess(h, testRules(), nil)
	other := unused(day.None, "", 900)
	other.Origin = "south.csv:4"
	fixes := []Fix{
		{File: "a.csv", Line: 2, Reason: ReasonNotRegister, Serial: "X", Message: "m"},
		{File: "north.csv", Line: 9, Reason: "out-of-physical-range", Serial: "0070-1", Message: "99 is out of range", Day: dayOf(2020, 1, 1)},
		{File: "south.csv", Line: 4, Reason: "unknown-code", Message: "no serial"},
	}
	MarkCO(fixes, []Line{l}, GradeUnused([]judge.UnusedCO{other}, testRules()))
	Say.Fixes(fixes)
	OrderFixes(fixes, []Line{l})
	require.Equal(t, []string{"south.csv", "north.csv", "a.csv"}, []string{fixes[0].File, fixes[1].File, fixes[2].File})
	require.Equal(t, "holds CO 900 ppm: no serial", fixes[0].Message)
	require.True(t, fixes[1].Decides)
}

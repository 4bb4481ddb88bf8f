package watch

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

func answered(h *judge.History, on, until day.Day, answer string) *judge.History {
	h.Answers = append(h.Answers, judge.Answer{Day: on, Until: until, Answer: answer})
	return h
}

func TestAnswers(t *testing.T) {
	left := func() *judge.History { return again(high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.3)) }
	seen := answered(left(), dayOf(2025, 12, 1), day.None, "nothing found")
	visit(seen, dayOf(2026, 1, 5), "call-out", withCO(low(judge.AsFound, 8.3), 20, judge.AirFree, ""))
	urgent := again(withCO(high(judge.AsLeft, 9.0), 900, judge.AirFree, ""), low(judge.AsLeft, 8.6))
	twice := answered(answered(left(), dayOf(2026, 1, 5), day.None, "refused"), dayOf(2026, 2, 5), dayOf(2026, 3, 20), "planned")
	for name, c := range map[string]struct {
		h     *judge.History
		foot  string
		group Group
	}{
		"planned, still ahead": {
			answered(left(), dayOf(2026, 2, 2), dayOf(2026, 4, 7), "planned"),
			"answered on 2 Feb 2026: planned for 7 Apr 2026", CanWait,
		},
		"planned for today": {
			answered(left(), dayOf(2026, 2, 2), asOf, "planned"), "answered on 2 Feb 2026: planned for 2 Mar 2026",
			CanWait,
		},
		"planned for yesterday": {answered(left(), dayOf(2026, 2, 2), asOf-1, "planned"), "", BookSooner},
		"nothing found": {
			answered(left(), dayOf(2025, 12, 1), day.None, "nothing found"),
			"answered on 1 Dec 2025: nothing found, until the next visit or 3 Nov 2026", CanWait,
		},
		"nothing found, seen since": {seen, "", BookSooner},
		"refused": {
			answered(left(), dayOf(2026, 2, 2), day.None, "refused"),
			"answered on 2 Feb 2026: refused, until the next visit or 3 Nov 2026", CanWait,
		},
		"the newest counts":      {twice, "answered on 5 Feb 2026: planned for 20 Mar 2026", CanWait},
		"answered after the day": {answered(left(), asOf+1, day.None, "refused"), "", BookSooner},
		"urgent CO stays":        {answered(urgent, dayOf(2026, 2, 2), day.None, "planned"), "", GoToday},
	} {
		t.Run(name, func(t *testing.T) {
			l := Assess(c.h, testRules(), nil)
			assert.Equal(t, c.foot, Say.Foot(&l))
			assert.Equal(t, c.group, l.Group)
		})
	}
}

func TestStates(t *testing.T) {
	in := func(state judge.State, from day.Day, low2 float64) *judge.History {
		h := again(high(judge.AsLeft, 9.0), low(judge.AsLeft, low2))
		h.Unit.State, h.Unit.StateFrom = state, from
		return h
	}
	l := Assess(in("isolated", day.None, 8.3), testRules(), nil)
	assert.Equal(t, FootIsolated, l.Foot)
	assert.Equal(t, CanWait, l.Group)

	l = Assess(in("off for the season", day.None, 8.3), testRules(), nil)
	assert.Equal(t, "Off for the season: see it before it is started again.", said(l)[1])
	l = Assess(in("standby", day.None, 8.3), testRules(), nil)
	assert.Equal(t, "Standby: it may be called on at any time.", said(l)[1])

	l = Assess(in("removed", dayOf(2026, 1, 5), 8.3), testRules(), nil)
	assert.True(t, l.Removed)
	assert.Empty(t, Order([]Line{l}))
	assert.Equal(t, 1, Summarize([]Line{l}, testRules()).Removed)

	l = Assess(in("removed", dayOf(2025, 1, 6), 8.3), testRules(), nil) // read ten months later
	assert.False(t, l.Removed)
	assert.Equal(t, AskFirst, l.Group)
	assert.True(t, marked(l, MarkReadSince))
}

// A second reason is the next tier that applies.
func TestSecondReason(t *testing.T) {
	h := again(withCO(high(judge.AsLeft, 9.0), 150, judge.AirFree, ""), low(judge.AsLeft, 8.3))
	l := Assess(h, testRules(), nil)
	assert.Equal(t, LeftOutside, l.Ground)
	if assert.Len(t, l.Reasons, 2) {
		assert.Contains(t, said(l)[1], "CO 150 ppm")
	}
	assert.Equal(t, Lean, l.Side)
}

func TestMarks(t *testing.T) {
	changed := func(change func(*judge.History)) *judge.History {
		h := unit()
		change(h)
		return h
	}
	all := func(change func(*judge.Reading)) *judge.History {
		h := unit()
		visit(h, dayOf(2026, 1, 5), "call-out", high(judge.AsFound, 9.0))
		for i := range h.Readings {
			change(&h.Readings[i])
		}
		return h
	}
	for mark, h := range map[analysis.MarkKind]*judge.History{
		MarkNoReading:       changed(func(h *judge.History) { h.Visits, h.Readings = nil, nil }),
		MarkNotInRegister:   changed(func(h *judge.History) { h.Unit.InRegister = false }),
		MarkRegisterDiffers: changed(func(h *judge.History) { h.Unit.RegisterConflict = true }),
		MarkNoTarget:        changed(func(h *judge.History) { h.Targets = nil; h.Readings[0].Target.Origin = "" }),
		MarkNoBand: changed(func(h *judge.History) {
			h.Targets[0].Target.SetRich, h.Targets[0].Target.SetLean = math.NaN(), math.NaN()
		}),
		MarkBandDerived: changed(func(h *judge.History) {
			h.Targets[0].Target.ActRich, h.Targets[0].Target.ActLean = math.NaN(), math.NaN()
		}),
		MarkConfigured:  changed(func(h *judge.History) { h.Targets[0].Target.Origin = "configuration" }),
		MarkFuelUnknown: changed(func(h *judge.History) { h.Unit.Fuel = "town gas" }),
		MarkVentUnknown: changed(func(h *judge.History) { h.VentRuns[0].Known = false }),
		MarkVentDayUnknown: changed(func(h *judge.History) {
			h.VentRuns = append(h.VentRuns, h.VentRuns[0])
			h.VentRuns[1].UncertainFrom = 20000
		}),
		MarkOneFire:        again(high(judge.AsLeft, 9.0)),
		MarkAsLeftOnly:     unit(),
		MarkAsFoundOnly:    again(high(judge.AsFound, 9.0)),
		MarkSetNotRecorded: changed(func(h *judge.History) { visit(h, asOf-10, "call-out").AdjustedHigh = "yes" }),
		MarkNoAnalyzer:     all(func(r *judge.Reading) { r.Analyzer = "" }),
		MarkNoCO:           all(func(r *judge.Reading) { r.COPPM = math.NaN() }),
		MarkCOBasis:        all(func(r *judge.Reading) { r.COBasis = "unknown" }),
		MarkCOAsMeasured:   all(func(r *judge.Reading) { r.CO2Percent = math.NaN() }),
		MarkFromO2:         all(func(r *judge.Reading) { *r = withO2(*r, 5) }),
		MarkSerialAgain:    all(func(r *judge.Reading) { r.Marks = "earlier-install" }),
		MarkBeforeInstall:  all(func(r *judge.Reading) { r.Marks = "before-install" }),
		MarkFromWet:        all(func(r *judge.Reading) { r.Marks = "o2:from-wet" }),
		MarkScientific:     all(func(r *judge.Reading) { r.Marks = "co:scientific-notation" }),
		MarkAnswerLapsed:   answered(unit(), dayOf(2025, 12, 1), asOf-1, "planned"),
		MarkNoRoutine:      changed(func(h *judge.History) { h.Visits, h.Readings = nil, nil }),
		MarkUnrecorded:     changed(func(h *judge.History) { visit(h, asOf-10, "annual", high(judge.AsLeft, 9.0)) }),
	} {
		assert.True(t, marked(Assess(h, testRules(), nil), mark))
	}
	fine := unit()
	visit(fine, dayOf(2026, 1, 5), "call-out", high(judge.AsFound, 9.0), high(judge.AsLeft, 9.0))
	assert.Empty(t, Assess(fine, testRules(), nil).Marks)
	single := again(reading(judge.Single, judge.AsLeft, 9.0, highTarget))
	single.Unit.Firing = "on-off"
	assert.False(t, marked(Assess(single, testRules(), nil), MarkOneFire))
}

// Points: the newest reading of each, rates a little apart being one point.
func TestPoints(t *testing.T) {
	point := func(rate, co2 float64) judge.Reading {
		r := reading(judge.Point, judge.AsLeft, co2, highTarget)
		r.RatePercent = rate
		return r
	}
	h := again(point(100, 9.0), point(50, 8.5), point(25, 9.1))
	h.Targets = []judge.FireTarget{{Fire: judge.Point, Target: highTarget}}
	visit(h, dayOf(2026, 1, 5), "annual", point(98, 9.1), point(52, 9.0))
	l := Assess(h, testRules(), nil)
	var rates, values []float64
	for _, f := range l.Fires {
		rates, values = append(rates, f.RatePercent), append(values, f.CO2Percent)
	}
	assert.Equal(t, []float64{98, 52, 25}, rates)
	assert.Equal(t, []float64{9.1, 9.0, 9.1}, values)
	assert.Equal(t, ToPlan, l.Ground)
}

// Whatever a history holds, a unit gets a tier, a step and a reason.
func TestNothingKnown(t *testing.T) {
	nan := math.NaN()
	l := Assess(&judge.History{Unit: judge.Unit{
		Serial: "X", InputKW: nan, Installed: day.None, FirstDay: day.None, StateFrom: day.None,
		RemovedDay: day.None,
	}}, Config{AsOf: asOf}, nil)
	assert.Equal(t, NoTarget, l.Ground)
	assert.Equal(t, AskFirst, l.Group)
	assert.NotEmpty(t, l.Reasons)
	assert.True(t, math.IsNaN(l.OutProbability))
}

func TestSummary(t *testing.T) {
	r := testRules()
	lines := []Line{
		Assess(unit(), r, nil), Assess(again(high(judge.AsLeft, 9.0)), r, nil),
		Assess(answered(unit(), asOf-3, day.None, "refused"), r, nil),
	}
	s := Summarize(lines, r)
	assert.Equal(t, []int{3, 3, 0, 1}, []int{s.Units, s.Listed, s.Removed, s.AtFoot})
	total := 0
	for _, c := range s.Groups {
		total += c.Units
	}
	assert.Equal(t, s.Listed, total+s.AtFoot)
	assert.Equal(t, []string{
		"As of 2 Mar 2026: 3 units listed, 1 of them at the foot (answered, isolated or off for the season).",
		"Can wait: 2 units.",
		"All 3 units: only as-left readings are on record: how far the burner drifted before each visit is not known.",
		"1 of 3 units: only one fire was read although the unit has another: the other is not judged.",
	}, head(s))
}

func TestTargetWords(t *testing.T) {
	uneven := co2Target(8.6)
	uneven.SetLean = 0.3
	oneSided := co2Target(8.6)
	oneSided.SetLean = math.NaN()
	inOxygen := uneven
	inOxygen.CO2Percent, inOxygen.O2Percent = math.NaN(), 5.2
	none := uneven
	none.Origin = ""
	bandless := co2Target(8.6)
	bandless.SetLean, bandless.SetRich = math.NaN(), math.NaN()
	for want, target := range map[string]judge.Target{
		"8.6 ±0.2 % CO2":      co2Target(8.6),
		"8.6 +0.2/-0.3 % CO2": uneven,
		"5.2 +0.3/-0.2 % O2":  inOxygen, // lean is more O2
		"8.6 +0.2 % CO2":      oneSided,
		"8.6 % CO2, no band":  bandless,
		"none":                none,
	} {
		assert.Equal(t, want, Say.Target(target))
	}
}

func TestFixes(t *testing.T) {
	far := Assess(again(high(judge.AsLeft, 9.0), low(judge.AsLeft, 6.8)), testRules(), nil)
	assert.Equal(t, []Fix{{
		File: "north.csv", Line: 3, Column: "co2", Value: "6.8", Reason: ReasonLeftFar, Serial: "0070-1", Day: far.Fires[1].Reading.Day,
		Because: FarLeft{Fire: &far.Fires[1]}, Message: "low fire left at 6.8 % CO2, target 8.6 ±0.2 % CO2",
	}}, fixes(far))
	assert.Empty(t, FixesOf(Assess(again(high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.3)), testRules(), nil)))

	newest := far.Fires[1].Reading.Day
	all := []Fix{
		{File: "b.csv", Line: 2, Serial: "0070-1", Day: newest - 1},
		{File: "a.csv", Line: 10, Day: newest},
		{File: "c.csv", Line: 3, Serial: "0070-1", Day: day.None},
		{File: "z.csv", Line: 1, Reason: ReasonNotRegister, Serial: "71", Day: 0},
		{File: "a.csv", Line: 9, Day: newest},
		{File: "y.csv", Line: 4, Serial: "0070-1", Day: newest},
		{File: "x.csv", Line: 4, Serial: "99", Day: newest - 999},
		{File: "a.csv", Line: 11, Reason: "footer-line", Day: day.None},
	}
	OrderFixes(all, []Line{far})
	var order []string
	for _, f := range all {
		order = append(order, fmt.Sprint(f.File, " ", f.Line, " ", f.Decides))
	}
	assert.Equal(t, []string{
		"z.csv 1 true", "y.csv 4 true", "x.csv 4 true", "c.csv 3 false", "a.csv 9 false", "a.csv 10 false",
		"b.csv 2 false", "a.csv 11 false",
	}, order,
		"the newest record of a unit decides, one without a serial or a day may, an older one and a total below the rows do not")
}

// The story: one line a reading, newest first, visits without readings and
// changes among them.
func TestStory(t *testing.T) {
	h := unit()
	visit(h, dayOf(2026, 1, 5), "call-out")
	visit(h, dayOf(2026, 2, 5), "annual", withO2(high(judge.AsFound, 0), 4.5), low(judge.AsFound, 8.6)).AdjustedHigh = "no"
	h.VentRuns = append(h.VentRuns, h.VentRuns[0])
	h.VentRuns[1].From, h.VentRuns[1].UncertainFrom = dayOf(2025, 12, 1), dayOf(2025, 6, 2)
	s := Tell(h, Assess(h, testRules(), nil), testRules())
	var told []string
	for _, e := range s.Entries {
		told = append(told, Say.Day(e.Day)+" "+Say.What(&e)+" "+Say.Fire(&e)+" "+Say.Condition(&e)+" "+Say.Verdict(&e))
	}
	assert.Equal(t, []string{
		"5 Feb 2026 annual low fire as found inside the setting band",
		"5 Feb 2026 annual high fire as found, adjusted no 0.26 rich, outside",
		"5 Jan 2026 call-out, no reading on record   ",
		"1 Dec 2025 vent run changed: 9 m straight, 4 m rise, 200 mm wide, 2 elbows of 90 degrees, terminal roof, air from room, some day " +
			"since 2 Jun 2025   ",
		"3 Nov 2025 annual low fire as left inside the setting band",
		"3 Nov 2025 annual high fire as left inside the setting band",
	}, told)
	assert.True(t, s.Entries[1].CO2Derived)
	assert.Contains(t, Say.Standing(&s.Line, "")[0], "Book sooner.")
}

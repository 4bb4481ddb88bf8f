package watch

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// wasAt is the line of a unit on the list before: due to be booked sooner at a chance of
// 56 %, last visited on day 100 and with the values that lineNow has.
func wasAt(change func(*Earlier)) *Earlier {
	e := &Earlier{Serial: "a", Group: BookSooner, Rank: 7, LastVisit: 100, OutProbability: 0.56, Recorded: "in service", AskedSince: day.None}
	if change != nil {
		change(e)
	}
	return e
}

// lineNow is the same unit on the next list with a chance of 57 %, of which the earlier
// day would have had 56 % by what is known now: only time passed.
func lineNow(change func(*Line)) *Line {
	l := &Line{
		Unit: judge.Unit{Serial: "a", State: "in service"}, Rank: 5, Group: BookSooner, Ground: ProbablyOutside, LastVisit: 100,
		OutProbability: 0.57, Reasons: []Reason{NotInRegister{}}, Forecast: foretold(0.56),
	}
	if change != nil {
		change(l)
	}
	return l
}

// foretold is a forecast that has a chance for the day of the list before.
func foretold(then float64) *analysis.Forecast {
	return &analysis.Forecast{Fires: []analysis.FireForecast{{Fire: judge.High, Earlier: analysis.Probability{Day: 190, Lean: then}}}}
}

// sinceThen changes a line so that it was visited on day 205 and its fire found at so many
// points beyond its setting band.
func sinceThen(beyond float64, change func(*Line)) *Line {
	return lineNow(func(l *Line) {
		l.LastVisit, l.Forecast = 205, foretold(math.NaN())
		l.Fires = []FireLine{{Fire: judge.High, Reading: &judge.Reading{Day: 205}, BeyondPoints: beyond, Target: highTarget, Points: beyond + 0.2, Side: Rich}}
		change(l)
	})
}

// waits lets a line wait for its planned visit at a chance.
func waits(chance float64) func(*Line) {
	return func(l *Line) {
		l.Group, l.Ground, l.OutProbability, l.Reasons = CanWait, ToPlan, chance, []Reason{NothingDue{PlannedDay: 400}}
	}
}

// Every kind of change with its causes, each told once and in words.
func TestChangesByKind(t *testing.T) {
	overdue := wasAt(func(e *Earlier) { e.Group, e.OutProbability = TestOverdue, 0.1 })
	idle := wasAt(func(e *Earlier) { e.Group, e.OutProbability = CanWait, 0.3 })
	for name, c := range map[string]struct {
		was  *Earlier
		now  *Line
		kind ChangeKind
		says string
	}{
		"visited, inside":              {wasAt(nil), sinceThen(0, waits(0.03)), Done, "visited on 25 Jul 1970, now inside"},
		"visited, nothing read":        {wasAt(nil), sinceThen(math.NaN(), waits(0.03)), Done, "visited on 25 Jul 1970, chance out of limits fell from 56 to 3 %"},
		"overdue, nothing read":        {wasAt(func(e *Earlier) { e.OutProbability = math.NaN() }), sinceThen(math.NaN(), waits(math.NaN())), Done, "visited on 25 Jul 1970, nothing due since"},
		"visited, left off target":     {wasAt(nil), sinceThen(0.3, func(l *Line) { l.Ground, l.OutProbability = LeftOutside, 0.4 }), StillOut, "visited on 25 Jul 1970, chance out of limits fell from 56 to 40 %. Serial not in the register"},
		"visited, out, can wait":       {wasAt(nil), sinceThen(0, waits(0.61)), StillOut, "chance out of limits rose from 56 to 61 %"},
		"visited, due for something":   {wasAt(nil), sinceThen(0, func(l *Line) { l.Group, l.Ground, l.OutProbability = AskFirst, CONotRead, 0.05 }), StillDue, "chance out of limits fell from 56 to 5 %. Serial not in the register"},
		"visited, overdue before, out": {overdue, sinceThen(0.3, func(*Line) {}), Worse, "visited on 25 Jul 1970, chance out of limits rose from 10 to 57 %. Serial not in the register"},
		"visited, CO urgent":           {wasAt(nil), sinceThen(0, func(l *Line) { l.Group, l.Ground, l.OutProbability = GoToday, COUrgentNow, 0.05 }), Worse, "visited on 25 Jul 1970. Serial not in the register"},
		"eased, can wait":              {wasAt(nil), lineNow(func(l *Line) { waits(0.48)(l); l.Forecast = foretold(0.47) }), Eased, "chance out of limits fell from 56 to 48 %. Nothing on record"},
		"eased, still due":             {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.48, foretold(0.47) }), Eased, "chance out of limits fell from 56 to 48 %. Serial"},
		"worse":                        {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.7, foretold(0.68) }), Worse, "chance out of limits rose from 56 to 70 %. Serial"},
		"record corrected, urgent":     {wasAt(nil), lineNow(func(l *Line) { l.Group, l.Ground, l.Unit.State = GoToday, COUrgentNow, "standby" }), Worse, "Serial not in the register"},
		"record corrected, to ask":     {wasAt(nil), lineNow(func(l *Line) { l.Group, l.Ground, l.Unit.State = AskFirst, NoTarget, "standby" }), Worse, "corrected: its newest values were in service and are now standby"},
		"removed":                      {wasAt(nil), lineNow(func(l *Line) { l.Removed = true }), NoLongerDue, "withdrawn: recorded as removed"},
		"nothing names it":             {wasAt(nil), nil, NoLongerDue, "withdrawn: no register line and no record names it any more"},
		"answered": {wasAt(nil), lineNow(func(l *Line) {
			l.Foot, l.Answer = FootAnswered, &judge.Answer{Day: 195, Until: day.None, Answer: "refused"}
		}), NoLongerDue, "answered on 15 Jul 1970"},
		"record corrected, in order": {wasAt(nil), lineNow(func(l *Line) { waits(0.1)(l); l.Unit.State = "standby" }), NoLongerDue, "corrected: its newest values were in service and are now standby"},
		"limits changed":             {wasAt(func(e *Earlier) { e.Group = AskFirst }), lineNow(waits(0.55)), NoLongerDue, "nothing new on record: the forecast or the limits changed."},
		"no forecast before":         {wasAt(func(e *Earlier) { e.OutProbability = math.NaN() }), lineNow(waits(0.55)), NoLongerDue, "nothing new on record"},
		"first listed":               {nil, lineNow(nil), NewlyDue, "first listed. Serial"},
		"from the foot":              {wasAt(func(e *Earlier) { e.Foot = "answered" }), lineNow(nil), NewlyDue, "no longer at the foot (answered). Serial"},
		"visited, newly due":         {idle, sinceThen(0.3, func(*Line) {}), NewlyDue, "visited on 25 Jul 1970, chance out of limits rose from 30 to 57 %. Serial"},
		"newly due by the fleet":     {idle, lineNow(nil), NewlyDue, "Serial"},
		"newly due by the record":    {idle, lineNow(func(l *Line) { l.Ground, l.Forecast = NotTestedSince, foretold(0.3) }), NewlyDue, "Serial"},
	} {
		t.Run(name, func(t *testing.T) {
			var lines []Line
			var before []Earlier
			if c.now != nil {
				lines = append(lines, *c.now)
			}
			if c.was != nil {
				before = append(before, *c.was)
			}
			got, byTime := Changes(lines, before, testRules(), func(l *Line) string { return string(l.Unit.State) })
			require.Len(t, got, 1)
			assert.Equal(t, c.kind, got[0].Kind, Say.Change(&got[0]))
			assert.Contains(t, Say.Change(&got[0]), c.says)
			assert.Zero(t, byTime)
		})
	}
}

// What the calendar alone does is told of no unit: a chance that went on as foretold, a
// rank, a planned day that came nearer or passed, days avoided that came over the line.
// Where it brings a unit into another group it is counted.
func TestChangesByTimeAloneAreSilent(t *testing.T) {
	group := func(g Group, chance float64) *Earlier {
		return wasAt(func(e *Earlier) { e.Group, e.OutProbability = g, chance })
	}
	for name, c := range map[string]struct {
		was    *Earlier
		now    *Line
		byTime int
	}{
		"nothing":                       {wasAt(nil), lineNow(nil), 0},
		"more ranks up":                 {wasAt(func(e *Earlier) { e.Rank = 400 }), lineNow(nil), 0},
		"chance went on":                {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.7, foretold(0.58) }), 0},
		"chance went down":              {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.4, foretold(0.53) }), 0},
		"another fit":                   {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.6, foretold(0.6) }), 0},
		"time undid most of what eased": {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.53, foretold(0.48) }), 0},
		"time undid most of what rose":  {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.60, foretold(0.64) }), 0},
		"time undid what eased":         {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.58, foretold(0.48) }), 0},
		"time undid what rose":          {wasAt(nil), lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.55, foretold(0.64) }), 0},
		"planned day came": {group(CanWait, 0.1), lineNow(func(l *Line) {
			l.Group, l.Ground, l.OutProbability, l.Forecast = TestOverdue, OverdueTest, 0.1, foretold(0.1)
		}), 1},
		"over the line":           {group(CanWait, 0.3), lineNow(func(l *Line) { l.Ground, l.OutProbability, l.Forecast = EnoughAvoided, 0.32, foretold(0.3) }), 1},
		"left off, over the line": {group(CanWait, 0.3), lineNow(func(l *Line) { l.Ground, l.OutProbability, l.Forecast = LeftOutside, 0.32, foretold(0.3) }), 1},
		"below the line":          {wasAt(nil), lineNow(func(l *Line) { waits(0.5)(l); l.Forecast = foretold(0.56) }), 1},
		"overdue instead":         {wasAt(nil), lineNow(func(l *Line) { l.Group, l.Ground = TestOverdue, OverdueTest }), 1},
		"still can wait":          {group(CanWait, 0.3), lineNow(waits(0.4)), 0},
		"visited as planned":      {group(CanWait, 0.3), sinceThen(0, waits(0.01)), 0},
	} {
		t.Run(name, func(t *testing.T) {
			got, byTime := Changes([]Line{*c.now}, []Earlier{*c.was}, testRules(), func(l *Line) string { return string(l.Unit.State) })
			for i := range got {
				t.Error(got[i].Kind, Say.Change(&got[i]))
			}
			assert.Equal(t, c.byTime, byTime)
		})
	}
	got, byTime := Changes(nil, nil, testRules(), Say.Recorded)
	assert.Empty(t, got)
	assert.Zero(t, byTime)
}

// Kinds follow each other in the order of the list; within one the rank decides, of units
// no longer due the earlier one.
func TestChangesAreInOrder(t *testing.T) {
	var lines []Line
	var before []Earlier
	add := func(serial string, rank, was int, l *Line) {
		l.Unit.Serial, l.Rank = serial, rank
		lines = append(lines, *l)
		if was > 0 {
			before = append(before, *wasAt(func(e *Earlier) { e.Serial, e.Rank = serial, was }))
		}
	}
	add("new2", 9, 0, lineNow(nil))
	add("worse", 1, 6, lineNow(func(l *Line) { l.OutProbability, l.Forecast = 0.7, foretold(0.68) }))
	add("new1", 8, 0, lineNow(nil))
	add("done2", 20, 5, sinceThen(0, waits(0.03)))
	add("done1", 30, 4, sinceThen(0, waits(0.03)))
	add("gone", 40, 3, lineNow(func(l *Line) { l.Removed = true }))
	add("eased", 50, 2, lineNow(func(l *Line) { waits(0.2)(l); l.Forecast = foretold(0.2) }))
	add("out", 3, 1, sinceThen(0.4, func(*Line) {}))
	slices.Reverse(before)
	changes, _ := Changes(lines, before, testRules(), func(l *Line) string { return string(l.Unit.State) })
	var order []string
	for _, c := range changes {
		order = append(order, fmt.Sprint(c.Serial, " ", c.Rank, " ", c.Before))
	}
	assert.Equal(t, []string{"done1 0 4", "done2 0 5", "out 3 1", "eased 0 2", "gone 0 3", "new1 8 0", "new2 9 0", "worse 1 6"}, order)
}

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

// wasIn is the same line in another group at another chance.
func wasIn(g Group, chance float64) *Earlier {
	return wasAt(func(e *Earlier) { e.Group, e.OutProbability = g, chance })
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

// foreseen is lineNow where the earlier day would have had another chance by what is known
// now.
func foreseen(then float64, change func(*Line)) *Line {
	return lineNow(func(l *Line) {
		change(l)
		l.Forecast = foretold(then)
	})
}

// sinceThen changes a line so that it was visited on day 205 and its fire found at so many
// points beyond its setting band.
func sinceThen(beyond float64, change func(*Line)) *Line {
	return lineNow(func(l *Line) {
		l.LastVisit, l.Forecast = 205, foretold(math.NaN())
		l.Fires = []FireLine{{
			Fire: judge.High, Reading: &judge.Reading{Day: 205}, Target: highTarget,
			BeyondPoints: beyond, Points: beyond + 0.2, Side: Rich,
		}}
		if change != nil {
			change(l)
		}
	})
}

// hasChance changes the chance of a line alone.
func hasChance(chance float64) func(*Line) { return func(l *Line) { l.OutProbability = chance } }

// stands puts a line in a group on a ground.
func stands(g Group, on Ground, chance float64) func(*Line) {
	return func(l *Line) { l.Group, l.Ground, l.OutProbability = g, on, chance }
}

// standby changes a line and its newest values, as a corrected record does.
func standby(change func(*Line)) *Line {
	return lineNow(func(l *Line) {
		change(l)
		l.Unit.State = "standby"
	})
}

// stateOf writes the newest values of these lines.
func stateOf(l *Line) string { return string(l.Unit.State) }

// waits lets a line wait for its planned visit at a chance.
func waits(chance float64) func(*Line) {
	return func(l *Line) {
		l.Group, l.Ground, l.OutProbability, l.Reasons = CanWait, ToPlan, chance, []Reason{NothingDue{PlannedDay: 400}}
	}
}

// Every kind of change with its causes, each told once and in words.
func TestChangesByKind(t *testing.T) {
	const (
		visited   = "visited on 25 Jul 1970, "
		fell      = "chance out of limits fell from 56 to "
		noUnit    = "Serial not in the register"
		nothing   = "nothing new on record: the forecast or the limits changed."
		corrected = "corrected: its newest values were in service and are now standby"
	)
	nan, was := math.NaN(), wasAt(nil)
	overdue, idle := wasIn(TestOverdue, 0.1), wasIn(CanWait, 0.3)
	atFoot := wasAt(func(e *Earlier) { e.Foot = "answered" })
	removed := lineNow(func(l *Line) { l.Removed = true })
	refused := lineNow(func(l *Line) {
		l.Foot, l.Answer = FootAnswered, &judge.Answer{Day: 195, Until: day.None, Answer: "refused"}
	})
	for name, c := range map[string]struct {
		was  *Earlier
		now  *Line
		kind ChangeKind
		says string
	}{
		"visited, inside":              {was, sinceThen(0, waits(0.03)), Done, visited + "now inside"},
		"visited, nothing read":        {was, sinceThen(nan, waits(0.03)), Done, visited + fell + "3 %"},
		"overdue, nothing read":        {wasIn(BookSooner, nan), sinceThen(nan, waits(nan)), Done, visited + "nothing due since"},
		"visited, left off":            {was, sinceThen(0.3, stands(BookSooner, LeftOutside, 0.4)), StillOut, visited + fell + "40 %. " + noUnit},
		"visited, out, can wait":       {was, sinceThen(0, waits(0.61)), StillOut, "chance out of limits rose from 56 to 61 %"},
		"visited, due for something":   {was, sinceThen(0, stands(AskFirst, CONotRead, 0.05)), StillDue, fell + "5 %. " + noUnit},
		"visited, overdue before, out": {overdue, sinceThen(0.3, nil), Worse, visited + "chance out of limits rose from 10 to 57 %. " + noUnit},
		"visited, CO urgent":           {was, sinceThen(0, stands(GoToday, COUrgentNow, 0.05)), Worse, "visited on 25 Jul 1970. " + noUnit},
		"eased, can wait":              {was, foreseen(0.47, waits(0.48)), Eased, fell + "48 %. Nothing on record"},
		"eased, still due":             {was, foreseen(0.47, hasChance(0.48)), Eased, fell + "48 %. Serial"},
		"worse":                        {was, foreseen(0.68, hasChance(0.7)), Worse, "chance out of limits rose from 56 to 70 %. Serial"},
		"record corrected, urgent":     {was, standby(stands(GoToday, COUrgentNow, 0.57)), Worse, noUnit},
		"record corrected, to ask":     {was, standby(stands(AskFirst, NoTarget, 0.57)), Worse, corrected},
		"removed":                      {was, removed, NoLongerDue, "withdrawn: recorded as removed"},
		"nothing names it":             {was, nil, NoLongerDue, "withdrawn: no register line and no record names it any more"},
		"answered":                     {was, refused, NoLongerDue, "answered on 15 Jul 1970"},
		"record corrected, in order":   {was, standby(waits(0.1)), NoLongerDue, corrected},
		"limits changed":               {wasIn(AskFirst, 0.56), lineNow(waits(0.55)), NoLongerDue, nothing},
		"no forecast before":           {wasIn(BookSooner, nan), lineNow(waits(0.55)), NoLongerDue, nothing},
		"first listed":                 {nil, lineNow(nil), NewlyDue, "first listed. Serial"},
		"from the foot":                {atFoot, lineNow(nil), NewlyDue, "no longer at the foot (answered). Serial"},
		"visited, newly due":           {idle, sinceThen(0.3, nil), NewlyDue, visited + "chance out of limits rose from 30 to 57 %. Serial"},
		"newly due by the fleet":       {idle, lineNow(nil), NewlyDue, "Serial"},
		"newly due by the record":      {idle, foreseen(0.3, stands(BookSooner, NotTestedSince, 0.57)), NewlyDue, "Serial"},
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
			got, byTime := Changes(lines, before, testRules(), stateOf)
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
	was, idle := wasAt(nil), wasIn(CanWait, 0.3)
	for name, c := range map[string]struct {
		was    *Earlier
		now    *Line
		byTime int
	}{
		"nothing":                       {was, lineNow(nil), 0},
		"more ranks up":                 {wasAt(func(e *Earlier) { e.Rank = 400 }), lineNow(nil), 0},
		"chance went on":                {was, foreseen(0.58, hasChance(0.7)), 0},
		"chance went down":              {was, foreseen(0.53, hasChance(0.4)), 0},
		"another fit":                   {was, foreseen(0.6, hasChance(0.6)), 0},
		"time undid most of what eased": {was, foreseen(0.48, hasChance(0.53)), 0},
		"time undid most of what rose":  {was, foreseen(0.64, hasChance(0.60)), 0},
		"time undid what eased":         {was, foreseen(0.48, hasChance(0.58)), 0},
		"time undid what rose":          {was, foreseen(0.64, hasChance(0.55)), 0},
		"planned day came":              {wasIn(CanWait, 0.1), foreseen(0.1, stands(TestOverdue, OverdueTest, 0.1)), 1},
		"over the line":                 {idle, foreseen(0.3, stands(BookSooner, EnoughAvoided, 0.32)), 1},
		"left off, over the line":       {idle, foreseen(0.3, stands(BookSooner, LeftOutside, 0.32)), 1},
		"below the line":                {was, foreseen(0.56, waits(0.5)), 1},
		"overdue instead":               {was, lineNow(stands(TestOverdue, OverdueTest, 0.57)), 1},
		"still can wait":                {idle, lineNow(waits(0.4)), 0},
		"visited as planned":            {idle, sinceThen(0, waits(0.01)), 0},
	} {
		t.Run(name, func(t *testing.T) {
			got, byTime := Changes([]Line{*c.now}, []Earlier{*c.was}, testRules(), stateOf)
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
	add("worse", 1, 6, foreseen(0.68, hasChance(0.7)))
	add("new1", 8, 0, lineNow(nil))
	add("done2", 20, 5, sinceThen(0, waits(0.03)))
	add("done1", 30, 4, sinceThen(0, waits(0.03)))
	add("gone", 40, 3, lineNow(func(l *Line) { l.Removed = true }))
	add("eased", 50, 2, foreseen(0.2, waits(0.2)))
	add("out", 3, 1, sinceThen(0.4, nil))
	slices.Reverse(before)
	changes, _ := Changes(lines, before, testRules(), stateOf)
	var order []string
	for _, c := range changes {
		order = append(order, fmt.Sprint(c.Serial, " ", c.Rank, " ", c.Before))
	}
	assert.Equal(t, []string{"done1 0 4", "done2 0 5", "out 3 1", "eased 0 2", "gone 0 3", "new1 8 0", "new2 9 0", "worse 1 6"}, order)
}

package watch

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// movedUnit is the unit of the tests after a move from Mill to Quay; after is day.None
// where the day is known.
func movedUnit(on, after day.Day) *judge.History {
	h := unit()
	h.Moves = []judge.Move{{
		Day: on, After: after, FromSite: "Mill", ToSite: "Quay", FromArea: "East", FromAltitudeM: 100,
		Origin: "second.csv:2",
	}}
	h.VentRuns = append(h.VentRuns, judge.VentRun{From: on, Until: day.None, UncertainFrom: after, LengthM: math.NaN(), Elbows90: -1})
	return h
}

// What was read before a unit moved says nothing of its setting now: it is not tested
// since, whatever its last test found, its planned day counts from the move, its CO
// stays, and the start-up there and the vent run there are asked for.
func TestMovedUnitIsNotTestedSince(t *testing.T) {
	require.Equal(t, ToPlan, Assess(unit(), testRules(), nil).Ground)
	on := dayOf(2025, time.November, 20)
	h := movedUnit(on, day.None)
	for i := range h.Readings {
		h.Readings[i].COPPM, h.Readings[i].COBasis = 300, judge.AirFree
	}
	l := Assess(h, testRules(), nil)
	require.Equal(t, NotTestedSince, l.Ground, l.Reasons)
	assert.Equal(t, BookSooner, l.Group)
	assert.Contains(t, said(l)[0], "Not tested since it moved from Mill to Quay on 20 Nov 2025 (high fire not read there).")
	assert.True(t, l.SinceMove)
	assert.False(t, l.NoRoutine)
	assert.Equal(t, day.None, l.LastRoutine)
	assert.Equal(t, on.AddMonths(12), l.PlannedDay)
	assert.True(t, marked(l, MarkMoved))
	assert.False(t, marked(l, MarkNoRoutine))
	assert.Equal(t, COAttention, l.CO.Level, "a CO is not read away by a move")

	fixes := fixes(l)
	at := slices.IndexFunc(fixes, func(f Fix) bool { return f.Reason == ReasonVentOfPlace })
	require.GreaterOrEqual(t, at, 0)
	assert.Equal(t, []any{"second.csv", 2}, []any{fixes[at].File, fixes[at].Line})
	assert.Equal(t, "it moved from Mill to Quay on 20 Nov 2025: its vent run there is not on record", fixes[at].Message)
	story := Tell(h, l, testRules())
	told := Say.Standing(&l, "")
	assert.Contains(t, Say.About(&story.About), "It moved from Mill to Quay on 20 Nov 2025: earlier readings do not show its setting now.")
	assert.Equal(t, "No routine visit since it moved; planned day 20 Nov 2026.", told[len(told)-2])
	assert.True(t, slices.ContainsFunc(story.Entries, func(e Entry) bool {
		return Say.What(&e) == "it moved from Mill to Quay" &&
			e.Day == on
	}))

	visit(h, on+10, "start-up", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	l = Assess(h, testRules(), nil)
	assert.Equal(t, on+10, l.LastRoutine)
	assert.False(t, marked(l, MarkMoved))
	assert.NotEqual(t, NotTestedSince, l.Ground)
}

// A unit without a CO and without a reading since its move is not called unread: it is
// to be tested where it stands.
func TestMovedUnitWithoutAnyReadingIsNotTestedSince(t *testing.T) {
	h := movedUnit(dayOf(2025, time.November, 20), day.None)
	for i := range h.Readings {
		h.Readings[i].COPPM = math.NaN()
	}
	require.Equal(t, NotTestedSince, Assess(h, testRules(), nil).Ground)
	h.Visits, h.Readings = nil, nil
	require.Equal(t, NotTestedSince, Assess(h, testRules(), nil).Ground)
	h.Moves = nil
	require.Equal(t, NoReading, Assess(h, testRules(), nil).Ground)
}

// Where the day of a move is open, a reading within it may be of either place: one
// asks first. A move of after the as-of day, or one of long before the readings,
// changes nothing.
func TestMoveOfUnknownDay(t *testing.T) {
	last := unit().Readings[0].Day
	l := Assess(movedUnit(last+40, last-40), testRules(), nil)
	require.Equal(t, NotTestedSince, l.Ground)
	assert.Equal(t, AskFirst, l.Group)
	assert.Contains(t, said(l)[0], "May not have been tested since it moved from Mill to Quay, some day between")
	assert.Contains(t, said(l)[0], "ask when that was.")
	assert.Equal(t, last, l.LastRoutine)

	for _, on := range []day.Day{asOf + 1, last - 1000} {
		h := movedUnit(on, day.None)
		h.VentRuns = h.VentRuns[:len(h.VentRuns)-1]
		l = Assess(h, testRules(), nil)
		assert.Equal(t, ToPlan, l.Ground, on)
		assert.False(t, l.SinceMove)
	}
}

// Each fire of a moved unit misses a start-up there until one is on record, known vent
// or not; nothing of the factory's setting is expected of it.
func TestMovedUnitMissesAStartUp(t *testing.T) {
	on := dayOf(2025, time.November, 20)
	gapsOf := func(h *judge.History) (all []Gap) {
		gaps, _ := StartupGaps([]*judge.History{h}, nil, testRules(), VentOptions{FactoryRunM: func(string, string) float64 { return 3 }})
		for _, g := range gaps {
			assert.True(t, math.IsNaN(g.ExpectedPoints))
			assert.Equal(t, on, g.Since)
			all = append(all, g.Gap)
		}
		return all
	}
	h := movedUnit(on, day.None)
	require.Equal(t, []Gap{GapMoved, GapMoved}, gapsOf(h))
	known := movedUnit(on, day.None)
	known.VentRuns[len(known.VentRuns)-1].Known, known.VentRuns[len(known.VentRuns)-1].LengthM = true, 2
	require.Equal(t, []Gap{GapMoved, GapMoved}, gapsOf(known))
	visit(h, on+80, "annual", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	require.Equal(t, []Gap{GapMovedLater, GapMovedLater}, gapsOf(h))
	visit(h, on+90, "start-up", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	require.Empty(t, gapsOf(h))
}

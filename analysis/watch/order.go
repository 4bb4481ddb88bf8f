package watch

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// Order returns the lines to be listed, from the top, each with its rank; units
// recorded as removed are not among them. The order is total: the same lines in any
// order give the same list.
//
// The keys: the foot after the list; the group; the one key of the group
// (groupKey); CO in steps of 10 ppm, finer than which no field analyzer reads; never
// tested since a change of vent or fuel; days past the planned day; rated input; days
// since the last routine visit, never visited first; serial.
func Order(lines []Line) []Line {
	listed := make([]Line, 0, len(lines))
	for _, l := range lines {
		if !l.Removed {
			listed = append(listed, l)
		}
	}
	slices.SortFunc(listed, func(a, b Line) int { return compareLines(&a, &b) })
	for i := range listed {
		listed[i].Rank = i + 1
	}
	return listed
}

// compareLines returns a negative number where a stands above b. It is zero
// only for the same unit.
func compareLines(a, b *Line) int {
	return cmp.Or(
		cmp.Compare(a.footRank(), b.footRank()),
		cmp.Compare(a.Group, b.Group),
		groupKey(a, b),
		cmp.Compare(coSteps(b.CO), coSteps(a.CO)),
		cmp.Compare(untestedRank(a), untestedRank(b)),
		cmp.Compare(b.DaysOverdue, a.DaysOverdue),
		cmp.Compare(known(b.Unit.InputKW), known(a.Unit.InputKW)),
		cmp.Compare(idleDays(b), idleDays(a)),
		strings.Compare(a.Unit.Serial, b.Unit.Serial),
		strings.Compare(a.Unit.Source, b.Unit.Source),
		cmp.Compare(a.Unit.Key, b.Unit.Key),
	)
}

// groupKey compares two lines of a group by its key: today by CO; where somebody is to
// be asked first by CO that is for attention or more, then by what a visit avoids;
// sooner by what a visit avoids; overdue by the days; the others by their planned day.
func groupKey(a, b *Line) int {
	switch a.Group {
	case GoToday:
		return cmp.Compare(coSteps(b.CO), coSteps(a.CO))
	case AskFirst:
		return cmp.Or(cmp.Compare(dangerSteps(b.CO), dangerSteps(a.CO)), cmp.Compare(benefitSteps(b), benefitSteps(a)))
	case BookSooner:
		return cmp.Compare(benefitSteps(b), benefitSteps(a))
	case TestOverdue:
		return cmp.Compare(b.DaysOverdue, a.DaysOverdue)
	default:
		return cmp.Compare(a.PlannedDay, b.PlannedDay)
	}
}

// benefitSteps is the key of what a visit avoids, to one decimal, so that digits no model can
// vouch for decide nothing; without a forecast below all others.
func benefitSteps(l *Line) float64 {
	if math.IsNaN(l.Benefit.Key) {
		return math.Inf(-1)
	}
	return math.Round(10 * l.Benefit.Key)
}

// dangerSteps is CO in steps where it is for attention or more, else 0.
func dangerSteps(c CO) float64 {
	if c.Level < COAttention {
		return 0
	}
	return coSteps(c)
}

// untestedRank puts what was never tested since a change first.
func untestedRank(l *Line) int {
	if l.Ground == NotTestedSince {
		return 0
	}
	return 1
}

// coSteps is CO in steps of 10 ppm; over range above all, not recorded below
// all.
func coSteps(c CO) float64 { return math.Round(coNumber(c) / 10) }

// known puts a value that is not known below all others.
func known(v float64) float64 {
	if math.IsNaN(v) {
		return -1
	}
	return v
}

// idleDays is the time since the last routine visit; never visited above all.
func idleDays(l *Line) int32 {
	if l.DaysSinceRoutine < 0 {
		return math.MaxInt32
	}
	return l.DaysSinceRoutine
}

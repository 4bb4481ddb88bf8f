package watch

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// Order returns the lines to be listed, from the top, each with its place;
// units recorded as removed are not among them. The order is total: the same
// lines in any order give the same list.
//
// The keys: the foot after the list; the tier; in the two CO tiers the CO, in
// the tiers of overdue tests and of units without a reading (after the forecast)
// the days past the planned day; the probability of being outside at the worst
// fire (orderProbability), in steps of 0.05 so that digits no model can vouch for
// do not decide; rich before lean before
// neither; CO in steps of 10 ppm, finer than which no field analyzer reads;
// rated input; days since the last routine visit, never visited first; serial.
func Order(lines []Line) []Line {
	listed := make([]Line, 0, len(lines))
	for _, l := range lines {
		if !l.Removed {
			listed = append(listed, l)
		}
	}
	slices.SortFunc(listed, func(a, b Line) int { return compareLines(&a, &b) })
	for i := range listed {
		listed[i].Place = i + 1
	}
	return listed
}

// compareLines returns a negative number where a stands above b. It is zero
// only for the same unit.
func compareLines(a, b *Line) int {
	return cmp.Or(
		cmp.Compare(a.footRank(), b.footRank()),
		cmp.Compare(a.Tier, b.Tier),
		leadKey(a, b),
		cmp.Compare(chanceSteps(b), chanceSteps(a)),
		cmp.Compare(sideRank(a), sideRank(b)),
		overdueKey(a, b),
		cmp.Compare(coSteps(b.CO), coSteps(a.CO)),
		cmp.Compare(known(b.Unit.InputKW), known(a.Unit.InputKW)),
		cmp.Compare(idleDays(b), idleDays(a)),
		strings.Compare(a.Unit.Serial, b.Unit.Serial),
		strings.Compare(a.Unit.Source, b.Unit.Source),
		cmp.Compare(a.Unit.Key, b.Unit.Key),
	)
}

// leadKey puts CO first within the tiers that CO decides.
func leadKey(a, b *Line) int {
	if a.Tier != b.Tier || (a.Tier != COUrgentNow && a.Tier != COForAttention) {
		return 0
	}
	return cmp.Compare(coSteps(b.CO), coSteps(a.CO))
}

// overdueKey puts the longest overdue first within the tier of overdue tests and
// among units without a reading.
func overdueKey(a, b *Line) int {
	if a.Tier != b.Tier || a.Tier != TestOverdue && a.Tier != NoReading {
		return 0
	}
	return cmp.Compare(b.DaysOverdue, a.DaysOverdue)
}

// chanceSteps is the probability in steps of 0.05; without a forecast 0.
func chanceSteps(l *Line) float64 {
	p := l.orderProbability()
	if math.IsNaN(p) {
		return 0
	}
	return math.Round(p * 20)
}

func sideRank(l *Line) int {
	switch l.Side {
	case Rich:
		return 0
	case Lean:
		return 1
	default:
		return 2
	}
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

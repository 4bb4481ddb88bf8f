package watch

import (
	"math"
	"slices"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Ground is a kind of grounds to see to a unit, or to leave it. Grounds do not stand
// above one another: the group that one asks for does.
type Ground int

// The grounds, in the order in which they are looked for. Where two ask for the same
// group, the earlier is the first reason.
//
// "Probably out of limits now" comes before "left off target": the forecast speaks of
// the action band, which is what justifies a visit, while a unit left just outside the
// narrow setting band may still be well inside it.
const (
	COUrgentNow Ground = iota + 1
	FuelInDoubt
	ReadAgain
	LastUnconfirmed
	ProbablyOutside
	LeftOutside
	NotTestedSince
	COForAttention
	ExpectedOutside
	EnoughAvoided
	OverdueTest
	NoTarget
	NoReading
	CONotRead
	ToPlan
)

// finding is what a ground comes to at a unit: the group it asks for, and why.
// Without a reason the ground does not apply.
type finding struct {
	group  Group
	reason Reason
	side   Side
	// after: it only asks where no other ground asks for a group up to this one;
	// 0: whatever they ask for.
	after  Group
	unread bool // it holds of a unit without a reading too, whatever its ground says
}

// entry is a ground in the table: its test, whether it holds of a unit that is not in
// the register (nothing but its CO is judged), and of one without a reading.
type entry struct {
	ground       Ground
	unregistered bool
	unread       bool
	test         func(*facts) finding
}

// groundTable is tried from the top.
var groundTable = []entry{
	{COUrgentNow, true, true, coUrgent},
	{FuelInDoubt, false, false, fuelInDoubt},
	{ReadAgain, false, false, readAgain},
	{LastUnconfirmed, false, false, lastUnconfirmed},
	{ProbablyOutside, false, false, probablyOutside},
	{LeftOutside, false, false, leftOutside},
	{NotTestedSince, false, false, notTestedSince},
	{COForAttention, true, true, coForAttention},
	{ExpectedOutside, false, false, expectedOutside},
	{EnoughAvoided, false, false, enoughAvoided},
	{OverdueTest, false, false, testOverdue},
	{NoTarget, true, false, noTarget},
	{NoReading, false, true, noReading},
	{CONotRead, true, false, coNotRead},
	{ToPlan, true, false, toPlan},
}

// worstCO returns the fire with the worst CO: the higher level, then the
// higher number, a number that is not known counting above all.
func worstCO(fires []FireLine) *FireLine {
	var worst *FireLine
	for i := range fires {
		f := &fires[i]
		if f.CO.Level != COUnknown && (worst == nil || coAbove(f.CO, worst.CO)) {
			worst = f
		}
	}
	return worst
}

func coAbove(a, b CO) bool {
	if a.Level != b.Level {
		return a.Level > b.Level
	}
	return coNumber(a) > coNumber(b)
}

// coNumber returns CO for ordering: over range without a number above all,
// not recorded below all.
func coNumber(c CO) float64 {
	switch {
	case !math.IsNaN(c.AirFreePPM):
		return c.AirFreePPM
	case c.Level == COUrgent:
		return math.Inf(1)
	default:
		return -1
	}
}

// worstLeft returns the fire left farthest outside its setting band, by the
// width of the band; equal: the rich side first, then the first fire.
func worstLeft(fires []FireLine) *FireLine {
	var worst *FireLine
	for i := range fires {
		f := &fires[i]
		if f.SetNotRecorded || f.OtherFuel || !(f.BeyondPoints > 0) || f.displayedAlone() {
			continue
		}
		if worst == nil || bands(f) > bands(worst) || (bands(f) == bands(worst) && f.Side == Rich && worst.Side != Rich) {
			worst = f
		}
	}
	return worst
}

// bands returns a deviation in widths of its side of the setting band, to one
// decimal, so that digits nobody recorded decide nothing.
func bands(f *FireLine) float64 { return math.Round(10*f.bandWidths()) / 10 }

// hasBand reports whether anything can be judged at a fire.
func hasBand(f FireLine) bool {
	return HasTarget(f.Target) && !(math.IsNaN(f.Target.SetRich) && math.IsNaN(f.Target.SetLean))
}

// visitsSince reports whether there was a visit in the field after a day.
func visitsSince(h *judge.History, day, asOf day.Day) bool {
	return slices.ContainsFunc(h.Visits, func(v judge.Visit) bool {
		return v.Day > day && v.Day <= asOf && v.Reason != judge.FactoryTest && !ofEarlierInstall(h, v.Day)
	})
}

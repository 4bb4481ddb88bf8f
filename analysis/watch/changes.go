package watch

import (
	"cmp"
	"math"
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/day"
)

// Earlier is a unit's line on an earlier publication.
type Earlier struct {
	Serial, Site, Area string
	Group              Group  // 0: not known
	Foot               string // as the list has it
	Rank               int
	LastVisit          day.Day
	OutProbability     float64 // of being out of limits on its as-of day; NaN where it has none
	AskedSince         day.Day // day of the first list that asked to see to its urgent CO; day.None without one
	Recorded           string  // the newest values it rested on, in words, to tell a corrected record from a changed forecast
}

// due reports whether an earlier line asked for anything.
func (e *Earlier) due() bool { return e.Foot == "" && e.Group > 0 && e.Group < CanWait }

// Change is how a unit's line differs from the earlier publication.
type Change struct {
	Kind               ChangeKind
	Serial             string
	Site, Area         string
	Rank, Before       int // 0: not due there
	Group, GroupBefore Group
	Cause              Cause
	// OutProbability is that of being out of limits now, OutBefore that of the earlier
	// list; NaN where there is none.
	OutProbability, OutBefore float64
	Line                      *Line    // as it is now; nil where nothing names the unit any more
	Earlier                   *Earlier // as it was; nil where it was not listed
}

// ChangeKind is what changed of a line.
type ChangeKind uint8

// Kinds of changes, in the order of the list.
const (
	Done        ChangeKind = iota // visited since, and no longer due
	StillOut                      // visited since, and out of limits or of its setting band
	StillDue                      // visited since, and due for something else
	Eased                         // the chance of being out of limits fell
	NoLongerDue                   // for another cause than a visit
	NewlyDue
	Worse // due then, and clearly worse
	changeKinds
)

// Cause is why a line changed.
type Cause int

// Causes.
const (
	FirstListed        Cause = iota + 1
	OffTheFoot               // it stood at the foot before
	DueByRecord              // its first reason says it
	Withdrawn                // nothing names it any more
	WithdrawnAsRemoved       // recorded as removed
	ToTheFoot                // answered, or isolated
	FoundInside              // visited, and every fire is inside its setting band
	Visited
	Corrected           // its newest values are others than they were
	ChanceMoved         // what is known since says otherwise of the same day
	LimitsChanged       // nothing of it is on record since, and no forecast says why
	byTime              // nothing but time passed: told of no unit
	noCause       Cause = 0
)

// clearChange is by how much the chance of being out of limits has to differ for a
// unit to be called eased or worse: less is what a new fit makes of the readings of
// others.
const clearChange = 0.05

// Changes compares the ordered lines and the removed ones with the lines of an earlier
// publication, by kinds; within one by the rank now, else by the earlier one. What
// only time did is left out and counted: a planned day that came nearer or passed, a
// chance that went on as it was foretold. Recorded writes the newest values of a line
// as publications do: other values than then mean that a record was corrected.
func Changes(lines []Line, before []Earlier, r Config, recorded func(*Line) string) (changes []Change, byTimeAlone int) {
	earlier := make(map[string]*Earlier, len(before))
	for i := range before {
		earlier[before[i].Serial] = &before[i]
	}
	of := [changeKinds][]Change{}
	seen := make(map[string]bool, len(lines))
	for i := range lines {
		l := &lines[i]
		seen[l.Unit.Serial] = true
		p := pair{l, earlier[l.Unit.Serial], r, recorded}
		kind, cause := p.change()
		switch cause {
		case noCause:
		case byTime:
			byTimeAlone++
		default:
			of[kind] = append(of[kind], p.changed(kind, cause))
		}
	}
	for i := range before {
		if e := &before[i]; !seen[e.Serial] && e.due() {
			of[NoLongerDue] = append(of[NoLongerDue], Change{
				Kind: NoLongerDue, Serial: e.Serial, Site: e.Site, Area: e.Area, Before: e.Rank, GroupBefore: e.Group,
				OutProbability: math.NaN(), OutBefore: e.OutProbability, Cause: Withdrawn, Earlier: e,
			})
		}
	}
	for _, some := range of {
		slices.SortFunc(some, func(a, b Change) int {
			return cmp.Or(cmp.Compare(cmp.Or(a.Rank, a.Before), cmp.Or(b.Rank, b.Before)), cmp.Compare(a.Serial, b.Serial))
		})
		changes = append(changes, some...)
	}
	return changes, byTimeAlone
}

// pair is a line now and as it was.
type pair struct {
	now      *Line
	was      *Earlier // nil where it was not listed
	rules    Config
	recorded func(*Line) string
}

// changed makes the change of a pair.
func (p *pair) changed(kind ChangeKind, cause Cause) Change {
	l, e := p.now, p.was
	c := Change{
		Kind: kind, Serial: l.Unit.Serial, Site: l.Unit.Site, Area: l.Unit.Area, Group: l.Group, Cause: cause,
		OutProbability: l.OutProbability, OutBefore: math.NaN(), Line: l, Earlier: e,
	}
	if l.Due() {
		c.Rank = l.Rank
	}
	if e != nil {
		c.GroupBefore, c.OutBefore = e.Group, e.OutProbability
		if e.due() {
			c.Before = e.Rank
		}
	}
	return c
}

// change says what changed, and why; no cause where there is nothing to tell.
func (p *pair) change() (ChangeKind, Cause) {
	due, was := p.now.Due(), p.was != nil && p.was.due()
	switch {
	case due && was:
		return p.stillDue()
	case due:
		return NewlyDue, p.newCause()
	case was:
		return p.gone()
	}
	return 0, noCause
}

// newCause is why a unit became due.
func (p *pair) newCause() Cause {
	switch {
	case p.was == nil:
		return FirstListed
	case p.was.Foot != "":
		return OffTheFoot
	case p.visited():
		return Visited
	case p.recorded(p.now) == p.was.Recorded && (p.now.Group == TestOverdue || p.aheadAlone()):
		return byTime
	}
	return DueByRecord
}

// gone is why a unit is no longer due.
func (p *pair) gone() (ChangeKind, Cause) {
	l := p.now
	switch {
	case l.Removed:
		return NoLongerDue, WithdrawnAsRemoved
	case l.Foot != NoFoot:
		return NoLongerDue, ToTheFoot
	case p.visited() && out(l, p.rules):
		return p.foundOut(), Visited
	case p.visited() && inside(l):
		return Done, FoundInside
	case p.visited():
		return Done, Visited
	case p.recorded(l) != p.was.Recorded:
		return NoLongerDue, Corrected
	case p.learned() <= -clearChange && p.rose() < 0:
		return Eased, ChanceMoved
	case p.was.Group == BookSooner && math.Abs(p.learned()) < clearChange:
		return NoLongerDue, byTime
	}
	return NoLongerDue, LimitsChanged
}

// stillDue says what changed of a unit that was due and is.
func (p *pair) stillDue() (ChangeKind, Cause) {
	l, e := p.now, p.was
	corrected, urgent := p.recorded(l) != e.Recorded, l.Group == GoToday && e.Group != GoToday
	switch {
	case urgent && p.visited():
		return Worse, Visited
	case urgent:
		return Worse, DueByRecord
	case p.visited() && out(l, p.rules):
		return p.foundOut(), Visited
	case p.visited():
		return StillDue, Visited
	case p.learned() <= -clearChange && p.rose() <= -100*clearChange:
		return Eased, ChanceMoved
	case p.learned() >= clearChange && p.rose() >= 100*clearChange:
		return Worse, ChanceMoved
	case corrected && l.Group < e.Group:
		return Worse, Corrected
	case corrected && l.Group > e.Group:
		return Eased, Corrected
	case l.Group != e.Group && (l.Group == TestOverdue || p.aheadAlone()):
		return 0, byTime
	}
	return 0, noCause
}

// foundOut is the kind of a unit that is out after a visit: out before too, where
// anything but the calendar asked for the visit.
func (p *pair) foundOut() ChangeKind {
	if p.was.Group == TestOverdue && !(p.was.OutProbability >= p.rules.outProbability()) {
		return Worse
	}
	return StillOut
}

// visited reports whether a visit is on record that the earlier list did not know.
func (p *pair) visited() bool { return p.now.LastVisit > p.was.LastVisit }

// learned is by how much what is known since changes the chance that the unit was out
// of limits on the day of the earlier list: time has no part in it. NaN where one of
// the two chances is not known.
func (p *pair) learned() float64 {
	f, then := worstFire(p.now.Forecast, func(f analysis.FireForecast) analysis.Probability { return f.Earlier })
	if f == nil {
		return math.NaN()
	}
	return then.Out() - p.was.OutProbability
}

// rose is by how many percent, as they are written, the chance of being out of limits
// rose.
func (p *pair) rose() float64 {
	return math.Round(100*p.now.OutProbability) - math.Round(100*p.was.OutProbability)
}

// aheadAlone reports whether a unit is booked sooner by a forecast that time alone has
// brought there.
func (p *pair) aheadAlone() bool {
	ahead := []Ground{ProbablyOutside, LeftOutside, ExpectedOutside, EnoughAvoided} // booked for the days a visit avoids
	return p.now.Group == BookSooner && slices.Contains(ahead, p.now.Ground) && math.Abs(p.learned()) < clearChange
}

// inside reports whether the last visit read every fire inside its setting band.
func inside(l *Line) bool {
	for i := range l.Fires {
		f := &l.Fires[i]
		if f.Reading == nil || f.Reading.Day != l.LastVisit || f.SetNotRecorded || !(f.BeyondPoints == 0) {
			return false
		}
	}
	return len(l.Fires) > 0
}

// out reports whether a unit is probably out of limits, was left or found off target,
// or has CO for attention or more.
func out(l *Line, r Config) bool {
	return l.OutProbability >= r.outProbability() || worstLeft(l.Fires) != nil || l.CO.Level >= COAttention
}

package watch

import (
	"cmp"
	"slices"

	"fluedrift/model/day"
)

// Earlier is a unit's line on an earlier publication.
type Earlier struct {
	Serial, Site, Area string
	Group              Group  // 0: not known
	Foot               string // as the list has it
	Rank               int
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
	Line               *Line    // as it is now; nil where nothing names the unit any more
	Earlier            *Earlier // as it was; nil where it was not listed
}

// ChangeKind is what changed of a line.
type ChangeKind uint8

// Kinds of changes.
const (
	NewlyDue ChangeKind = iota
	NoLongerDue
	StillDue // and nearer to the top
)

// Cause is why a unit became due, is no longer due, or moved up.
type Cause int

// Causes.
const (
	FirstListed        Cause = iota + 1
	OffTheFoot               // it stood at the foot before
	DueSinceVisit            // it was visited since
	DueByRecord              // its first reason says it
	MovedUp                  // due then and now
	Withdrawn                // nothing names it any more
	WithdrawnAsRemoved       // recorded as removed
	ToTheFoot                // answered, or isolated
	Visited                  // nothing due since a visit
	Corrected                // its newest values are others than they were
	NothingNew               // the forecast or the limits changed
)

// mostMoved is how many of the units that moved up are listed.
const mostMoved = 20

// Changes compares the ordered lines and the removed ones with the lines of a
// publication made for an earlier day: units newly due by rank, units no
// longer due by their earlier rank, and those still due that moved up most.
// Recorded writes the newest values of a line as publications do: other values than
// then mean that a record was corrected.
func Changes(lines []Line, before []Earlier, asOfBefore day.Day, recorded func(*Line) string) []Change {
	earlier := make(map[string]*Earlier, len(before))
	for i := range before {
		earlier[before[i].Serial] = &before[i]
	}
	var fresh, gone, moved []Change
	seen := make(map[string]bool, len(lines))
	for i := range lines {
		l := &lines[i]
		seen[l.Unit.Serial] = true
		e := earlier[l.Unit.Serial]
		wasDue := e != nil && e.due()
		c := changeOf(l, e)
		switch {
		case l.Due() && !wasDue:
			c.Kind, c.Cause = NewlyDue, newCause(l, e, asOfBefore)
			fresh = append(fresh, c)
		case !l.Due() && wasDue:
			c.Kind, c.Rank, c.Cause = NoLongerDue, 0, goneCause(l, e, asOfBefore, recorded)
			gone = append(gone, c)
		case l.Due() && e.Rank > l.Rank:
			c.Kind, c.Cause = StillDue, MovedUp
			moved = append(moved, c)
		}
	}
	for i := range before {
		if e := &before[i]; !seen[e.Serial] && e.due() {
			gone = append(gone, Change{
				Kind: NoLongerDue, Serial: e.Serial, Site: e.Site, Area: e.Area, Before: e.Rank, GroupBefore: e.Group,
				Cause: Withdrawn, Earlier: e,
			})
		}
	}
	slices.SortFunc(fresh, func(a, b Change) int { return cmp.Compare(a.Rank, b.Rank) })
	slices.SortFunc(gone, func(a, b Change) int { return cmp.Compare(a.Before, b.Before) })
	slices.SortFunc(moved, func(a, b Change) int {
		return cmp.Or(cmp.Compare(b.Before-b.Rank, a.Before-a.Rank), cmp.Compare(a.Rank, b.Rank))
	})
	return slices.Concat(fresh, gone, moved[:min(len(moved), mostMoved)])
}

func changeOf(l *Line, e *Earlier) Change {
	c := Change{Serial: l.Unit.Serial, Site: l.Unit.Site, Area: l.Unit.Area, Rank: l.Rank, Group: l.Group, Line: l, Earlier: e}
	if e != nil {
		c.GroupBefore = e.Group
		if e.due() {
			c.Before = e.Rank
		}
	}
	return c
}

// newCause is why a unit became due.
func newCause(l *Line, e *Earlier, before day.Day) Cause {
	switch {
	case e == nil:
		return FirstListed
	case e.Foot != "":
		return OffTheFoot
	case l.LastVisit > before:
		return DueSinceVisit
	}
	return DueByRecord
}

// goneCause is why a unit is no longer due: withdrawn, answered, visited,
// corrected, else what its line says now.
func goneCause(l *Line, e *Earlier, before day.Day, recorded func(*Line) string) Cause {
	switch {
	case l.Removed:
		return WithdrawnAsRemoved
	case l.Foot != NoFoot:
		return ToTheFoot
	case l.LastVisit > before:
		return Visited
	case recorded(l) != e.Recorded:
		return Corrected
	}
	return NothingNew
}

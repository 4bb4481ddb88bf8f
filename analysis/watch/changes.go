package watch

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fluedrift/model/judge"
)

// Earlier is a unit's line on an earlier publication.
type Earlier struct {
	Serial, Site, Area string
	Tier, Step, Foot   string
	Place              int
	AskedSince         int32  // day of the first list that asked to see to its urgent CO; NoDay without one
	Recorded           string // the newest values it rested on, in words, to tell a corrected record from a changed forecast
}

// due reports whether an earlier line asked for anything.
func (e *Earlier) due() bool { return e.Foot == "" && e.Step != string(LeaveToPlan) }

// Due reports whether a line asks for anything: it stands on the list proper
// and its next step is not to leave it to plan.
func (l *Line) Due() bool { return !l.Removed && l.Foot == "" && l.Step != LeaveToPlan }

// Change is how a unit's line differs from the earlier publication.
type Change struct {
	What             string // "new", "gone" or "moved up"
	Serial           string
	Site, Area       string
	Place, Before    int // 0: not due there
	Tier, TierBefore string
	Why              string
}

// mostMoved is how many of the units that moved up are listed.
const mostMoved = 20

// Changes compares the ordered lines and the removed ones with the lines of a
// publication made for an earlier day: units newly due by place, units no
// longer due by their earlier place, and those still due that moved up most.
// Recorded is what Recorded gives for today's lines.
func Changes(lines []Line, before []Earlier, asOfBefore int32) []Change {
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
			c.What, c.Why = "new", newWhy(l, e, asOfBefore)
			fresh = append(fresh, c)
		case !l.Due() && wasDue:
			c.What, c.Place, c.Why = "gone", 0, goneWhy(l, e, asOfBefore)
			gone = append(gone, c)
		case l.Due() && e.Place > l.Place:
			c.What, c.Why = "moved up", fmt.Sprintf("%d places up. %s", e.Place-l.Place, firstOf(l.Reasons))
			moved = append(moved, c)
		}
	}
	for i := range before {
		if e := &before[i]; !seen[e.Serial] && e.due() {
			gone = append(gone, Change{What: "gone", Serial: e.Serial, Site: e.Site, Area: e.Area, Before: e.Place, TierBefore: e.Tier,
				Why: "withdrawn: no register line and no record names it any more"})
		}
	}
	slices.SortFunc(fresh, func(a, b Change) int { return cmp.Compare(a.Place, b.Place) })
	slices.SortFunc(gone, func(a, b Change) int { return cmp.Compare(a.Before, b.Before) })
	slices.SortFunc(moved, func(a, b Change) int {
		return cmp.Or(cmp.Compare(b.Before-b.Place, a.Before-a.Place), cmp.Compare(a.Place, b.Place))
	})
	return slices.Concat(fresh, gone, moved[:min(len(moved), mostMoved)])
}

func changeOf(l *Line, e *Earlier) Change {
	c := Change{Serial: l.Unit.Serial, Site: l.Unit.Site, Area: l.Unit.Area, Place: l.Place, Tier: l.TierWords}
	if e != nil {
		c.TierBefore = e.Tier
		if e.due() {
			c.Before = e.Place
		}
	}
	return c
}

// newWhy says why a unit became due.
func newWhy(l *Line, e *Earlier, before int32) string {
	switch {
	case e == nil:
		return "first listed. " + firstOf(l.Reasons)
	case e.Foot != "":
		return "no longer at the foot (" + e.Foot + "). " + firstOf(l.Reasons)
	case l.LastVisit > before:
		return "visited on " + DayWords(l.LastVisit) + ". " + firstOf(l.Reasons)
	}
	return firstOf(l.Reasons)
}

// goneWhy says why a unit is no longer due: visited, answered, withdrawn,
// corrected, else what its line says now.
func goneWhy(l *Line, e *Earlier, before int32) string {
	switch {
	case l.Removed:
		return "withdrawn: recorded as removed"
	case l.Foot != "":
		return l.Foot
	case l.LastVisit > before:
		return "visited on " + DayWords(l.LastVisit)
	case Recorded(l) != e.Recorded:
		return "corrected: its newest values were " + orNone(e.Recorded) + " and are now " + orNone(Recorded(l))
	}
	return "nothing new on record: the forecast or the limits changed. " + firstOf(l.Reasons)
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func firstOf(reasons []string) string {
	if len(reasons) == 0 {
		return ""
	}
	return reasons[0]
}

// Recorded puts the newest values a line rests on into words: state, and by
// fire the day and the gas as recorded, with CO.
func Recorded(l *Line) string {
	var parts []string
	if l.Unit.State != "" {
		parts = append(parts, l.Unit.State)
	}
	for i := range l.Fires {
		f := &l.Fires[i]
		if f.Reading != nil {
			parts = append(parts, fmt.Sprintf("%s %s on %s", f.Label(), GasWords(f.Reading), DayWords(f.Reading.Day)))
		}
		if f.CO.Level != COUnknown && f.CO.Day != judge.NoDay {
			parts = append(parts, f.CO.Words)
		}
	}
	return strings.Join(parts, ", ")
}

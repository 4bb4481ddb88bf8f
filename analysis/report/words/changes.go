package words

import (
	"fmt"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// ChangeKind names what changed of a line.
func ChangeKind(k watch.ChangeKind) string {
	return [...]string{watch.NewlyDue: "new", watch.NoLongerDue: "gone", watch.StillDue: "moved up"}[k]
}

// Change says why a unit became due, is no longer due, or moved up.
func Change(c *watch.Change) string {
	first := ""
	if c.Line != nil {
		first = FirstReason(c.Line)
	}
	switch c.Cause {
	case watch.FirstListed:
		return "first listed. " + first
	case watch.OffTheFoot:
		return "no longer at the foot (" + c.Earlier.Foot + "). " + first
	case watch.DueSinceVisit:
		return "visited on " + Day(c.Line.LastVisit) + ". " + first
	case watch.DueByRecord:
		return first
	case watch.MovedUp:
		return fmt.Sprintf("%d ranks up. %s", c.Earlier.Rank-c.Line.Rank, first)
	case watch.Withdrawn:
		return "withdrawn: no register line and no record names it any more"
	case watch.WithdrawnAsRemoved:
		return "withdrawn: recorded as removed"
	case watch.ToTheFoot:
		return Foot(c.Line)
	case watch.Visited:
		return "visited on " + Day(c.Line.LastVisit)
	case watch.Corrected:
		return "corrected: its newest values were " + orNone(c.Earlier.Recorded) + " and are now " + orNone(Recorded(c.Line))
	case watch.NothingNew:
		return "nothing new on record: the forecast or the limits changed. " + first
	}
	return ""
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

// Recorded puts the newest values a line rests on into words: state, and by fire the
// day and the gas as recorded, with CO.
func Recorded(l *watch.Line) string {
	parts := said(string(l.Unit.State))
	for i := range l.Fires {
		f := &l.Fires[i]
		if f.Reading != nil {
			parts = append(parts, fmt.Sprintf("%s %s on %s", fireLine(f), gas(f.Reading), Day(f.Reading.Day)))
		}
		if f.CO.Level != watch.COUnknown && f.CO.Day != day.None {
			parts = append(parts, CO(&f.CO))
		}
	}
	return strings.Join(parts, ", ")
}

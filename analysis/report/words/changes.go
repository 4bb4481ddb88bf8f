package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// changeKinds are what changed of a line, in the order of the list.
var changeKinds = [...]string{
	watch.Done: "done", watch.StillOut: "visited and still out", watch.StillDue: "visited and still due", watch.Eased: "eased",
	watch.NoLongerDue: "no longer due", watch.NewlyDue: "new", watch.Worse: "worse",
}

// ChangeKind names what changed of a line.
func ChangeKind(k watch.ChangeKind) string { return changeKinds[k] }

// Change says why a line changed.
func Change(c *watch.Change) string {
	if c.Line == nil {
		return "withdrawn: no register line and no record names it any more"
	}
	first := FirstReason(c.Line)
	switch c.Cause {
	case watch.FirstListed:
		return "first listed. " + first
	case watch.OffTheFoot:
		return "no longer at the foot (" + c.Earlier.Foot + "). " + first
	case watch.DueByRecord:
		return first
	case watch.WithdrawnAsRemoved:
		return "withdrawn: recorded as removed"
	case watch.ToTheFoot:
		return Foot(c.Line)
	case watch.FoundInside:
		return "visited on " + Day(c.Line.LastVisit) + ", now inside"
	case watch.Visited:
		return visited(c, first)
	case watch.Corrected:
		return "corrected: its newest values were " + orNone(c.Earlier.Recorded) + " and are now " + orNone(Recorded(c.Line))
	case watch.ChanceMoved:
		return chanceMoved(c) + ". " + first
	case watch.LimitsChanged:
		return "nothing new on record: the forecast or the limits changed. " + first
	}
	return ""
}

// visited says when a unit was visited, and what that made of its chance, where that is
// what its line is about; then its first reason, where it is due.
func visited(c *watch.Change, first string) string {
	w, moved := "visited on "+Day(c.Line.LastVisit), chanceMoved(c)
	fell := c.OutProbability < c.OutBefore
	byCO := c.Line.Ground == watch.COUrgentNow || c.Line.Ground == watch.COForAttention
	if moved != "" && !byCO && !(fell && (c.Kind == watch.NewlyDue || c.Kind == watch.Worse)) {
		w += ", " + moved
	} else if c.Kind == watch.Done {
		w += ", nothing due since"
	}
	if c.Kind == watch.Done {
		return w
	}
	return w + ". " + first
}

// chanceMoved says how the chance of being out of limits changed; "" where it did not,
// or is not known.
func chanceMoved(c *watch.Change) string {
	was, is := strings.TrimSuffix(percent(c.OutBefore), " %"), percent(c.OutProbability)
	switch {
	case math.IsNaN(c.OutBefore) || math.IsNaN(c.OutProbability) || was+" %" == is:
		return ""
	case c.OutProbability < c.OutBefore:
		return fmt.Sprintf("chance out of limits fell from %s to %s", was, is)
	}
	return fmt.Sprintf("chance out of limits rose from %s to %s", was, is)
}

// Changed says how many lines changed since the list of an earlier day, and how many
// more only time moved.
func Changed(changes []watch.Change, byTimeAlone int, before day.Day) []string {
	if before == day.None {
		return []string{"No earlier publication to compare with."}
	}
	n := [len(changeKinds)]int{}
	for i := range changes {
		n[changes[i].Kind]++
	}
	var counts []string
	for k, units := range n {
		if units > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", units, changeKinds[k]))
		}
	}
	if counts == nil {
		counts = []string{"no unit changed"}
	}
	said := []string{fmt.Sprintf("Since the list of %s: %s.", Day(before), strings.Join(counts, ", "))}
	if byTimeAlone > 0 {
		more := Counted(byTimeAlone, "more unit")
		said = append(said, more+" came into another group only because time passed: not listed here.")
	}
	return said
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

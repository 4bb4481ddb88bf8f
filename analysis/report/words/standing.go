package words

import (
	"fmt"

	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// Standing says where a unit stands on the list and why, in the order of its parts.
type Standing struct {
	Place   string // its place, tier and next step
	Range   string // how sure that place is; "" where the forecast does not give it
	Foot    string // why it stands at the foot; "" on the list proper
	Reasons []string
	Planned string // its last routine visit and its planned day
	Marks   string // "" without any
}

// StandingOf puts a line in sentences; notRead names the exports that might have a
// test which is not on record.
func StandingOf(l *watch.Line, notRead string) Standing {
	s := Standing{Place: Capital(l.TierWords), Range: placeRange(l), Reasons: Reasons(l)}
	if l.Place > 0 {
		s.Place = fmt.Sprintf("Place %d: %s", l.Place, l.TierWords)
	}
	if l.Removed {
		s.Place = "Not listed: recorded as removed"
	}
	s.Place += ". Next step: " + string(l.Step) + "."
	if foot := Foot(l); foot != "" {
		s.Foot = "At the foot of the list: " + foot + "."
	}
	visited := "Last routine visit on " + Day(l.LastRoutine)
	if w := notVisited(&l.Plan, notRead); w != "" {
		visited = w
	}
	s.Planned = visited + "; planned day " + Day(l.PlannedDay) + "."
	if marks := Marks(l); marks != "" {
		s.Marks = "Marks: " + marks + "."
	}
	return s
}

// All are all of its sentences.
func (s *Standing) All() []string {
	lines := append(said(s.Place, s.Range, s.Foot), s.Reasons...)
	return append(lines, said(s.Planned, s.Marks)...)
}

// said are the sentences that there are.
func said(sentences ...string) (some []string) {
	for _, s := range sentences {
		if s != "" {
			some = append(some, s)
		}
	}
	return some
}

// notVisited says that a unit had no routine visit, or none since it moved; "" where
// it had.
func notVisited(p *watch.Plan, notRead string) string {
	switch {
	case p.SinceMove:
		return "No routine visit since it moved"
	case p.NoRoutine:
		return "No routine visit " + onRecord(notRead)
	}
	return ""
}

// moved says that a unit moved, and from where to where as far as is known.
func moved(m *judge.Move) string {
	w := "it moved"
	if m.FromSite != "" {
		w += " from " + m.FromSite
	}
	if m.ToSite != "" {
		w += " to " + m.ToSite
	}
	return w
}

// placeRange says how sure a unit's place is, "" where it is not given by the
// forecast.
func placeRange(l *watch.Line) string {
	if l.PlaceFrom == 0 {
		return ""
	}
	w := fmt.Sprintf("By how far outside its band it truly stands, its place would lie between %d and %d (90 %%)", l.PlaceFrom, l.PlaceTo)
	if l.PlaceFrom == l.PlaceTo {
		w = fmt.Sprintf("By how far outside its band it truly stands, its place would be %d (90 %%)", l.PlaceFrom)
	}
	if l.TiedWithNext {
		w += "; tied with the unit after it"
	}
	return w + "."
}

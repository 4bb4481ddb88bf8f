package words

import (
	"fmt"

	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// Standing says where a unit stands on the list and why, in the order of its parts.
type Standing struct {
	Rank    string // its rank and its group
	Range   string // how sure that place is; "" where the forecast does not give it
	Foot    string // why it stands at the foot; "" on the list proper
	Reasons []string
	Planned string // its last routine visit and its planned day
	Marks   string // "" without any
}

// StandingOf puts a line in sentences; notRead names the exports that might have a
// test which is not on record.
func StandingOf(l *watch.Line, notRead string) Standing {
	s := Standing{Rank: Capital(l.GroupWords), Range: rankRange(l), Reasons: Reasons(l)}
	if l.Rank > 0 {
		s.Rank = fmt.Sprintf("Rank %d: %s", l.Rank, l.GroupWords)
	}
	if l.Removed {
		s.Rank = "Not listed: recorded as removed"
	}
	s.Rank += "."
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
	lines := append(said(s.Rank, s.Range, s.Foot), s.Reasons...)
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

// rankRange says how sure a unit's rank is, "" where no forecast gives it.
func rankRange(l *watch.Line) string {
	switch {
	case l.RankFrom == 0:
		return ""
	case l.RankFrom == l.RankTo:
		return "The evidence allows no other rank."
	}
	return fmt.Sprintf("The evidence allows any rank from %s to %s.", ordinal(l.RankFrom), ordinal(l.RankTo))
}

// ordinal is a number as a rank: 1st, 2nd, 3rd, 11th.
func ordinal(n int) string {
	end := "th"
	if n/10%10 != 1 {
		switch n % 10 {
		case 1:
			end = "st"
		case 2:
			end = "nd"
		case 3:
			end = "rd"
		}
	}
	return fmt.Sprintf("%d%s", n, end)
}

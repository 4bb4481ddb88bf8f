package words

import (
	"fmt"
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// FleetOn says how many boilers a list has, and of which day.
func FleetOn(boilers int, asOf day.Day) string {
	return fmt.Sprintf("%s, %s", Counted(boilers, "boiler"), asOf.Time().Format("Monday 2 January 2006"))
}

// RowAbout is a boiler's serial, model line and area.
func RowAbout(u *judge.Unit) string { return strings.Join(said(u.Serial, u.ModelLine, u.Area), ", ") }

// listTitles are the headings of the other lists, and what leads to them.
var listTitles = map[string]struct{ title, short string }{
	"changed": {"What changed", "Changed"}, "co": {"CO readings", "CO"}, "verify": {"Readings to double-check", "To double-check"},
	"startup-gaps": {"Missing start-ups", "Start-ups"}, "analyzers": {"Analyzers", "Analyzers"},
	"habits": {"Record keeping", "Record keeping"}, "records-to-fix": {"Records to correct", "To correct"},
}

// ListTitle is the heading of another list, and what leads to it; its name where it has
// none.
func ListTitle(name string) (title, short string) {
	if t, ok := listTitles[name]; ok {
		return t.title, t.short
	}
	return Capital(name), Capital(name)
}

// DetailOf is what a row of the list opens to: one sentence, and facts about the
// boiler, its place on the list and what to check.
func DetailOf(in units.Set, s *watch.Story) (lead string, facts []watch.Fact) {
	l := &s.Line
	standing := StandingOf(l, s.NotRead)
	reasons := Reasons(l)
	if len(reasons) > 0 {
		lead = reasons[0]
	}
	add := func(name string, sentences ...string) {
		if w := strings.Join(said(sentences...), " "); w != "" {
			facts = append(facts, watch.Fact{Name: name, Words: w})
		}
	}
	if len(reasons) > 1 {
		add("Also", reasons[1:]...)
	}
	add("Foot", standing.Foot)
	add("Boiler", strings.Join(boiler(in, &s.Unit), ", "))
	add("Standing", aboutSite(in, &s.About)...)
	add("Call", ContactOf(&s.Unit).Line())
	add("Tested", standing.Planned)
	add("Check first", look(l)...)
	add("Aim for", aims(l)...)
	add("Rank", standing.Rank, standing.Range)
	add("Caution", strings.TrimPrefix(standing.Marks, "Marks: "))
	return lead, facts
}

// aims say where to leave each fire; what holds of all is said once, at the end.
func aims(l *watch.Line) (all []string) {
	for i := range l.Fires {
		if p := l.Fires[i].Forecast; p != nil {
			if aim := aimOn(l, p); aim != "" {
				all = append(all, Capital(FireLabel(p.Fire, p.RatePercent))+": "+strings.TrimSuffix(aim, aimCaution))
			}
		}
	}
	if len(all) > 0 {
		all = append(all, strings.TrimSpace(aimCaution))
	}
	return all
}

// RowKeyHead is what the column that a group is ordered by says, in its head.
func RowKeyHead(g watch.Group) Two {
	switch g {
	case watch.GoToday:
		return Two{First: "CO, air-free", Second: "fire"}
	case watch.AskFirst:
		return Two{First: "Ask whom", Second: "what"}
	case watch.TestOverdue:
		return Two{First: "Overdue", Second: "planned day"}
	case watch.CanWait:
		return Two{First: "Planned", Second: "day"}
	}
	return Two{First: "Days avoided", Second: "points beyond"}
}

// RowKey is that column's cell.
func RowKey(l *watch.Line) Two {
	switch l.Group {
	case watch.GoToday:
		return rowCarbonMonoxide(l)
	case watch.AskFirst:
		return asks(l)
	case watch.TestOverdue:
		return rowOverdue(l)
	case watch.CanWait:
		return rowPlanned(l)
	}
	return rowBenefit(l)
}

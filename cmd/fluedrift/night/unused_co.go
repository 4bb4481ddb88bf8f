package night

import (
	"fmt"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/queries"
)

// notesOfCO are notes of the CO on records that could not be used: it is on no reading
// that the night counts.
func notesOfCO(lines []watch.Line, ofNoUnit []watch.UnusedCO) (notes []string) {
	var dangerous, unread []string
	for i := range lines {
		l := &lines[i]
		if l.Removed {
			continue
		}
		for _, u := range l.DangerousUnused() {
			dangerous = append(dangerous, l.Unit.Serial+", "+words.UnusedCO(&u)+", "+u.Origin)
		}
		for _, u := range l.UnreadableCO() {
			unread = append(unread, l.Unit.Serial+", "+u.Origin)
		}
	}
	for i := range ofNoUnit {
		dangerous = append(dangerous, "serial not readable, "+words.UnusedCO(&ofNoUnit[i])+", "+ofNoUnit[i].Origin)
	}
	if len(dangerous) > 0 {
		notes = append(notes, fmt.Sprintf("CO for attention or more on %s that could not be used: %s; correct these "+
			"first, see records-to-fix.csv",
			Count(len(dangerous), "record"), firstThree(dangerous)))
	}
	if len(unread) > 0 {
		notes = append(notes, fmt.Sprintf("CO that cannot be read on %s: %s", Count(len(unread), "record"), firstThree(unread)))
	}
	return notes
}

// A source counts as silent on CO from so many readings without any: fewer may be
// one visit's habit (common practice, no source).
const (
	silentAlways = 3
	silentSince  = 20
)

// silentOnCO says which sources tell no CO, or no more.
func silentOnCO(sources []queries.SourceCO) (head []string) {
	for _, s := range sources {
		name := s.Source
		switch {
		case s.LastDay == day.None && !s.Declared:
			head = append(head, fmt.Sprintf("No CO from source %q: none of its layouts declares a CO column. Nothing "+
				"is known of the CO of the units it reads.", name))
		case s.LastDay == day.None && s.Readings >= silentAlways:
			head = append(head, fmt.Sprintf("No CO from source %q: its CO columns are empty at all its %d readings. "+
				"Nothing is known of the CO of the units it reads.", name, s.Readings))
		case s.LastDay != day.None && s.Since >= silentSince:
			head = append(head, fmt.Sprintf("No CO from source %q since %s: its last %d readings have none. Look at "+
				"its CO columns.", name, words.Day(s.LastDay), s.Since))
		}
	}
	return head
}

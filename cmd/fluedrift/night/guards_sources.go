package night

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/model/day"
	"fluedrift/queries"
)

// The guards of this file look for what did not come, or came and is not read.

// notLookedInto says whether an entry of the exports folder is left unread though
// nobody said that it should be.
func (f Input) notLookedInto() bool {
	return !f.ours() && !f.Ignored && f.Reason != ingest.Folder
}

// notOurs finds entries of the exports folder that no layout is for.
func notOurs(now []Input) []fault {
	var texts []string
	for _, f := range now {
		if f.notLookedInto() {
			texts = append(texts, fmt.Sprintf("%s (%s)", f.Name, f.Message))
		}
	}
	if texts == nil {
		return nil
	}
	are := "entries of the exports folder are"
	if len(texts) == 1 {
		are = "entry of the exports folder is"
	}
	return []fault{{"", fmt.Sprintf("%d %s not read: %s; write a layout, move it out, or name it in exports.ignore", len(texts),
		are, firstThree(texts))}}
}

// linesUnread counts the lines of sheets that no layout reads, columnsUnread the
// columns without a header that hold numbers.
func (f Input) linesUnread() (n int64) {
	for _, u := range f.Unread {
		if u.Sheet {
			n += u.Lines
		}
	}
	return n
}

func (f Input) columnsUnread() (n int64) {
	for _, u := range f.Unread {
		if !u.Sheet {
			n++
		}
	}
	return n
}

// partsUnread finds sheets and columns that no layout reads.
func partsUnread(now []Input) []fault {
	var texts []string
	for _, f := range now {
		for _, u := range f.Unread {
			texts = append(texts, unreadWords(f, u))
		}
	}
	if texts == nil {
		return nil
	}
	return []fault{{"", fmt.Sprintf("not read: %s; read them by a layout, or name what is no record in other_sheets "+
		"or blank_headers of the layout", firstThree(texts))}}
}

func unreadWords(f Input, u Unread) string {
	return fmt.Sprintf("%s of %s (%s)", u.What, f.Name, Count(int(u.Lines), "line"))
}

// A source is silent when its newest record is older than silentDays, and than
// as many times the usual gap between its record days as guards.max_source_gaps
// says. The usual gap is that which one in twenty is longer than, of the two
// years up to its newest record.
const (
	silentDays  = 14
	usualGap    = 0.95
	rhythmYears = 2 * 365
)

// silence is a source that has written nothing for longer than it usually takes.
type silence struct {
	source string
	since  day.Day
	usual  int32 // days between its records
}

// silentOn finds the sources that are silent on a day, in order of their names;
// days are in order of source and day. A source with few gaps has no rhythm yet.
func silentOn(c *settings.Config, days []queries.RecordDay, asOf day.Day) (found []silence) {
	for from := 0; from < len(days); {
		to := from
		for to < len(days) && days[to].Source == days[from].Source {
			to++
		}
		if s, ok := silenceOf(c, days[from:to], asOf); ok {
			found = append(found, s)
		}
		from = to
	}
	return found
}

// silenceOf looks at one source.
func silenceOf(c *settings.Config, days []queries.RecordDay, asOf day.Day) (silence, bool) {
	last := days[len(days)-1]
	var gaps []int32
	for i := 1; i < len(days); i++ {
		if last.Day-days[i-1].Day <= rhythmYears {
			gaps = append(gaps, int32(days[i].Day-days[i-1].Day))
		}
	}
	if len(gaps) < fewLines || c.Guards.MaxSourceGaps == 0 || slices.Contains(c.Guards.EndedSources, last.Source) {
		return silence{}, false
	}
	slices.Sort(gaps)
	usual := gaps[int(math.Ceil(usualGap*float64(len(gaps))))-1]
	age := int32(asOf - last.Day)
	return silence{last.Source, last.Day, usual}, age > silentDays && float64(age) > c.Guards.MaxSourceGaps*float64(usual)
}

// note says that a source is silent.
func (s silence) note(asOf day.Day) string {
	return fmt.Sprintf("source %q has no record since %s, %s ago, and its records are seldom more than %s apart: ask for its "+
		"exports; guards.ended_sources names a source that writes no more",
		s.source, settings.DayText(s.since), Count(int(asOf-s.since), "day"), Count(int(s.usual), "day"))
}

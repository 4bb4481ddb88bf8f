package watch

import (
	"fluedrift/model/day"
)

// AskAgain notes since when lists have asked to see to the urgent CO of each
// line: since this one where the publication before did not, or knew another
// reading; else since what that one says.
func AskAgain(lines []Line, before []Earlier, r Config, asOfBefore day.Day) {
	earlier := make(map[string]*Earlier, len(before))
	for i := range before {
		earlier[before[i].Serial] = &before[i]
	}
	for i := range lines {
		l := &lines[i]
		since := r.AsOf
		e := earlier[l.Unit.Serial]
		switch {
		case e == nil || l.CO.Day > asOfBefore:
		case e.AskedSince != day.None:
			since = e.AskedSince
		case e.Group == GoToday:
			since = asOfBefore
		}
		l.AskSince(since)
	}
}

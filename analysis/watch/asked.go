package watch

import (
	"strings"

	"fluedrift/model/judge"
)

// AskAgain notes since when lists have asked to see to the urgent CO of each
// line: since this one where the publication before did not, or knew another
// reading; else since what that one says.
func AskAgain(lines []Line, before []Earlier, asOf, asOfBefore int32) {
	earlier := make(map[string]*Earlier, len(before))
	for i := range before {
		earlier[before[i].Serial] = &before[i]
	}
	for i := range lines {
		l := &lines[i]
		since := asOf
		if e := earlier[l.Unit.Serial]; e != nil && e.Tier == l.TierWords && l.CO.Day <= asOfBefore {
			since = asOfBefore
			if e.AskedSince != judge.NoDay {
				since = e.AskedSince
			}
		}
		l.AskSince(since, asOf)
	}
}

// AskSince notes the day of the first list that asked to see to the urgent CO of
// a line, and says it. A line without one is left as it is.
func (l *Line) AskSince(since, asOf int32) {
	if l.Tier != COUrgentNow || since == judge.NoDay {
		return
	}
	l.AskedSince = since
	words := "; asked for since the list of " + DayWords(since)
	if since == asOf {
		words = "; first asked for on this list"
	}
	l.Reasons[0] = strings.TrimSuffix(l.Reasons[0], ".") + words + "."
}

// ageWords say how long ago a day was; nothing under a month.
func ageWords(day, asOf int32) string {
	const month = 31
	if day == judge.NoDay || asOf-day < month {
		return ""
	}
	return "; read " + span(asOf-day) + " ago"
}

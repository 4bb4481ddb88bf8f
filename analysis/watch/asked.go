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
		if e := earlier[l.Unit.Serial]; e != nil && e.in(l.Tier, r) && l.CO.Day <= asOfBefore {
			since = asOfBefore
			if e.AskedSince != day.None {
				since = e.AskedSince
			}
		}
		l.AskSince(since)
	}
}

// in reports whether an earlier line stood in a tier.
func (e *Earlier) in(t Tier, r Config) bool {
	was, known := TierOf(e.Tier, r)
	return known && was == t
}

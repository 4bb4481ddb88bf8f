package watch

import (
	"cmp"
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/judge"
)

// Doubt is a unit whose last reading at a fire is unconfirmed.
type Doubt struct {
	Unit judge.Unit
	Rank int // on the watchlist
	Fire judge.Fire
	analysis.Unconfirmed
}

// UnconfirmedOf lists every unconfirmed last reading of ordered lines, whatever the
// unit's rank, by the larger probability of being outside.
func UnconfirmedOf(lines []Line) (all []Doubt) {
	for i := range lines {
		l := &lines[i]
		if l.Forecast == nil {
			continue
		}
		for k := range l.Forecast.Fires {
			if f := &l.Forecast.Fires[k]; f.Unconfirmed != nil {
				all = append(all, Doubt{l.Unit, l.Rank, f.Fire, *f.Unconfirmed})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Doubt) int { return cmp.Compare(b.LargerOut, a.LargerOut) })
	return all
}

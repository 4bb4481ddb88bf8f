package watch

import (
	"math"
)

// RankInterval is what is known of a unit's rank among some: its 90 % interval, 1
// the first. Both 0: not known.
type RankInterval struct{ From, To int }

// ByForecast lists the lines, by number, whose rank the forecast gives: those to book
// sooner for what a visit avoids. A rank that a reading or the calendar gives is no
// matter of chance: whoever stands in another group or at the foot keeps it.
func ByForecast(ordered []Line) []int {
	var at []int
	for i := range ordered {
		if l := &ordered[i]; l.Group == BookSooner && l.Foot == NoFoot && !math.IsNaN(l.Benefit.Key) {
			at = append(at, i)
		}
	}
	return at
}

// Range notes the ranks that the lines of ByForecast could have, were it known how
// badly every one of them stands. The intervals belong to the lines of at.
func Range(ordered []Line, at []int, intervals []RankInterval) {
	var ranks []int // that those with an interval share among themselves
	var ranked []int
	for k, i := range at {
		if intervals[k] != (RankInterval{}) {
			ranks, ranked = append(ranks, ordered[i].Rank), append(ranked, k)
		}
	}
	for _, k := range ranked {
		l, s := &ordered[at[k]], intervals[k]
		l.RankFrom, l.RankTo = ranks[s.From-1], ranks[s.To-1]
	}
}

package watch

import (
	"math"
)

// RankInterval is what is known of a unit's rank among some: its 90 % interval, 1
// the furthest outside, and the probability of standing further outside than
// the next of them in the order given; NaN where there is no next. All 0: not
// known.
type RankInterval struct {
	From, To int
	Ahead    float64
}

// sureOrder is the probability below which two neighbours count as tied.
const sureOrder = 0.6

// ByForecast lists the lines, by number, whose place the forecast gives: those
// of the list proper whose tier it decides, and those left to plan. Places that
// a reading or the calendar gives are no matter of chance: whoever stands in
// another tier or at the foot keeps the place.
func ByForecast(ordered []Line) []int {
	var at []int
	for i := range ordered {
		l := &ordered[i]
		byForecast := l.Tier == ProbablyOutside || l.Tier == ExpectedOutside || l.Tier == ToPlan
		if byForecast && l.Foot == NoFoot && !math.IsNaN(l.OutProbability) {
			at = append(at, i)
		}
	}
	return at
}

// Range notes the places that the lines of ByForecast could have, were the CO2
// of every unit known and those lines put in order of how far outside their
// action bands they stand, at the worse fire, into the same places. standings
// belong to the lines of at.
func Range(ordered []Line, at []int, standings []RankInterval) {
	var places []int // that those with a rank share among themselves
	var ranked []int
	for k, i := range at {
		if standings[k] != (RankInterval{}) {
			places, ranked = append(places, ordered[i].Place), append(ranked, k)
		}
	}
	for n, k := range ranked {
		l, s := &ordered[at[k]], standings[k]
		l.PlaceFrom, l.PlaceTo = places[s.From-1], places[s.To-1]
		if n+1 == len(ranked) {
			continue
		}
		next := &ordered[at[ranked[n+1]]]
		l.TiedWithNext = s.Ahead < sureOrder && next.Tier == l.Tier && next.Place == l.Place+1
	}
}

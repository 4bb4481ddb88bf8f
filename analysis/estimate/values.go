package estimate

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// reader reads the values of a response from a record, in the order of its visits.
type reader struct {
	*record
	values func(u *reader, from, to int) []value // of a visit, whose readings are from..to-1
	apart  map[int]bool                          // readings whose two gases contradict each other, and nothing else does
	last   int                                   // visit of the newest reading of the fire
	before earlier                               // while the values are read
}

// value is one value of the response: CO2 less target at the fire, or what else
// is studied.
type value struct {
	reading int // of the history, for its circumstances
	y       float64
	use     judge.Use

	other, otherP float64 // what it may be instead, and how likely; 0: nothing else
	rounded       float64 // variance of what its display hides, points squared
	tied          bool    // the mean of several as-found readings, none known to be the first
}

// earlier is the newest value of the fire that can be believed.
type earlier struct {
	visit int
	day   day.Day
	y     float64
}

// begin goes back before the first visit.
func (u *reader) begin() { u.last, u.before = u.lastRead(), earlier{visit: -1, y: math.NaN()} }

// readingsAt are the unit's values at its own fire.
func (u *reader) readingsAt(from, to int) (out []value) {
	for i := from; i < to; i++ {
		if x := &u.h.Readings[i]; x.Fire == u.fire && hasGas(x) {
			v := value{reading: i, y: u.b.sources.deviation(u.h, x), use: u.uses[i]}
			if u.apart[i] && x.Visit == u.last {
				v = u.either(v)
			} else if v = u.unrounded(v); v.use < judge.LeftOut && !math.IsNaN(v.y) {
				u.before = earlier{x.Visit, x.Day, v.y}
			}
			out = append(out, v)
		}
	}
	return u.together(out)
}

// together makes one value, their mean, of the as-found readings of a visit of which
// nobody knows the first.
func (u *reader) together(values []value) (out []value) {
	sum, n, at := 0.0, 0, -1
	for _, v := range values {
		x := &u.h.Readings[v.reading]
		if u.h.Tied(x) == nil || v.use >= judge.LeftOut || math.IsNaN(v.y) {
			out = append(out, v)
			continue
		}
		sum, n = sum+v.y, n+1
		if at < 0 {
			at = len(out)
			out = append(out, v)
			continue
		}
		out[at].y, out[at].tied, out[at].other, out[at].otherP = sum/float64(n), true, 0, 0
		out[at].use = max(out[at].use, v.use)
		u.before = earlier{x.Visit, x.Day, out[at].y}
	}
	return out
}

// pairsAt are a visit's values of low less high: as found less as found, as left
// less as left, as good as the worse of both. As-found readings of which nobody
// knows the first make none.
func (u *reader) pairsAt(from, to int) (out []value) {
	for i := from; i < to; i++ {
		low := &u.h.Readings[i]
		if low.Fire != judge.Low || low.Condition == judge.Between || u.h.Tied(low) != nil {
			continue
		}
		for k := from; k < to; k++ {
			if high := &u.h.Readings[k]; high.Fire == judge.High && high.Condition == low.Condition && u.h.Tied(high) == nil {
				y := u.b.sources.deviation(u.h, low) - u.b.sources.deviation(u.h, high)
				out = append(out, value{reading: i, y: y, use: max(u.uses[i], u.uses[k])})
				break
			}
		}
	}
	return out
}

func hasGas(x *judge.Reading) bool { return !math.IsNaN(x.CO2Percent) || !math.IsNaN(x.O2Percent) }

package analysis

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// HarmPoint is how badly a unit is expected to stand at a fire on a day: if nobody
// comes, and if somebody visits on the as-of day and leaves it where its aim says.
type HarmPoint struct {
	Day              day.Day
	Without, Visited drift.Harm
}

// Aim is where in the setting band to leave a burner so that it stays within its limits
// longest, in the weather of the as-of day.
type Aim struct {
	Points   float64 // CO2 from the target; 0: the target itself
	GainDays float64 // days out of limits a year that it avoids compared with the target
}

// Benefit is what a visit on a day avoids.
type Benefit struct {
	// Key orders a list: days out of limits avoided, and points beyond them over half
	// the width of the action band, added up and weighted by side.
	Key float64
	// Days out of limits avoided. Negative where a visit does harm: a burner that
	// the weather brings back by itself.
	Days float64
	// Points of CO2 beyond the limits that the unit would have had on those days, in
	// the mean; NaN where none are avoided.
	Points float64
	Fire   string // the fire that has most of it
}

// VisitRules say how the benefit of a visit is counted.
type VisitRules struct {
	// UnseenDays is how far ahead a visit counts at least, and how long an overdue
	// unit that is left over is taken to go unseen. One number for both: a key that
	// depended on the planned day alone would jump when that day passes.
	UnseenDays             int32
	RichWeight, LeanWeight float64
}

// DefaultVisitRules count ninety days and both sides alike: habits of our own, without
// a source.
func DefaultVisitRules() VisitRules { return VisitRules{UnseenDays: 90, RichWeight: 1, LeanWeight: 1} }

// Benefit returns what a visit on a day avoids, and false where no fire has a forecast
// that says so. On each day the fire counts that stands worse. The sum runs over the
// next UnseenDays or to the planned day, whichever gives less: a unit that is in order
// today and leaves its limits in a year can wait. After a visit in some weeks a unit is
// taken to stand as it would after one on the as-of day.
func (f *Forecast) Benefit(on, planned day.Day, r VisitRules) (Benefit, bool) {
	none := true
	for i := 0; f != nil && i < len(f.Fires); i++ {
		none = none && len(f.Fires[i].Harm) == 0
	}
	if none {
		return Benefit{Key: math.NaN(), Days: math.NaN(), Points: math.NaN()}, false
	}
	near := f.avoided(r, on, on+day.Day(r.UnseenDays))
	far := near
	if planned > on+day.Day(r.UnseenDays) {
		far = f.avoided(r, on, planned)
	}
	least := near
	if far.days < near.days {
		least = far
	}
	out := Benefit{Key: math.Min(near.key, far.key), Days: least.days, Points: math.NaN(), Fire: near.fire}
	if least.days > 0 && least.points > 0 {
		out.Points = least.points / least.days
	}
	return out, true
}

// avoided is what a visit avoids up to a day: boiler-days, point-days and their sum as
// the key has it.
type avoided struct {
	key, days, points float64
	fire              string
}

// avoided sums over the days from the visit to until, straight between the days of the
// forecast.
func (f *Forecast) avoided(r VisitRules, visit, until day.Day) (sum avoided) {
	by := make([]float64, len(f.Fires))
	from, last, _, _ := f.avoidedOn(r, 0)
	for i := 1; from < until; i++ {
		next, now, worst, ok := f.avoidedOn(r, i)
		if !ok {
			break
		}
		a, b := max(from, visit), min(next, until)
		if span := float64(b - a); span > 0 {
			length := float64(next - from)
			mean := last.between(now, (float64(a-from)+float64(b-from))/(2*length)) // of a straight line
			sum.key, sum.days, sum.points = sum.key+span*mean.key, sum.days+span*mean.days, sum.points+span*mean.points
			by[worst] += span
		}
		from, last = next, now
	}
	most := 0
	for k := range by {
		if by[k] > by[most] {
			most = k
		}
	}
	sum.fire = f.Fires[most].Fire
	return sum
}

// between is the value at a share of the way to another.
func (a avoided) between(b avoided, share float64) avoided {
	return avoided{key: a.key + share*(b.key-a.key), days: a.days + share*(b.days-a.days), points: a.points + share*(b.points-a.points)}
}

// avoidedOn is what a visit avoids on the i-th day of the forecast, and which fire
// stands worst without one; false past the last day.
func (f *Forecast) avoidedOn(r VisitRules, i int) (on day.Day, a avoided, worst int, ok bool) {
	var without, visited valued
	for k := range f.Fires {
		x := &f.Fires[k]
		if i >= len(x.Harm) {
			continue
		}
		p := &x.Harm[i]
		if v := r.valueOf(&p.Without, x); v.key > without.key || !ok {
			without, worst = v, k
		}
		if v := r.valueOf(&p.Visited, x); v.key > visited.key || !ok {
			visited = v
		}
		on, ok = p.Day, true
	}
	return on, avoided{key: without.key - visited.key, days: without.days - visited.days, points: without.points - visited.points}, worst, ok
}

// valued is the harm of one day in the terms that are summed.
type valued struct{ key, days, points float64 }

func (r *VisitRules) valueOf(h *drift.Harm, x *FireForecast) valued {
	width := x.halfWidth()
	return valued{
		key:    r.RichWeight*(h.Rich+h.RichBeyond/width) + r.LeanWeight*(h.Lean+h.LeanBeyond/width),
		days:   h.Out(),
		points: h.Beyond(),
	}
}

// halfWidth is half the width of the action band; the width of the one side that is
// declared where the other is not.
func (f *FireForecast) halfWidth() float64 {
	switch {
	case math.IsNaN(f.ActRichPercent):
		return f.ActLeanPercent
	case math.IsNaN(f.ActLeanPercent):
		return f.ActRichPercent
	}
	return (f.ActRichPercent + f.ActLeanPercent) / 2
}

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
}

// VisitConfig says how the benefit of a visit is counted.
type VisitConfig struct {
	// UnseenDays is how far ahead a visit counts at least, and how long an overdue
	// unit that is left over is taken to go unseen. One number for both: a key that
	// depended on the planned day alone would jump when that day passes.
	UnseenDays             int32
	RichWeight, LeanWeight float64
}

// DefaultVisitConfig counts ninety days and both sides alike: habits of our own, without
// a source.
func DefaultVisitConfig() VisitConfig {
	return VisitConfig{UnseenDays: 90, RichWeight: 1, LeanWeight: 1}
}

// Benefit returns what a visit on a day avoids, and false where no fire has a forecast
// that says so. On each day the fire counts that stands worse. The sum runs over the
// next UnseenDays or to the planned day, whichever gives less: a unit that is in order
// today and leaves its limits in a year can wait. After a visit in some weeks a unit is
// taken to stand as it would after one on the as-of day.
func (f *Forecast) Benefit(on, planned day.Day, r VisitConfig) (Benefit, bool) {
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
	out := Benefit{Key: math.Min(near.key, far.key), Days: least.days, Points: math.NaN()}
	if least.days > 0 && least.points > 0 {
		out.Points = least.points / least.days
	}
	return out, true
}

// harmSum is harm in the terms that are summed: boiler-days, point-days, and both as
// the key has them.
type harmSum struct{ key, days, points float64 }

// plus adds so many times another.
func (a harmSum) plus(times float64, b harmSum) harmSum {
	return harmSum{key: a.key + times*b.key, days: a.days + times*b.days, points: a.points + times*b.points}
}

// avoided sums what a visit avoids over the days from it to until.
func (f *Forecast) avoided(r VisitConfig, visit, until day.Day) (sum harmSum) {
	for _, s := range Spans(f.HarmDays(), visit, until) {
		last, next := f.avoidedOn(r, s.Next-1), f.avoidedOn(r, s.Next)
		sum = sum.plus(s.Days, last.plus(s.Middle, next.plus(-1, last)))
	}
	return sum
}

// avoidedOn is what a visit avoids on the i-th day of the forecast.
func (f *Forecast) avoidedOn(r VisitConfig, i int) harmSum {
	var without, visited harmSum
	none := true
	for k := range f.Fires {
		x := &f.Fires[k]
		if i >= len(x.Harm) {
			continue
		}
		p := &x.Harm[i]
		if v := r.valueOf(&p.Without, x); v.key > without.key || none {
			without = v
		}
		if v := r.valueOf(&p.Visited, x); v.key > visited.key || none {
			visited = v
		}
		none = false
	}
	return without.plus(-1, visited)
}

// Span is a part of the days between two days of a forecast that counts in a sum over
// every day of what runs straight between them: it is so many days long, and its middle
// lies at a share of the way to the next of the two.
type Span struct {
	Next         int // of the days
	Days, Middle float64
}

// Spans are the parts between days that lie from one day to another.
func Spans(days []day.Day, from, until day.Day) (spans []Span) {
	for i := 1; i < len(days); i++ {
		last, next := days[i-1], days[i]
		a, b := max(last, from), min(next, until)
		if a < b {
			middle := (float64(a-last) + float64(b-last)) / (2 * float64(next-last))
			spans = append(spans, Span{i, float64(b - a), middle})
		}
	}
	return spans
}

func (r *VisitConfig) valueOf(h *drift.Harm, x *FireForecast) harmSum {
	return harmSum{key: r.Value(h, x.HalfWidth()), days: h.Out(), points: h.Beyond()}
}

// Value is what a day of harm counts in the key, at a fire whose action band has half
// such a width, points of CO2.
func (r *VisitConfig) Value(h *drift.Harm, width float64) float64 {
	return r.RichWeight*(h.Rich+h.RichBeyond/width) + r.LeanWeight*(h.Lean+h.LeanBeyond/width)
}

// HalfWidth is half the width of the action band, points of CO2; the width of the one
// side that is declared where the other is not.
func (f *FireForecast) HalfWidth() float64 {
	switch {
	case math.IsNaN(f.ActRichPercent):
		return f.ActLeanPercent
	case math.IsNaN(f.ActLeanPercent):
		return f.ActRichPercent
	}
	return (f.ActRichPercent + f.ActLeanPercent) / 2
}

// HarmDays are the days ahead on which harm is forecast, at the fire with most of them.
func (f *Forecast) HarmDays() (days []day.Day) {
	if f == nil {
		return nil
	}
	var most []HarmPoint
	for i := range f.Fires {
		if h := f.Fires[i].Harm; len(h) > len(most) {
			most = h
		}
	}
	for i := range most {
		days = append(days, most[i].Day)
	}
	return days
}

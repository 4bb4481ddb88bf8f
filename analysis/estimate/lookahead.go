package estimate

import (
	"math"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// lookahead is a unit at one fire on the days ahead: each is forecast once, and only
// where somebody asks.
type lookahead struct {
	u      *unitSeries
	o      *drift.Predictive
	months []day.Day
	band   judge.Band

	points   []drift.Point   // the times of all; the rest of those asked for
	mixtures []drift.Mixture // nil where nobody asked
	outs     []float64       // NaN where nobody asked
	now      drift.Forecast  // of the as-of day
	harm     []harmDay       // nil where nobody asked
}

func lookAhead(u *unitSeries, o *drift.Predictive, months []day.Day, band judge.Band) *lookahead {
	l := &lookahead{
		u: u, o: o, months: months, band: band, points: make([]drift.Point, len(months)),
		mixtures: make([]drift.Mixture, len(months)), outs: make([]float64, len(months)),
	}
	for i, d := range months {
		l.points[i].T, l.outs[i] = years(d), math.NaN()
	}
	l.now = o.At(*l.point(0))
	l.mixtures[0] = l.now.States
	return l
}

// point is the i-th day to forecast.
func (l *lookahead) point(i int) *drift.Point {
	if p := &l.points[i]; p.Level == nil {
		*p = l.u.point(l.months[i], l.band)
	}
	return &l.points[i]
}

// out is the probability of being outside on the i-th day.
func (l *lookahead) out(i int) float64 {
	if math.IsNaN(l.outs[i]) {
		_, _, l.outs[i] = l.mixture(i).Outside(l.band.Lean, l.band.Rich)
	}
	return l.outs[i]
}

// mixture is the distribution of the i-th day.
func (l *lookahead) mixture(i int) drift.Mixture {
	if l.mixtures[i] == nil {
		l.mixtures[i] = l.o.Mixture(*l.point(i))
	}
	return l.mixtures[i]
}

// pathMonths is how far ahead a path reaches where the planned day is nearer.
const pathMonths = 6

// path is what is expected from the as-of day to the planned day, month by month,
// rounded to what a chart shows.
func (l *lookahead) path(target float64, planned day.Day) (path []analysis.PathPoint) {
	rounded := func(v float64) float64 { return math.Round(1000*(target+v)) / 1000 }
	for i, day := range l.months {
		if i > pathMonths && l.months[i-1] >= planned {
			break
		}
		s := l.mixture(i).Estimate()
		if math.IsNaN(target + s.Mean + s.Low + s.High) {
			return nil
		}
		path = append(path, analysis.PathPoint{
			Day: day, CO2Percent: rounded(s.Mean), LowPercent: rounded(s.Low), HighPercent: rounded(s.High),
		})
	}
	return path
}

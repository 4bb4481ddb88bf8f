package judge

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/day"
)

// COTrend is how the CO of a fire has moved over its visits.
type COTrend struct {
	Fire     Fire
	Visits   int      // that the slope rests on
	PerYear  Estimate // slope of ln CO air-free, 95 % interval; NaN below three visits
	FirstDay day.Day
	LastDay  day.Day
	LastPPM  float64 // CO air-free at the last of them
	Rising   bool    // the whole interval is above zero
}

// Error limit of an analyzer for CO: 12 ppm or 10 % of the reading, the
// greater, as a Swiss metrology instruction of 2004 has it (read in quotation).
// Below 12 ppm a value says no more than that.
const (
	AnalyzerCOLimitPPM   = 12
	AnalyzerCOLimitShare = 0.10
)

// A slope needs three visits; more than six reach back to another burner, so
// to speak (common practice, no source).
const (
	trendLeast = 3
	trendMost  = 6
)

// trendPoint is one visit's CO as found.
type trendPoint struct {
	day day.Day
	ppm float64
}

// CORecord is the CO on record of a unit's fire up to a day.
type CORecord struct {
	r    *Config
	h    *History
	fire Fire
	asOf day.Day
}

// Trend fits ln CO air-free over time by least squares through the last
// visits of a fire, up to six, up to a day, on today's fuel. A visit counts
// with its first reading as found, or where it has none and nothing was
// adjusted, as left. CO that could not be converted is left out, and so is CO
// recorded as a limit; CO under the analyzer's limit of error counts as that.
//
// The interval is the wider of two: Student's on the scatter about the line,
// and what the analyzer's limits of error alone leave open (taken as uniform).
// So three visits in a line by chance, or from 1 ppm to 4, are not a rise. A
// rise in the record may be the burner, the heat exchanger, the air or another
// analyzer: it is a reason to look.
func (c CORecord) Trend() COTrend {
	nan := math.NaN()
	t := COTrend{Fire: c.fire, PerYear: Estimate{nan, nan, nan}, FirstDay: day.None, LastDay: day.None, LastPPM: nan}
	points := c.points()
	t.Visits = len(points)
	if t.Visits == 0 {
		return t
	}
	last := points[len(points)-1]
	t.FirstDay, t.LastDay, t.LastPPM = points[0].day, last.day, last.ppm
	if t.Visits >= trendLeast {
		t.PerYear = slope(points)
		t.Rising = t.PerYear.Low > 0
	}
	return t
}

// points returns the visits that a trend rests on, oldest first, one a day.
func (c CORecord) points() []trendPoint {
	r, h := c.r, c.h
	var points []trendPoint
	visit := -1
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Fire != c.fire || x.Day > c.asOf || x.Visit == visit || x.Fuel != h.Unit.Fuel || !trendReading(h, x) || r.NoBurner(x) {
			continue
		}
		co := r.COAirFree(x)
		if math.IsNaN(co.AirFreePPM) || co.Limit == Above || co.Limit == Below && co.AirFreePPM > AnalyzerCOLimitPPM {
			continue // a limit is no number to draw a line through
		}
		visit = x.Visit
		if n := len(points); n > 0 && points[n-1].day == x.Day {
			continue
		}
		points = append(points, trendPoint{x.Day, math.Max(co.AirFreePPM, AnalyzerCOLimitPPM)})
	}
	if n := len(points); n > trendMost {
		points = points[n-trendMost:]
	}
	return points
}

// trendReading reports whether a reading shows what a burner had become.
func trendReading(h *History, x *Reading) bool {
	v := &h.Visits[x.Visit]
	if v.Reason == FactoryTest {
		return false
	}
	return x.Condition == AsFound || x.Condition == AsLeft && v.Adjusted(x.Fire) == No
}

// slope returns the least-squares slope of ln CO a year and its interval.
func slope(points []trendPoint) Estimate {
	n := len(points)
	years, logs := make([]float64, n), make([]float64, n)
	for i, p := range points {
		years[i], logs[i] = float64(p.day-points[0].day)/365.25, math.Log(p.ppm)
	}
	intercept, b := stat.LinearRegression(years, logs, nil, false)
	mean := stat.Mean(years, nil)
	var sxx, rss, known float64
	for i, p := range points {
		d, e := years[i]-mean, logs[i]-intercept-b*years[i]
		limit := math.Max(AnalyzerCOLimitPPM/p.ppm, AnalyzerCOLimitShare) // of ln CO
		sxx, rss = sxx+d*d, rss+e*e
		known += d * d * limit * limit / 3 // variance of a uniform error
	}
	df := float64(n - 2)
	scatter := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(0.975) * math.Sqrt(rss/df/sxx)
	instrument := distuv.UnitNormal.Quantile(0.975) * math.Sqrt(known) / sxx
	half := math.Max(scatter, instrument)
	return Estimate{b, b - half, b + half}
}

// Missing reports whether the newest visit that read a fire up to a day
// recorded no CO of a burner at work there; false for a fire nobody has read.
func (c CORecord) Missing() bool {
	h := c.h
	visit, missing := -1, false
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Fire != c.fire || x.Day > c.asOf || x.Condition == Between || h.Visits[x.Visit].Reason == FactoryTest {
			continue
		}
		if x.Visit != visit {
			visit, missing = x.Visit, true
		}
		if (x.COPPM >= 0 || x.COLimit == Above) && !c.r.NoBurner(x) {
			missing = false
		}
	}
	return missing
}

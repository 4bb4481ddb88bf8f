package drift

import "math"

// When says whether a unit is expected to leave its action band.
type When uint8

// Expectations.
const (
	NotWithin When = iota // not by the last day asked for
	Within                // between two of the days asked for
	Already               // on the first day
	NotJudged             // no band, or nothing to reckon from
)

// FirstPassage is when a unit is expected to leave its action band. The times are
// those at which the probability of being outside first reaches a quarter, p0
// and three quarters: as far as the deviation only grows it is the distribution
// of the day of leaving, and they hold its middle half. NaN: not by the last
// day. The probability is scanned, not solved: it falls again with the season
// or when the mean crosses zero, and then the first crossing counts.
type FirstPassage struct {
	When                When
	Early, Middle, Late float64 // years
	Marks               Mark    // of the forecast at Middle
}

// FirstPassage scans days in order, usually the months of five years from the as-of
// day. P0 is the probability from which a unit is expected outside, usually a
// half.
func (o *Predictive) FirstPassage(days []Point, p0 float64) FirstPassage {
	return o.FirstPassageBy(days, func(i int) float64 { return o.POut(days[i]) }, p0)
}

// FirstPassageBy does so by the probability of being outside on the i-th day, for who
// has it already. Of the days it looks at the times, and at the first one's covariates.
func (o *Predictive) FirstPassageBy(days []Point, out func(i int) float64, p0 float64) FirstPassage {
	nan := math.NaN()
	passage := FirstPassage{When: NotJudged, Early: nan, Middle: nan, Late: nan}
	levels := [...]float64{math.Min(0.25, p0), p0, math.Max(0.75, p0)}
	times := [...]*float64{&passage.Early, &passage.Middle, &passage.Late}
	next, before := 0, 0.0
	for i := range days {
		p := out(i)
		if math.IsNaN(p) {
			return passage
		}
		for next < len(levels) && p >= levels[next] {
			*times[next] = days[i].T
			if i > 0 && p > before {
				*times[next] -= (p - levels[next]) / (p - before) * (days[i].T - days[i-1].T)
			}
			next++
		}
		if i == 0 && next > 1 {
			passage.When = Already
		}
		if next == len(levels) {
			break
		}
		before = p
	}
	switch {
	case len(days) == 0:
		return passage
	case passage.When == Already:
	case next > 1:
		passage.When = Within
	default:
		passage.When = NotWithin
	}
	if next > 1 {
		passage.Marks = o.At(Point{T: passage.Middle, Level: days[0].Level, Lo: nan, Hi: nan, Analyzer: -1, Period: -1}).Marks
	}
	return passage
}

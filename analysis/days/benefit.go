package days

import (
	"math"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// What a visit is worth is what it avoids, as the list counts it (analysis.Benefit):
// the forecast without a visit less that after one, over the days from the visit on. The
// after is that of a visit on the as-of day, which a plan of some weeks is near.

// shareAfterVisit is the share of units without a forecast that are taken to
// stand outside after a visit.
const shareAfterVisit = 0.05

// benefit is what a visit avoids: days out of limits, and the key that the list is
// ordered by, which counts points beyond the limits too.
type benefit struct{ key, days float64 }

// between is the worth at a share of the way to another.
func (w benefit) between(v benefit, share float64) benefit {
	return benefit{w.key + share*(v.key-w.key), w.days + share*(v.days-w.days)}
}

// horizonEnd is the day up to which a visit on a day is counted.
func horizonEnd(on day.Day, r Config) day.Day { return on + day.Day(r.Visit.UnseenDays) }

// benefitOf is what a visit on a day is worth; assumed where no forecast says so. A visit
// that would do harm is worth nothing.
func benefitOf(l *watch.Line, day day.Day, r Config) (w benefit, assumed bool) {
	if l.Forecast != nil {
		if b, ok := l.Forecast.Benefit(day, l.PlannedDay, r.Visit); ok {
			return benefit{math.Max(b.Key, 0), math.Max(b.Days, 0)}, false
		}
	}
	share, ok := r.UnknownShare[l.Ground]
	if !ok {
		share = r.UnknownShareOther
	}
	days := math.Max(share-shareAfterVisit, 0) * float64(r.Visit.UnseenDays)
	weight := r.Visit.LeanWeight
	if l.Side == watch.Rich {
		weight = r.Visit.RichWeight
	}
	return benefit{weight * days, days}, true
}

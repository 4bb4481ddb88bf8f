package watch

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// coAt is where a CO was read that a later test may settle. Latest is the last
// day it may be of; day.None where nothing is known of it. Fire and condition
// are "" where they are not known.
type coAt struct {
	day, latest day.Day
	fire        judge.Fire
	condition   judge.Condition
}

// settledCO reports whether a full test after a CO was read found CO low at every
// fire of the unit and at the fire it was read at. A CO that is missing, or only
// known to be at least so much, settles nothing; nor does any test a CO of an
// unknown day. Of the day of the CO only what was left counts, where the CO was
// found or read while setting.
func settledCO(h *judge.History, fires []FireLine, co coAt, r Config) bool {
	if co.latest == day.None {
		return false
	}
	low := map[int]map[judge.Fire]bool{} // visit -> fires whose last reading has its CO low
	fieldReadings(h, r.AsOf, func(x *judge.Reading) {
		leftAfter := x.Day == co.day && x.Condition == judge.AsLeft && (co.condition == judge.AsFound || co.condition == judge.Between)
		if x.Condition == judge.Between || x.Day <= co.latest && !leftAfter {
			return
		}
		if low[x.Visit] == nil {
			low[x.Visit] = map[judge.Fire]bool{}
		}
		before, read := low[x.Visit][x.Fire]
		low[x.Visit][x.Fire] = testsFire(h, x, r) && coOf(x, r).Level == COBelow && (before || !read || x.Fire != judge.Point)
	})
	for _, fire := range low {
		if coversAll(fire, fires) && (co.fire == "" || fire[co.fire]) {
			return true
		}
	}
	return false
}

// settleCO strikes a CO at a point that a full test has settled: the rates at which
// a technician stops differ from visit to visit, so that no later reading is of the
// same point.
func (l *FireLine) settleCO(h *judge.History, fires []FireLine, r Config) {
	at := coAt{day: l.CO.Day, latest: l.CO.Day, fire: l.Fire}
	if l.Fire == judge.Point && l.CO.Level >= COAttention && settledCO(h, fires, at, r) {
		l.CO, l.COOlder, l.COSettled = CO{AirFreePPM: math.NaN(), Day: day.None}, false, true
	}
}

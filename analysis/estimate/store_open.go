package estimate

import (
	"math"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// stepRow is a suspected step with its fire.
type stepRow struct {
	fire string
	StepSuspected
}

func stepRows(f *Fleet) (rows []stepRow) {
	for i := range f.Fits {
		for _, s := range f.Fits[i].Steps {
			rows = append(rows, stepRow{f.Fits[i].Fire, s})
		}
	}
	return rows
}

var stepColumns = []col[stepRow]{
	{"fire", func(s *stepRow) any { return s.fire }},
	{"area", func(s *stepRow) any { return s.Area }},
	{"day", func(s *stepRow) any { return day(s.Day) }},
	{"points", func(s *stepRow) any { return s.Points }},
	{"se_points", func(s *stepRow) any { return s.SE }},
	{"z", func(s *stepRow) any { return s.Z }},
	{"comparisons", func(s *stepRow) any { return int32(s.Readings) }},
	{"kept_share", func(s *stepRow) any { return s.Kept }},
	{"words", func(s *stepRow) any { return s.Words() }},
}

// stand is a reading beside an unconfirmed one: its day and its points from the
// target.
type stand struct {
	day    int32
	points float64
}

// openRow is an unconfirmed reading or change, its neighbours, and what became
// of the unit.
type openRow struct {
	unit                 int32
	fire, action, origin string
	at, before, after    stand
	t                    float64
	pass                 int
	today, worst         float64
	verify               bool
}

func openRows(histories []*judge.History, f *Fleet) (rows []openRow) {
	for i := range f.Fits {
		fit := &f.Fits[i]
		for _, x := range fit.Fit.Unconfirmed {
			u, at := fit.units[x.Unit], fit.index[x.Unit]
			row := openRow{unit: histories[at].Unit.Key, fire: u.fire, action: actionWord(x.Action), t: x.T, pass: x.Pass,
				at: u.stands(x.Visit, x.Reading), before: u.stands(x.BeforeVisit, x.BeforeReading), after: u.stands(x.AfterVisit, x.AfterReading),
				origin: u.h.Readings[u.at[x.Visit][x.Reading]].Origin, today: math.NaN(), worst: math.NaN()}
			for _, ff := range f.Forecasts[at].Fires {
				if ff.Fire == u.fire {
					row.today, row.worst, row.verify = ff.Today.Out(), ff.Worst.Out(), ff.Verify != nil
				}
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// stands is where a reading of the series stood; none before visit 0.
func (u *unitSeries) stands(visit, reading int) stand {
	if visit < 0 || reading < 0 {
		return stand{judge.NoDay, math.NaN()}
	}
	return stand{u.h.Readings[u.at[visit][reading]].Day, u.s.Visits[visit].Readings[reading].Y}
}

// actionWord is what was done about an unconfirmed reading.
func actionWord(a drift.Action) string {
	if a == drift.Removed {
		return "reading left out"
	}
	return "change cut at"
}

var openColumns = []col[openRow]{
	{"unit_key", func(o *openRow) any { return o.unit }},
	{"fire", func(o *openRow) any { return o.fire }},
	{"action", func(o *openRow) any { return o.action }},
	{"origin", func(o *openRow) any { return o.origin }},
	{"day", func(o *openRow) any { return day(o.at.day) }},
	{"points", func(o *openRow) any { return o.at.points }},
	{"before_day", func(o *openRow) any { return day(o.before.day) }},
	{"before_points", func(o *openRow) any { return o.before.points }},
	{"after_day", func(o *openRow) any { return day(o.after.day) }},
	{"after_points", func(o *openRow) any { return o.after.points }},
	{"t", func(o *openRow) any { return o.t }},
	{"pass", func(o *openRow) any { return int32(o.pass) }},
	{"today_out", func(o *openRow) any { return o.today }},
	{"worst_out", func(o *openRow) any { return o.worst }},
	{"to_verify", func(o *openRow) any { return o.verify }},
}

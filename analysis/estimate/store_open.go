package estimate

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// stepRows are the suspected steps of all fires.
func stepRows(f *Fleet, say Sentences) (rows []queries.LevelStep) {
	for i := range f.Fits {
		for k := range f.Fits[i].Steps {
			s := &f.Fits[i].Steps[k]
			rows = append(rows, queries.LevelStep{
				Fire: f.Fits[i].Fire, Area: s.Area, Day: s.Day, Points: s.Points, SEPoints: s.SE, Z: s.Z,
				Comparisons: int32(s.Readings), KeptShare: s.Kept, Words: say.Step(s),
			})
		}
	}
	return rows
}

// stand is a reading beside an unconfirmed one: its day and its points from the
// target.
type stand struct {
	day    day.Day
	points float64
}

// openRows are the unconfirmed readings and changes, their neighbours, and what
// became of their units.
func openRows(histories []*judge.History, f *Fleet, say Sentences) (rows []queries.Unconfirmed) {
	for i := range f.Fits {
		fit := &f.Fits[i]
		for _, x := range fit.Fit.Unconfirmed {
			u, unit := fit.units[x.Unit], fit.index[x.Unit]
			at, before, after := u.stands(x.Visit, x.Reading), u.stands(x.BeforeVisit, x.BeforeReading), u.stands(x.AfterVisit, x.AfterReading)
			row := queries.Unconfirmed{
				UnitKey: histories[unit].Unit.Key, Fire: u.fire, Action: say.Action(x.Action),
				Origin: u.h.Readings[u.at[x.Visit][x.Reading]].Origin,
				Day:    at.day, Points: at.points, BeforeDay: before.day, BeforePoints: before.points,
				AfterDay: after.day, AfterPoints: after.points,
				T: x.T, Pass: int32(x.Pass), TodayOut: math.NaN(), WorstOut: math.NaN(),
			}
			for _, ff := range f.Forecasts[unit].Fires {
				if ff.Fire == u.fire {
					row.TodayOut, row.WorstOut, row.ToVerify = ff.Today.Out(), ff.Worst.Out(), ff.Unconfirmed != nil
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
		return stand{day.None, math.NaN()}
	}
	return stand{u.h.Readings[u.at[visit][reading]].Day, u.s.Visits[visit].Readings[reading].Y}
}

package demo

import (
	"math"

	"fluedrift/model/day"
)

const daysPerYear = 365.25

// yearOf returns the calendar year of a day.
func yearOf(d day.Day) int { return d.Year() }

// iso writes a day as yyyy-mm-dd, a missing one as "".
func iso(d day.Day) string { return d.String() }

// format writes a day by a layout of package time, a missing one as "".
func format(d day.Day, layout string) string {
	if d == day.None {
		return ""
	}
	return d.Time().Format(layout)
}

// years returns the years from one day to another.
func years(from, to day.Day) float64 { return float64(to-from) / daysPerYear }

// monthly returns the first days of the months from one day to another.
func monthly(from, to day.Day) []day.Day {
	t := from.Time()
	var days []day.Day
	for month := t.Month(); ; month++ {
		d := day.Of(t.Year(), month, 1)
		if d > to {
			return days
		}
		if d >= from {
			days = append(days, d)
		}
	}
}

// expectedOutdoorC is the outdoor temperature to be expected at a place on a
// day of the year: a cosine about the yearly mean, coldest on 20 January.
func (w *World) expectedOutdoorC(offsetC float64, day day.Day) float64 {
	turn := 2 * math.Pi * float64(day.Time().YearDay()-20) / daysPerYear
	return w.ClimateMeanC + offsetC - w.ClimateSwingC*math.Cos(turn)
}

// intakeC is the combustion-air temperature that goes with an outdoor one:
// a run of its own brings outdoor air, a shared run warms it a little, a room
// keeps most of the season out.
func intakeC(airFrom string, outdoorC float64) float64 {
	switch airFrom {
	case "room":
		return 19 + 0.25*(outdoorC-10)
	case "same run":
		return outdoorC + 1.5
	}
	return outdoorC
}

package demo

import (
	"math"
	"time"

	"fluedrift/model/day"
)

const daysPerYear = 365.25

// Day returns the days from 1970-01-01 to a date.
func Day(year int, month time.Month, dayOfMonth int) int32 {
	return int32(day.Of(year, month, dayOfMonth))
}

// date is the way back from Day.
func date(d int32) time.Time { return day.Day(d).Time() }

// yearOf returns the calendar year of a day.
func yearOf(d int32) int { return day.Day(d).Year() }

// iso writes a day as yyyy-mm-dd, a missing one as "".
func iso(d int32) string { return day.Day(d).String() }

// format writes a day by a layout of package time, a missing one as "".
func format(day int32, layout string) string {
	if day == noDay {
		return ""
	}
	return date(day).Format(layout)
}

// years returns the years from one day to another.
func years(from, to int32) float64 { return float64(to-from) / daysPerYear }

// monthly returns the first days of the months from one day to another.
func monthly(from, to int32) []int32 {
	t := date(from)
	var days []int32
	for month := t.Month(); ; month++ {
		d := Day(t.Year(), month, 1)
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
func (w *World) expectedOutdoorC(offsetC float64, day int32) float64 {
	turn := 2 * math.Pi * float64(date(day).YearDay()-20) / daysPerYear
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

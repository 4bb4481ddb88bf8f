package watch

import (
	"strconv"
	"time"

	calendar "fluedrift/model/day"
	"fluedrift/model/judge"
)

// DayWords writes a day as people say it, "4 Mar 2024"; "an unknown day" where
// it is not known.
func DayWords(d int32) string {
	if d == judge.NoDay {
		return "an unknown day"
	}
	return calendar.Day(d).Time().Format("2 Jan 2006")
}

// date turns a day into midnight UTC of that day.
func date(d int32) time.Time { return calendar.Day(d).Time() }

// firstOf returns the first day of a month.
func firstOf(year int, month time.Month) int32 { return int32(calendar.Of(year, month, 1)) }

// addMonths returns the same day of the month n months later, or the last day of
// that month where it is shorter.
func addMonths(d int32, n int) int32 { return int32(calendar.Day(d).AddMonths(n)) }

// count writes "1 day", "3 days".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// span writes a number of days in the coarsest unit that still tells.
func span(days int32) string {
	switch {
	case days < 60:
		return count(int(days), "day")
	case days < 730:
		return count(int(days)/30, "month")
	default:
		return count(int(days)/365, "year")
	}
}

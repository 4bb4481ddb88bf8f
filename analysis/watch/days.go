package watch

import (
	"strconv"
	"time"

	"fluedrift/model/judge"
)

// date turns a day into midnight UTC of that day.
func date(day int32) time.Time { return time.Unix(int64(day)*86400, 0).UTC() }

// dayOf turns a date into a day; the time of day is dropped.
func dayOf(t time.Time) int32 {
	y, m, d := t.Date()
	return int32(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// DayWords writes a day as people say it, "4 Mar 2024"; "an unknown day" where
// it is not known.
func DayWords(day int32) string {
	if day == judge.NoDay {
		return "an unknown day"
	}
	return date(day).Format("2 Jan 2006")
}

// AddMonths returns the same day of the month n months later, or the last day
// of that month where it is shorter: 31 January and one month is 28 or 29
// February.
func AddMonths(day int32, n int) int32 {
	t := date(day)
	y, m, d := t.Date()
	first := time.Date(y, m+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return dayOf(first.AddDate(0, 0, min(d, last)-1))
}

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

package watch

import (
	"time"

	calendar "fluedrift/model/day"
)

// date turns a day into midnight UTC of that day.
func date(d int32) time.Time { return calendar.Day(d).Time() }

// firstOf returns the first day of a month.
func firstOf(year int, month time.Month) int32 { return int32(calendar.Of(year, month, 1)) }

// addMonths returns the same day of the month n months later, or the last day of
// that month where it is shorter.
func addMonths(d int32, n int) int32 { return int32(calendar.Day(d).AddMonths(n)) }

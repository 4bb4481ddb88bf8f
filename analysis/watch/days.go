package watch

import (
	"time"

	calendar "fluedrift/model/day"
)

// date turns a day into midnight UTC of that day.
func date(d calendar.Day) time.Time { return d.Time() }

// firstOf returns the first day of a month.
func firstOf(year int, month time.Month) calendar.Day { return calendar.Of(year, month, 1) }

// addMonths returns the same day of the month n months later, or the last day of
// that month where it is shorter.
func addMonths(d calendar.Day, n int) calendar.Day { return d.AddMonths(n) }

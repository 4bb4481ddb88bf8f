// Package day counts the days of the calendar. A day has no hours and no zone: it
// is the date that a record carries.
package day

import (
	"math"
	"time"
)

// Day is a date of the proleptic Gregorian calendar, counted from 1970-01-01.
type Day int32

// None is no day: one that is not known, or an end that is open. It lies before
// every day.
const None Day = math.MinInt32

// secondsADay is the length of a day of Unix time, which knows no leap seconds.
const secondsADay = 24 * 60 * 60

// Of returns a date. Months and days beyond their ends run on, as in package time:
// month 14 is February of the next year.
func Of(year int, month time.Month, dayOfMonth int) Day {
	return Day(time.Date(year, month, dayOfMonth, 0, 0, 0, 0, time.UTC).Unix() / secondsADay)
}

// In returns the date that a time has in its own zone.
func In(t time.Time) Day {
	year, month, dayOfMonth := t.Date()
	return Of(year, month, dayOfMonth)
}

// Parse reads yyyy-mm-dd. An error comes with None.
func Parse(text string) (Day, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return None, err
	}
	return In(t), nil
}

// Time returns midnight UTC of a day.
func (d Day) Time() time.Time { return time.Unix(int64(d)*secondsADay, 0).UTC() }

// String writes a day as yyyy-mm-dd, None as nothing.
func (d Day) String() string {
	if d == None {
		return ""
	}
	return d.Time().Format(time.DateOnly)
}

// Year returns the year of a day.
func (d Day) Year() int { return d.Time().Year() }

// Month returns the month of a day.
func (d Day) Month() time.Month { return d.Time().Month() }

// AddMonths returns the same day of the month n months later, or the last day of
// that month where it is shorter: 31 January and one month is 28 or 29 February.
func (d Day) AddMonths(n int) Day {
	year, month, dayOfMonth := d.Time().Date()
	last := Of(year, month+time.Month(n)+1, 0)
	return min(Of(year, month+time.Month(n), dayOfMonth), last)
}

// MonthsOn returns the same day of the month n months later, or the 28th where it
// is a later one: days that are evenly a month apart.
func (d Day) MonthsOn(n int) Day {
	year, month, dayOfMonth := d.Time().Date()
	return Of(year, month+time.Month(n), min(dayOfMonth, 28))
}

package parse

import (
	"fmt"
	"math"
	"time"

	calendar "fluedrift/model/day"
)

// Precision is how exactly a day is written.
type Precision int8

// Precisions. A month alone stands for its 16th, a year alone for its 2 July: the day in
// the middle is wrong by least.
const (
	ToDay Precision = iota
	ToMonth
	ToYear
)

// String names what is known: day, month or year.
func (p Precision) String() string { return [...]string{"day", "month", "year"}[p] }

// First is the first day that a day of this precision may be.
func (p Precision) First(d calendar.Day) calendar.Day {
	t := d.Time()
	switch p {
	case ToMonth:
		return calendar.Of(t.Year(), t.Month(), 1)
	case ToYear:
		return calendar.Of(t.Year(), time.January, 1)
	}
	return d
}

// Precision is the coarsest precision of the patterns.
func (d Days) Precision() Precision {
	p := d.precision
	for _, f := range d.further {
		p = max(p, f.precision)
	}
	return p
}

// middle fills in what the pattern leaves open.
func (d Days) middle(month, dd int) (m, day int) {
	switch d.precision {
	case ToMonth:
		return month, 16
	case ToYear:
		return 7, 2
	}
	return month, dd
}

// stamps are the patterns of counts since 1 January 1970 in UTC, and how many a second.
var stamps = map[string]float64{"unix seconds": 1, "unix milliseconds": 1000}

// Stamped reports a pattern of such counts, which needs a zone: the day there counts.
func Stamped(pattern string) bool { return stamps[pattern] > 0 }

// In is the same with the zone that counts since 1970 are turned into days of.
func (d Days) In(zone *time.Location) Days {
	d.zone = zone
	further := make([]Days, len(d.further))
	for i, f := range d.further {
		further[i] = f.In(zone)
	}
	d.further = further
	return d
}

// stamp reads a count since 1970.
func (d Days) stamp(s string) (calendar.Day, int16, *Fault) {
	n, rest, f := Numbers{Decimal: "."}.scan(s)
	if f != nil || rest != "" || n.Scientific {
		return calendar.None, NoMinute, fault(UnreadableDate, "%q is no count of %s", Short(s), d.pattern)
	}
	seconds := n.Value / stamps[d.pattern]
	if seconds < 0 || seconds > 7.3e9 { // to 2201
		return calendar.None, NoMinute, fault(ImpossibleDate, "%q: a count of %s out of range", Short(s), d.pattern)
	}
	zone := d.zone
	if zone == nil {
		zone = time.UTC
	}
	t := time.Unix(int64(math.Floor(seconds)), 0).In(zone)
	day, err := civil(t.Year(), int(t.Month()), t.Day())
	if err != nil {
		return calendar.None, NoMinute, fault(ImpossibleDate, "%q: %v", Short(s), err)
	}
	return day, int16(60*t.Hour() + t.Minute()), nil
}

// formatStamp writes the start of a day as a count.
func (d Days) formatStamp(day calendar.Day) string {
	zone := d.zone
	if zone == nil {
		zone = time.UTC
	}
	t := day.Time()
	at := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, zone)
	return fmt.Sprintf("%.0f", float64(at.Unix())*stamps[d.pattern])
}

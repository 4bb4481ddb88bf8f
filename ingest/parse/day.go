package parse

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"

	calendar "fluedrift/model/day"
)

// Years outside this span are taken for typing errors, as common practice, no
// source: no gas appliance of use here is older.
const firstYear, lastYear = 1900, 2199

// Days is the declared way of writing days.
type Days struct {
	pattern string
	parts   []string // "yyyy", "yy", "mmm", "mm", "m", "dd", "d", "do", or a literal text
	century int      // first year of the hundred that two-digit years mean
	system  int      // 1900 or 1904 for day numbers, else 0
	further []Days   // ways that are tried after this one, in order

	languages []string // of the names of months; nil: English
	precision Precision
	zone      *time.Location // of counts since 1970; nil: UTC
}

// ISO is how days stand in messages, in the configuration and where a file
// stores them as days.
var ISO, _ = NewDays("yyyy-mm-dd", 0)

// NewDaysIn compiles several ways of writing days, which are tried in order. Where
// the day stands before the month in one and behind it in another, nothing could tell
// which of the two a cell has: that is an error.
func NewDaysIn(patterns []string, century int) (Days, error) {
	var all []Days
	first := ""
	for _, p := range patterns {
		d, err := NewDays(p, century)
		if err != nil {
			return Days{}, err
		}
		if other, ok := aNumberToo(patterns, d); ok {
			return Days{}, fmt.Errorf("date pattern %q cannot stand beside %q: a number could be either\ndeclare it for its column alone", p, other)
		}
		if _, ok := d.exchanged(); ok {
			order := p[:1]
			if first != "" && order != first {
				return Days{}, fmt.Errorf("date patterns %q have the day first in one and the month in another: no cell tells which "+
					"of them it has\ndeclare the order the export uses", patterns)
			}
			first = order
		}
		all = append(all, d)
	}
	if len(all) == 0 {
		return Days{}, errors.New("no date pattern is given")
	}
	all[0].further = all[1:]
	return all[0], nil
}

// aNumberToo finds, of ways of which one is a number, another that a number could be. Days
// written with two marks are none: a number has one, its decimal mark.
func aNumberToo(patterns []string, d Days) (other string, ok bool) {
	if d.system == 0 && !Stamped(d.pattern) {
		return "", false
	}
	for _, p := range patterns {
		marks := len(strings.Trim(strings.Map(func(r rune) rune {
			if strings.ContainsRune("ymdo", r) {
				return -1
			}
			return r
		}, p), " "))
		if p != d.pattern && (d.system != 0 || marks < 2 && !strings.Contains(p, "mmm") || strings.HasPrefix(p, "day number") || Stamped(p)) {
			return p, true
		}
	}
	return "", false
}

// NewDays compiles a pattern of yyyy or yy, mm or m, dd or d and the marks
// between them (mm and dd want two digits, m and d take one or two; mmm is a
// name of a month, whole or cut to three letters or more, do a day as an ordinal number:
// 3rd, 1er), or "day number 1900", "day number 1904", "unix seconds" or "unix
// milliseconds". A pattern may end with the month or the year: see Precision. A
// two-digit year needs century, the first year of the hundred it lies in: 1970 means
// 1970 to 2069.
func NewDays(pattern string, century int) (Days, error) {
	switch pattern {
	case "day number 1900":
		return Days{pattern: pattern, system: 1900}, nil
	case "day number 1904":
		return Days{pattern: pattern, system: 1904}, nil
	case "unix seconds", "unix milliseconds":
		return Days{pattern: pattern}, nil
	}
	d := Days{pattern: pattern, century: century}
	count := map[byte]int{}
	for i := 0; i < len(pattern); {
		j := i + 1
		for j < len(pattern) && pattern[j] == pattern[i] && strings.IndexByte("ymd", pattern[i]) >= 0 {
			j++
		}
		if pattern[i:j] == "d" && strings.HasPrefix(pattern[j:], "o") {
			j++
		}
		part := pattern[i:j]
		switch part {
		case "yyyy", "yy", "mmm", "mm", "m", "dd", "d", "do":
			count[part[0]]++
		default:
			if strings.ContainsFunc(part, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) {
				return Days{}, fmt.Errorf("date pattern %q: %q is no part of a date\n"+
					"write yyyy or yy, mm, m or mmm, dd, d or do and the marks between them", pattern, part)
			}
		}
		d.parts = append(d.parts, part)
		i = j
	}
	switch [3]int{count['y'], count['m'], count['d']} {
	case [3]int{1, 1, 1}:
	case [3]int{1, 1, 0}:
		d.precision = ToMonth
	case [3]int{1, 0, 0}:
		d.precision = ToYear
	default:
		return Days{}, fmt.Errorf("date pattern %q: year, month and day have to occur once each", pattern)
	}
	return d, d.checkWidths()
}

// ShortYear reports a pattern with a year of two digits, which needs a century.
func ShortYear(pattern string) bool {
	return strings.Contains(strings.ReplaceAll(pattern, "yyyy", ""), "yy")
}

func (d Days) checkWidths() error {
	for i, p := range d.parts {
		if p == "yy" && d.century == 0 {
			return fmt.Errorf("date pattern %q: a two-digit year needs the century declared\nadd century = 1970 for 1970 to 2069", d.pattern)
		}
		next := ""
		if i+1 < len(d.parts) {
			next = d.parts[i+1]
		}
		if (p == "m" || p == "d") && strings.ContainsAny(next, "ymd") {
			return fmt.Errorf("date pattern %q: %q without a mark behind it has no end", d.pattern, p)
		}
	}
	return nil
}

// Pattern is the pattern as declared, several with "or" between them.
func (d Days) Pattern() string {
	all := []string{d.pattern}
	for _, f := range d.further {
		all = append(all, f.pattern)
	}
	return strings.Join(all, " or ")
}

// System is 1900 or 1904 for day numbers, else 0.
func (d Days) System() int { return d.system }

// Exchanged is the same with day and month exchanged; false where there is nothing to
// exchange: a pattern that begins with the year or names its month, or a day number,
// since nobody writes yyyy-dd-mm.
func (d Days) Exchanged() (Days, bool) {
	all, some := []Days{}, false
	for _, one := range append([]Days{d}, d.further...) {
		one.further = nil
		if x, ok := one.exchanged(); ok {
			one, some = x, true
		}
		all = append(all, one)
	}
	if !some {
		return Days{}, false
	}
	all[0].further = all[1:]
	return all[0], true
}

// exchanged exchanges day and month in one way of writing.
func (d Days) exchanged() (Days, bool) {
	if d.system != 0 || strings.HasPrefix(d.pattern, "y") || strings.Contains(d.pattern, "mmm") {
		return Days{}, false
	}
	x := strings.NewReplacer("m", "d", "d", "m").Replace(d.pattern)
	other, err := NewDays(x, d.century)
	return other, err == nil
}

// Parse reads a day with an optional time of day and offset. The day is the
// calendar day as written. A time of exactly midnight is what programs write
// for a day without a time, so it gives NoMinute.
func (d Days) Parse(text string) (day calendar.Day, minute int16, f *Fault) {
	day, minute, _, f = d.ParseTo(text)
	return day, minute, f
}

// ParseTo reads a day as Parse does, and says how exactly it is written.
func (d Days) ParseTo(text string) (day calendar.Day, minute int16, p Precision, f *Fault) {
	day, minute, f = d.parse(text)
	if f == nil || len(d.further) == 0 {
		return day, minute, d.precision, f
	}
	for _, other := range d.further {
		at, clock, wrong := other.parse(text)
		if wrong == nil {
			return at, clock, other.precision, nil
		}
		if wrong.Reason == ImpossibleDate {
			f = wrong
		}
	}
	if f.Reason == UnreadableDate {
		f = fault(UnreadableDate, "%q is not a day written %s", Short(Trim(text)), d.Pattern())
	}
	return calendar.None, NoMinute, ToDay, f
}

// parse reads a day in the first way of writing alone.
func (d Days) parse(text string) (day calendar.Day, minute int16, f *Fault) {
	s := Trim(text)
	if f := formulaError(s); f != nil {
		return calendar.None, NoMinute, f
	}
	if d.system != 0 {
		return d.number(s)
	}
	if Stamped(d.pattern) {
		return d.stamp(s)
	}
	t := normal(s)
	y, m, dd, rest, ok := d.match(t)
	if ok && rest != "" && d.precision != ToDay {
		ok = false
	} else if ok && rest != "" {
		minute, ok = trailingTime(rest)
	} else {
		minute = NoMinute
	}
	if !ok {
		return calendar.None, NoMinute, fault(UnreadableDate, "%q is not a day written %s", Short(s), d.pattern)
	}
	m, dd = d.middle(m, dd)
	day, err := civil(y, m, dd)
	if err != nil {
		return calendar.None, NoMinute, fault(ImpossibleDate, "%q written %s: %v", Short(s), d.pattern, err)
	}
	return day, minute, nil
}

// Find looks for the first text of the pattern in a file's name that is not
// part of a longer run of digits. A time behind it is not looked at.
func (d Days) Find(name string) (calendar.Day, bool) {
	for i := range name {
		if !digit(name, i) || i > 0 && digit(name, i-1) {
			continue
		}
		y, m, dd, rest, ok := d.match(name[i:])
		if !ok || digit(rest, 0) {
			continue
		}
		if day, err := civil(y, m, dd); err == nil {
			return day, true
		}
	}
	return calendar.None, false
}

// Format writes a day back the way Parse reads it.
func (d Days) Format(day calendar.Day) string {
	switch {
	case Stamped(d.pattern):
		return d.formatStamp(day)
	case d.system == 1904:
		return fmt.Sprint(int32(day - epoch1904))
	case d.system == 1900 && day < epoch1900+61:
		return fmt.Sprint(int32(day - epoch1900 - 1))
	case d.system == 1900:
		return fmt.Sprint(int32(day - epoch1900))
	}
	t := day.Time()
	var b strings.Builder
	for _, p := range d.parts {
		switch p {
		case "yyyy":
			fmt.Fprintf(&b, "%04d", t.Year())
		case "yy":
			fmt.Fprintf(&b, "%02d", t.Year()%100)
		case "mmm":
			b.WriteString(d.monthName(t.Month()))
		case "mm":
			fmt.Fprintf(&b, "%02d", int(t.Month()))
		case "m":
			fmt.Fprintf(&b, "%d", int(t.Month()))
		case "dd":
			fmt.Fprintf(&b, "%02d", t.Day())
		case "d", "do":
			fmt.Fprintf(&b, "%d", t.Day())
		default:
			b.WriteString(p)
		}
	}
	return b.String()
}

// match reads the pattern at the start of t.
func (d Days) match(t string) (year, month, day int, rest string, ok bool) {
	for _, p := range d.parts {
		low, high := len(p), len(p)
		switch p {
		case "m", "d":
			high = 2
		case "do":
			low, high = 1, 2
		case "yyyy", "yy", "mm", "dd":
		case "mmm":
			if month, t, ok = d.month(t); !ok {
				return 0, 0, 0, "", false
			}
			continue
		default:
			if !strings.HasPrefix(t, p) {
				return 0, 0, 0, "", false
			}
			t = t[len(p):]
			continue
		}
		n, v := 0, 0
		for n < high && digit(t, n) {
			v = v*10 + int(t[n]-'0')
			n++
		}
		if n < low {
			return 0, 0, 0, "", false
		}
		t = t[n:]
		switch p[0] {
		case 'y':
			year = v
		case 'm':
			month = v
		case 'd':
			day = v
		}
		if p == "do" {
			t = withoutOrdinal(t)
		}
		if p == "yy" {
			year = d.century + (v-d.century%100+100)%100
		}
	}
	return year, month, day, t, true
}

var monthDays = [...]int{0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// civil is the day number of a calendar day, or why there is no such day.
func civil(y, m, d int) (calendar.Day, error) {
	if y < firstYear || y > lastYear {
		return calendar.None, fmt.Errorf("year %d is not within %d to %d", y, firstYear, lastYear)
	}
	if m < 1 || m > 12 {
		return calendar.None, fmt.Errorf("there is no month %d", m)
	}
	leap := y%4 == 0 && (y%100 != 0 || y%400 == 0)
	if d < 1 || d > monthDays[m] || m == 2 && d == 29 && !leap {
		return calendar.None, fmt.Errorf("month %d of %d has no day %d", m, y, d)
	}
	return calendar.Of(y, time.Month(m), d), nil
}

// Day numbers of the day before day 0 of each system's plain count: the 1900
// system counts a 29 February 1900 that never was as its day 60.
const (
	epoch1900 calendar.Day = -25569 // 1899-12-30
	epoch1904 calendar.Day = -24107 // 1904-01-01
)

// number reads a day number with an optional share of the day behind the point.
func (d Days) number(s string) (calendar.Day, int16, *Fault) {
	n, rest, f := Numbers{Decimal: "."}.scan(s)
	if f != nil || rest != "" || n.Scientific {
		return calendar.None, NoMinute, fault(UnreadableDate, "%q is not a day number (%d system)", Short(s), d.system)
	}
	whole := math.Floor(n.Value)
	minute := NoMinute
	if share := n.Value - whole; share > 0 {
		minute = int16(min(math.Round(share*1440), 1439))
	}
	var day calendar.Day
	switch {
	case whole < 0 || whole > 200000:
		return calendar.None, NoMinute, fault(ImpossibleDate, "%q: day number %v is out of range", Short(s), n.Value)
	case d.system == 1904:
		day = epoch1904 + calendar.Day(whole)
	case whole == 0 || whole == 60:
		return calendar.None, NoMinute, fault(ImpossibleDate, "%q: there is no day of that number in the 1900 system", Short(s))
	case whole < 60:
		day = epoch1900 + 1 + calendar.Day(whole)
	default:
		day = epoch1900 + calendar.Day(whole)
	}
	if last, _ := civil(lastYear, 12, 31); day > last {
		return calendar.None, NoMinute, fault(ImpossibleDate, "%q lies after the year %d", Short(s), lastYear)
	}
	return day, minute, nil
}

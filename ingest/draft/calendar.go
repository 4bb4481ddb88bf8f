package draft

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// coarseDays are the ways in which an install day is a month or a year alone.
var coarseDays = []string{"yyyy", "mm/yyyy", "m/yyyy", "mm.yyyy", "mm-yyyy", "yyyy-mm", "yyyy/mm", "mmm yyyy", "mmm-yyyy"}

// stampDays are counts since 1970; only numbers of their usual length are taken for them.
var stampDays = map[string]int{"unix seconds": 10, "unix milliseconds": 13}

// newDays compiles a way of writing days, with the names of months in every language.
func newDays(pattern string) (parse.Days, error) {
	d, err := parse.NewDays(pattern, century)
	return d.Named(parse.Languages()...), err
}

// newDaysIn does so for several ways.
func newDaysIn(patterns []string) (parse.Days, error) {
	d, err := parse.NewDaysIn(patterns, century)
	return d.Named(parse.Languages()...), err
}

// stamped reports cells of counts since 1970 in milliseconds or seconds, all of them or
// all but days that are written with marks.
func stamped(cells []string) string {
	for _, p := range []string{"unix seconds", "unix milliseconds"} {
		w := stampsAs(p, cells)
		rest := make([]string, len(w.odd))
		for i, at := range w.odd {
			rest[i] = cells[at]
		}
		if w.days > 0 && (len(rest) == 0 || daysOf(rest).parted() && daysOf(rest).days == len(rest)) {
			return p
		}
	}
	return ""
}

// stampsAs counts the cells that are counts since 1970 of the usual length.
func stampsAs(pattern string, cells []string) written {
	w := written{pattern: pattern}
	for i, c := range cells {
		switch {
		case c == "":
			continue
		case len(c) != stampDays[pattern] || strings.Trim(c, "0123456789") != "":
			w.odd = append(w.odd, i)
		default:
			if w.days == 0 {
				w.first = i
			}
			w.days++
		}
		w.filled++
	}
	return w
}

// coarse are the ways of a column whose days may be months or years alone: as they are
// where whole days fit most cells, else the coarse way that does.
func coarse(w written, cells []string) written {
	for _, p := range coarseDays {
		c := daysAs(p, cells)
		if c.days > w.days || c.days == w.days && w.days > 0 && w.pattern == "day number 1900" {
			w = c
		}
	}
	return w
}

// months is the language of the names of months, "" where English will do or none is
// there.
func (d *writer) months() string {
	best, most := "", 0
	for _, language := range append([]string{"en"}, parse.Languages()...) {
		n := 0
		for _, c := range d.columns {
			if c.field == "" || !slices.ContainsFunc(c.ways(), func(p string) bool { return strings.Contains(p, "mmm") }) {
				continue
			}
			days, err := parse.NewDaysIn(c.ways(), century)
			if err != nil {
				continue
			}
			days = days.Named(language)
			for _, cell := range c.cells {
				if _, _, f := days.Parse(cell); f == nil {
					n++
				}
			}
		}
		if n > most {
			best, most = language, n
		}
	}
	if best == "en" {
		return ""
	}
	return best
}

// askZone asks in which zone the days of counts since 1970 are: nothing in a file tells.
func askZone(d *drafter) {
	q := Question{
		Key: "time zone", Guess: "UTC",
		Ask: "In which time zone are the boilers? Times are counted since 1970, and the zone decides on which day they fall. Write its " +
			"name in the IANA database, such as America/New_York.",
		Check: func(answer string) error {
			_, err := layout.Zone(answer)
			return err
		},
	}
	for i := range d.columns {
		c := &d.columns[i]
		if c.field == "" || !slices.ContainsFunc(c.ways(), parse.Stamped) {
			continue
		}
		way := c.ways()[slices.IndexFunc(c.ways(), parse.Stamped)]
		counts := stampsAs(way, c.cells)
		q.Cost = max(q.Cost, counts.days)
		if days, err := newDays(way); err == nil {
			first := c.cells[counts.first]
			day, minute, _ := days.Parse(first)
			q.Evidence = append(q.Evidence, fmt.Sprintf("column %q: the first, %s (%s), is %s %02d:%02d in UTC", c.header, first,
				d.place(c, counts.first), parse.ISO.Format(day), minute/60, minute%60))
		}
	}
	if q.Cost > 0 {
		d.zone = cmp.Or(d.ask(q), q.Guess)
	}
}

package layout

import (
	"fmt"
	"slices"
	"strings"
	"time"
	_ "time/tzdata" // zones are known where the machine has none

	"fluedrift/ingest/parse"
)

// daysIn compiles ways of writing days, with the names of months and the zone of the file.
func daysIn(l compiler, patterns []string) (parse.Days, error) {
	days, err := parse.NewDaysIn(patterns, l.File.Century)
	if err != nil {
		return days, err
	}
	if l.File.Months != nil {
		days = days.Named(l.File.Months...)
	}
	if l.File.Zone == "" {
		return days, nil
	}
	zone, err := Zone(l.File.Zone)
	if err != nil {
		return days, err
	}
	return days.In(zone), nil
}

// Zone is the time zone of a name of the IANA database. "Local" is none: it is another
// on every machine.
func Zone(name string) (*time.Location, error) {
	zone, err := time.LoadLocation(name)
	if err != nil || name == "" || zone == time.Local {
		return nil, fmt.Errorf("zone %q is none of the zones of the IANA database, such as America/New_York", name)
	}
	return zone, nil
}

// patternsOf are all ways of writing days that the layout declares for cells.
func patternsOf(l compiler) []string {
	all := slices.Clone(l.File.Dates)
	for _, c := range l.Columns {
		all = append(all, c.Dates...)
	}
	return all
}

// checkCalendar holds months and zone to patterns that have a use for them.
func checkCalendar(l compiler) error {
	f := l.File
	named := slices.ContainsFunc(patternsOf(l), func(p string) bool { return strings.Contains(p, "mmm") })
	stamped := slices.ContainsFunc(patternsOf(l), parse.Stamped)
	if f.Months != nil && !named {
		return atKey("file.months", "months is for names of months, and no pattern here has mmm")
	}
	for _, m := range f.Months {
		if !slices.Contains(parse.Languages(), m) {
			return atKey("file.months", "months %q is not one of %s", m, strings.Join(parse.Languages(), ", "))
		}
	}
	switch {
	case f.Zone != "" && !stamped:
		return atKey("file.zone", "zone is for counts since 1970, and no pattern here is one")
	case f.Zone == "" && stamped:
		return atKey("file.dates", "a count since 1970 is a day only in a zone\nadd zone = \"Europe/Berlin\", or where the boilers stand")
	case f.Zone != "":
		if _, err := Zone(f.Zone); err != nil {
			return atKey("file.zone", "%v", err)
		}
	}
	return nil
}

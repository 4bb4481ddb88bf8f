package settings

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/rickar/cal/v2"
	"github.com/rickar/cal/v2/at"
	"github.com/rickar/cal/v2/be"
	"github.com/rickar/cal/v2/ca"
	"github.com/rickar/cal/v2/ch"
	"github.com/rickar/cal/v2/cz"
	"github.com/rickar/cal/v2/de"
	"github.com/rickar/cal/v2/dk"
	"github.com/rickar/cal/v2/es"
	"github.com/rickar/cal/v2/fr"
	"github.com/rickar/cal/v2/gb"
	"github.com/rickar/cal/v2/ie"
	"github.com/rickar/cal/v2/it"
	"github.com/rickar/cal/v2/nl"
	"github.com/rickar/cal/v2/no"
	"github.com/rickar/cal/v2/nz"
	"github.com/rickar/cal/v2/pl"
	"github.com/rickar/cal/v2/se"
	"github.com/rickar/cal/v2/us"

	"fluedrift/model/day"
)

// nationalHolidays are those that a whole country keeps, by its code of ISO 3166-1.
// What a state or a town keeps beside them is for crews.holidays.
var nationalHolidays = map[string][]*cal.Holiday{
	"at": at.Holidays, "be": be.Holidays, "ca": ca.Holidays, "ch": ch.Holidays, "cz": cz.Holidays,
	"de": de.Holidays, "dk": dk.Holidays, "es": es.Holidays, "fr": fr.Holidays, "gb": gb.Holidays, "ie": ie.Holidays,
	"it": it.Holidays, "nl": nl.Holidays, "no": no.Holidays, "nz": nz.Holidays, "pl": pl.Holidays, "se": se.Holidays,
	"us": us.Holidays,
}

// holidaysOf are the holidays of a country from a day until before another, with the
// days on which one that falls on a weekend is kept.
func holidaysOf(country string, from, until day.Day) ([]day.Day, error) {
	if country == "" {
		return nil, nil
	}
	all, ok := nationalHolidays[strings.ToLower(country)]
	if !ok {
		return nil, fmt.Errorf("%q is no country whose holidays are known here\nknown are %s; name the days in crews.holidays",
			country, strings.Join(slices.Sorted(maps.Keys(nationalHolidays)), ", "))
	}
	var out []day.Day
	for year := from.Time().Year() - 1; year <= until.Time().Year()+1; year++ { // a day off may lie in the year before
		for _, h := range all {
			actual, observed := h.Calc(year)
			for _, d := range []day.Day{day.In(actual), day.In(observed)} {
				if d >= from && d < until {
					out = append(out, d)
				}
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

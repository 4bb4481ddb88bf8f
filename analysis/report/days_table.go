package report

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/days"
)

// daysRow is one unit of one stop of one crew's day.
type daysRow struct {
	day   *days.CrewDay
	stop  *days.Stop
	order int // of the stop, from 1
	visit *days.Visit
	first bool // the stop's first unit: minutes and drives stand here only
}

// daysColumns are the columns of the days on the road.
var daysColumns = []column[daysRow]{
	{Column{"day", "day of the visit", "day", "plan", Day, "day"}, func(r *daysRow) Cell { return DayCell(r.day.Day) }},
	{Column{"crew", "who drives", "", "plan", Text, "crew"}, func(r *daysRow) Cell { return TextCell(r.day.Crew) }},
	{Column{"stop", "number of the stop on that day", "", "plan", Number, "stop"}, func(r *daysRow) Cell { return CountCell(r.order) }},
	{Column{"arrive", "time of arrival", "hh:mm", "plan", Text, "arrive"}, func(r *daysRow) Cell { return TextCell(clock(r.stop.Arrive)) }},
	{Column{"begin", "time the work begins, once the site is open", "hh:mm", "plan", Text, ""}, func(r *daysRow) Cell { return TextCell(clock(r.stop.Begin)) }},
	{Column{"leave", "time of leaving", "hh:mm", "plan", Text, "leave"}, func(r *daysRow) Cell { return TextCell(clock(r.stop.Leave)) }},
	{Column{"serial", "serial of the unit, text", "", "register", Text, "serial"}, func(r *daysRow) Cell { return TextCell(r.visit.Line.Unit.Serial) }},
	{Column{"site", "place with units", "", "register", Text, "site"}, func(r *daysRow) Cell { return TextCell(r.stop.Site) }},
	{Column{"area", "a manager's part of the map", "", "register", Text, "area"}, func(r *daysRow) Cell { return TextCell(r.stop.Area) }},
	{Column{"place", "place on the watchlist", "", "judged", Number, "#"}, func(r *daysRow) Cell { return CountCell(r.visit.Line.Place) }},
	{Column{"tier", "class of urgency on the watchlist", "", "judged", Text, "tier"}, func(r *daysRow) Cell { return TextCell(r.visit.Line.TierWords) }},
	{Column{"why", "has to be seen, promised, due, or test pulled forward", "", "plan", Text, "why"}, func(r *daysRow) Cell { return TextCell(string(r.visit.Why)) }},
	{Column{"next_step", "next step on the watchlist; phone: phone before driving", "", "judged", Text, ""}, func(r *daysRow) Cell { return TextCell(string(r.visit.Line.Step)) }},
	{Column{"gain_days", "days outside the action band that the visit is expected to avoid until the next planned day", "days", "forecast", Number, "gain d"}, func(r *daysRow) Cell { return NumberCell(r.visit.GainDays, 1) }},
	{Column{"gain_from", "forecast, or the tier alone where there is none", "", "forecast", Text, ""}, func(r *daysRow) Cell { return TextCell(gainFrom(r.visit)) }},
	{Column{"on_site_minutes", "minutes planned for the unit", "min", "plan", Number, ""}, func(r *daysRow) Cell { return NumberCell(r.visit.Minutes, 0) }},
	{Column{"cost_minutes", "what the stop costs the day: on site and the detour to it; with its first unit", "min", "plan", Number, "cost min"}, func(r *daysRow) Cell { return firstOnly(r, r.stop.CostMinutes) }},
	{Column{"drive_minutes", "drive from the stop before; with its first unit", "min", "plan", Number, "drive min"}, func(r *daysRow) Cell { return firstOnly(r, r.stop.DriveMinutes) }},
	{Column{"planned_day", "when the next full test is due", "day", "plan", Day, ""}, func(r *daysRow) Cell { return DayCell(r.visit.Line.PlannedDay) }},
	{Column{"last_visit", "last visit in the field of any kind", "day", "readings", Day, ""}, func(r *daysRow) Cell { return DayCell(r.visit.Line.LastVisit) }},
	{Column{"latitude", "of the stop as planned", "deg", "register", Number, ""}, func(r *daysRow) Cell { return NumberCell(r.stop.Place.LatitudeDeg, 5) }},
	{Column{"longitude", "of the stop as planned", "deg", "register", Number, ""}, func(r *daysRow) Cell { return NumberCell(r.stop.Place.LongitudeDeg, 5) }},
	{Column{"place_from", "what stands in for coordinates; empty: the unit's own", "", "plan", Text, ""}, func(r *daysRow) Cell { return TextCell(r.stop.PlaceFrom) }},
	{Column{"reasons", "why the unit stands on the watchlist", "", "judged", Text, ""}, func(r *daysRow) Cell { return TextCell(strings.Join(r.visit.Line.Reasons, " ")) }},
	{Column{"check_first", "what to look at first; a place to begin, common practice, no diagnosis", "", "judged", Text, ""}, func(r *daysRow) Cell { return TextCell(checkWords(r.visit.Line)) }},
}

// leftColumns are the columns of the units no day holds.
var leftColumns = []column[days.Left]{
	{Column{"place", "place on the watchlist", "", "judged", Number, "#"}, func(l *days.Left) Cell { return CountCell(l.Line.Place) }},
	{Column{"serial", "serial of the unit, text", "", "register", Text, "serial"}, func(l *days.Left) Cell { return TextCell(l.Line.Unit.Serial) }},
	{Column{"site", "place with units", "", "register", Text, "site"}, func(l *days.Left) Cell { return TextCell(l.Line.Unit.Site) }},
	{Column{"area", "a manager's part of the map", "", "register", Text, "area"}, func(l *days.Left) Cell { return TextCell(l.Line.Unit.Area) }},
	{Column{"tier", "class of urgency on the watchlist", "", "judged", Text, "tier"}, func(l *days.Left) Cell { return TextCell(l.Line.TierWords) }},
	{Column{"has_to_be_seen", "yes: it had to be seen or was promised", "", "plan", Text, "must"}, func(l *days.Left) Cell { return yes(l.Must) }},
	{Column{"gain_days", "days outside a visit on the first day would be expected to avoid; empty: not reckoned", "days", "forecast", Number, "gain d"}, func(l *days.Left) Cell {
		if l.GainDays == 0 {
			return Cell{}
		}
		return NumberCell(l.GainDays, 1)
	}},
	{Column{"why", "why no day holds it", "", "plan", Text, "why not"}, func(l *days.Left) Cell { return TextCell(l.Why) }},
}

// comparedColumns are the columns of ways to fill the same days.
var comparedColumns = []column[days.Compared]{
	{Column{"way", "how the same crews and days are filled", "", "plan", Text, "way"}, func(c *days.Compared) Cell { return TextCell(c.Name) }},
	{Column{"crew_days", "days of crews on the road", "", "plan", Number, "crew days"}, func(c *days.Compared) Cell { return CountCell(c.CrewDays) }},
	{Column{"drive_minutes", "minutes driven in all", "min", "plan", Number, "drive min"}, func(c *days.Compared) Cell { return NumberCell(c.DriveMinutes, 0) }},
	{Column{"units", "units seen", "", "plan", Number, "units"}, func(c *days.Compared) Cell { return CountCell(c.Units) }},
	{Column{"gain_days", "days outside the action band expected to be avoided", "days", "forecast", Number, "gain d"}, func(c *days.Compared) Cell { return NumberCell(c.GainDays, 0) }},
}

// Days makes the lists of a plan: the days, what is left over, and how the same
// days compare when filled in plainer orders.
func Days(p *days.Plan) []Table {
	var rows []daysRow
	for i := range p.Days {
		d := &p.Days[i]
		for k := range d.Stops {
			s := &d.Stops[k]
			for v := range s.Visits {
				rows = append(rows, daysRow{d, s, k + 1, &s.Visits[v], v == 0})
			}
		}
	}
	plan := fill("days", daysColumns, rows)
	plan.Head = append([]string{daysWords(p)}, p.Notes...)
	all := []Table{plan, fill("days-left", leftColumns, p.Left), fill("days-compared", comparedColumns, p.Compared)}
	LostFirst(all, p.Lost)
	for i := range all {
		all[i].AsOf = p.AsOf
	}
	return all
}

// daysWords is the plan in one sentence.
func daysWords(p *days.Plan) string {
	c := p.Compared[0]
	must := 0
	for _, l := range p.Left {
		if l.Must {
			must++
		}
	}
	s := fmt.Sprintf("%s to %s: %s on %d crew days, %.0f minutes driven, %.0f days outside the action band expected to be avoided.",
		DayCell(p.From), DayCell(p.Until-1), units(c.Units), c.CrewDays, c.DriveMinutes, c.GainDays)
	if must > 0 {
		s += fmt.Sprintf(" Units that have to be seen or are promised and found no day: %d; see what is left over.", must)
	}
	return s
}

func gainFrom(v *days.Visit) string {
	if v.GainGuessed {
		return "tier"
	}
	return "forecast"
}

func firstOnly(r *daysRow, v float64) Cell {
	if !r.first {
		return Cell{}
	}
	return NumberCell(v, 0)
}

// clock writes minutes of the day as hh:mm, to the nearest minute.
func clock(minutes float64) string {
	if math.IsNaN(minutes) {
		return ""
	}
	m := int(math.Round(minutes))
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

// noPlace reports whether a place has no coordinates.
func noPlace(p days.Place) bool { return math.IsNaN(p.LatitudeDeg) || math.IsNaN(p.LongitudeDeg) }

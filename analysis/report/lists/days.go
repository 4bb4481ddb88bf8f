package lists

import (
	"math"
	"strings"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/model/day"
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
var daysColumns = []table.ColumnOf[daysRow]{
	table.DayColumn("day", "day", "plan",
		"day of the visit",
		func(r *daysRow) day.Day { return r.day.Day }),
	table.TextColumn("crew", "crew", "plan",
		"who drives",
		func(r *daysRow) string { return r.day.Crew }),
	table.CountColumn("stop", "stop", "", "plan",
		"number of the stop on that day",
		func(r *daysRow) int { return r.order }),
	table.CellColumn(table.Text, "arrive", "arrive", "hh:mm", "plan",
		"time of arrival",
		func(r *daysRow) table.Cell { return table.TextCell(words.Clock(r.stop.Arrive)) }),
	table.CellColumn(table.Text, "begin", "", "hh:mm", "plan",
		"time the work begins, once the site is open",
		func(r *daysRow) table.Cell { return table.TextCell(words.Clock(r.stop.Begin)) }),
	table.CellColumn(table.Text, "leave", "leave", "hh:mm", "plan",
		"time of leaving",
		func(r *daysRow) table.Cell { return table.TextCell(words.Clock(r.stop.Leave)) }),
	table.TextColumn("serial", "serial", "register",
		"serial of the unit, text",
		func(r *daysRow) string { return r.visit.Line.Unit.Serial }),
	table.TextColumn("site", "site", "register",
		"building or address of the unit",
		func(r *daysRow) string { return r.stop.Site }),
	table.TextColumn("area", "area", "register",
		"office, region or route it belongs to",
		func(r *daysRow) string { return r.stop.Area }),
	table.CountColumn("rank", "#", "", "judged",
		"rank on the watchlist",
		func(r *daysRow) int { return r.visit.Line.Rank }),
	table.TextColumn("group", "group", "judged",
		"group on the watchlist",
		func(r *daysRow) string { return r.visit.Line.GroupWords }),
	table.TextColumn("why", "why", "plan",
		"has to be seen, promised, due, or test pulled forward",
		func(r *daysRow) string { return words.PlannedWhy(r.visit.Why) }),
	table.NumberColumn("gain_days", "days avoided", "days", "forecast",
		"days out of limits that the visit is expected to avoid within plan.unseen_days, or until the planned day where that gives less",
		1, func(r *daysRow) float64 { return r.visit.GainDays }),
	table.TextColumn("gain_from", "", "forecast",
		"forecast, or the reason alone where there is none",
		func(r *daysRow) string { return gainFrom(r.visit) }),
	table.NumberColumn("on_site_minutes", "", "min", "plan",
		"minutes planned for the unit",
		0, func(r *daysRow) float64 { return r.visit.Minutes }),
	table.CellColumn(table.Number, "cost_minutes", "cost min", "min", "plan",
		"what the stop costs the day: on site and the detour to it; with its first unit",
		func(r *daysRow) table.Cell { return firstOnly(r, r.stop.CostMinutes) }),
	table.CellColumn(table.Number, "drive_minutes", "drive min", "min", "plan",
		"drive from the stop before; with its first unit",
		func(r *daysRow) table.Cell { return firstOnly(r, r.stop.DriveMinutes) }),
	table.DayColumn("planned_day", "", "plan",
		"day the next routine visit is due",
		func(r *daysRow) day.Day { return r.visit.Line.PlannedDay }),
	table.DayColumn("last_visit", "", "readings",
		"last visit in the field, of any kind",
		func(r *daysRow) day.Day { return r.visit.Line.LastVisit }),
	table.NumberColumn("latitude", "", "deg", "register",
		"of the stop as planned",
		5, func(r *daysRow) float64 { return r.stop.Place.LatitudeDeg }),
	table.NumberColumn("longitude", "", "deg", "register",
		"of the stop as planned",
		5, func(r *daysRow) float64 { return r.stop.Place.LongitudeDeg }),
	table.TextColumn("coordinates_from", "", "plan",
		"what stands in for coordinates; empty: the unit's own are used",
		func(r *daysRow) string { return words.StandIn(r.stop) }),
	table.TextColumn("reasons", "", "judged",
		"why the unit is on the watchlist",
		func(r *daysRow) string { return strings.Join(words.Reasons(r.visit.Line), " ") }),
	table.TextColumn("check_first", "", "judged",
		"what to look at first: a starting point from common practice, not a diagnosis",
		func(r *daysRow) string { return words.Checks(r.visit.Line) }),
}

// leftColumns are the columns of the units no day holds.
var leftColumns = []table.ColumnOf[days.Left]{
	table.CountColumn("rank", "#", "", "judged",
		"rank on the watchlist",
		func(l *days.Left) int { return l.Line.Rank }),
	table.TextColumn("serial", "serial", "register",
		"serial of the unit, text",
		func(l *days.Left) string { return l.Line.Unit.Serial }),
	table.TextColumn("site", "site", "register",
		"building or address of the unit",
		func(l *days.Left) string { return l.Line.Unit.Site }),
	table.TextColumn("area", "area", "register",
		"office, region or route it belongs to",
		func(l *days.Left) string { return l.Line.Unit.Area }),
	table.TextColumn("group", "group", "judged",
		"group on the watchlist",
		func(l *days.Left) string { return l.Line.GroupWords }),
	table.YesColumn("has_to_be_seen", "must", "plan",
		"yes: it had to be seen or was promised",
		func(l *days.Left) bool { return l.Must }),
	table.CellColumn(table.Number, "gain_days", "days avoided", "days", "forecast",
		"days out of limits that a visit on the first day is expected to avoid; empty: not computed",
		func(l *days.Left) table.Cell {
			if l.GainDays == 0 {
				return table.Cell{}
			}
			return table.NumberCell(l.GainDays, 1)
		}),
	table.TextColumn("why", "why not", "plan",
		"why no day has room for it",
		words.LeftWhy),
}

// comparedColumns are the columns of ways to fill the same days.
var comparedColumns = []table.ColumnOf[days.Compared]{
	table.TextColumn("way", "way", "plan",
		"how the same crews and days are filled",
		words.DaysWay),
	table.CountColumn("crew_days", "crew days", "", "plan",
		"days of crews on the road",
		func(c *days.Compared) int { return c.CrewDays }),
	table.NumberColumn("drive_minutes", "drive min", "min", "plan",
		"minutes driven in all",
		0, func(c *days.Compared) float64 { return c.DriveMinutes }),
	table.CountColumn("units", "units", "", "plan",
		"units seen",
		func(c *days.Compared) int { return c.Units }),
	table.NumberColumn("gain_days", "days avoided", "days", "forecast",
		"days out of limits that are expected to be avoided",
		0, func(c *days.Compared) float64 { return c.GainDays }),
}

// Days makes the lists of a plan: the days, what is left over, and how the same
// days compare when filled in plainer orders. Their heads are in the units of a reader.
func Days(in units.Set, p *days.Plan) []table.Table {
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
	plan := table.Fill("days", daysColumns, rows)
	plan.Head = append([]string{words.Days(p)}, words.DaysNotes(in, p)...)
	all := []table.Table{plan, table.Fill("days-left", leftColumns, p.Left), table.Fill("days-compared", comparedColumns, p.Compared)}
	LostFirst(all, p.Lost)
	for i := range all {
		all[i].AsOf = p.AsOf
	}
	return all
}

func gainFrom(v *days.Visit) string {
	if v.GainAssumed {
		return "reason"
	}
	return "forecast"
}

func firstOnly(r *daysRow, v float64) table.Cell {
	if !r.first {
		return table.Cell{}
	}
	return table.NumberCell(v, 0)
}

// NoPlace reports whether a place has no coordinates.
func NoPlace(p days.Place) bool { return math.IsNaN(p.LatitudeDeg) || math.IsNaN(p.LongitudeDeg) }

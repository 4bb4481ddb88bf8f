package lists

import (
	"encoding/json"
	"math"
	"slices"
	"strings"

	"fluedrift/analysis"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// lineColumns are the columns of the watchlist before those of the fires.
var lineColumns = []table.ColumnOf[watch.Line]{
	table.CountColumn("rank", "#", "", "judged",
		"rank on the list, from 1 at the top",
		func(l *watch.Line) int { return l.Rank }),
	table.TextColumn("group", "group", "judged",
		"what to do: go today, ask before driving, book sooner, test overdue or can wait; the units of a group are together",
		func(l *watch.Line) string { return l.GroupWords }),
	table.TextColumn("at_foot", "at the foot", "answers",
		"why the unit is at the foot of the list: what was answered, or that it is isolated or off for the season",
		words.Foot),
	table.TextColumn("serial", "serial", "register",
		"serial of the unit, text",
		func(l *watch.Line) string { return l.Unit.Serial }),
	table.TextColumn("site", "site", "register",
		"building or address of the unit",
		func(l *watch.Line) string { return l.Unit.Site }),
	table.TextColumn("area", "", "register",
		"office, region or route it belongs to",
		func(l *watch.Line) string { return l.Unit.Area }),
	table.TextColumn("plant", "", "register",
		"units of a site that share a vent, an intake or a sequence",
		func(l *watch.Line) string { return l.Unit.Plant }),
	table.TextColumn("model_line", "", "register",
		"units that are set by the same instructions",
		func(l *watch.Line) string { return l.Unit.ModelLine }),
	table.TextColumn("fuel", "", "register",
		"fuel on the as-of day",
		func(l *watch.Line) string { return l.Unit.Fuel }),
	table.NumberColumn("input_kw", "", "kW", "register",
		"rated input",
		1, func(l *watch.Line) float64 { return l.Unit.InputKW }),
	table.TextColumn("state", "", "register",
		"in service, standby, off for the season, or isolated",
		func(l *watch.Line) string { return string(l.Unit.State) }),
	table.DayColumn("planned_day", "planned", "plan",
		"day the next routine visit is due: the last one plus the interval, within the service months",
		func(l *watch.Line) day.Day { return l.PlannedDay }),
	table.CellColumn(table.Number, "days_overdue", "", "days", "plan",
		"days from the planned day to the as-of day; negative: still ahead",
		func(l *watch.Line) table.Cell { return overdue(l) }),
	table.DayColumn("last_routine_visit", "last routine visit", "plan",
		"last start-up, annual or seasonal-start visit, or one of any reason with a reading at every fire",
		func(l *watch.Line) day.Day { return l.LastRoutine }),
	table.CellColumn(table.Number, "days_since_routine_visit", "", "days", "plan",
		"days from the last routine visit to the as-of day; empty: never",
		func(l *watch.Line) table.Cell { return daysSince(l) }),
	table.DayColumn("last_visit", "", "readings",
		"last visit in the field, of any kind",
		func(l *watch.Line) day.Day { return l.LastVisit }),
	table.NumberColumn("co_ppm_air_free", "CO air-free", "ppm", "readings",
		"newest CO at the worst fire, air-free; empty: no number known",
		0, func(l *watch.Line) float64 { return l.CO.AirFreePPM }),
	table.TextColumn("co_level", "", "judged",
		"not recorded, below attention, attention, or urgent",
		func(l *watch.Line) string { return words.COLevel(l.CO.Level) }),
	table.TextColumn("co_recorded", "", "readings",
		"the same in words: over range, below a limit, at least",
		func(l *watch.Line) string { return words.CO(&l.CO) }),
	table.TextColumn("co_fire", "", "readings",
		"fire of that CO",
		words.COFire),
	table.DayColumn("co_day", "", "readings",
		"day of that CO",
		func(l *watch.Line) day.Day { return l.CO.Day }),
	table.DayColumn("co_asked_since", "", "judged",
		"day of the first list that asked for a visit for this urgent CO, as far as publications go back; empty: CO not urgent",
		func(l *watch.Line) day.Day { return l.AskedSince }),
	table.TextColumn("side", "", "judged",
		"rich or lean, where a fire is outside its band or is expected to be",
		func(l *watch.Line) string { return l.Side.String() }),
}

// reasonColumns close the watchlist.
var reasonColumns = []table.ColumnOf[watch.Line]{
	table.TextColumn("reasons", "reasons", "judged",
		"why the unit is on the list here",
		func(l *watch.Line) string { return strings.Join(words.Reasons(l), " ") }),
	table.TextColumn("check_first", "", "judged",
		"what to look at first: a starting point from common practice, not a diagnosis",
		func(l *watch.Line) string { return words.Checks(l) }),
	table.TextColumn("recorded", "", "readings",
		"state of the unit and the newest values the line rests on, in words",
		words.Recorded),
	table.TextColumn("marks", "", "judged",
		"what is missing or assumed, separated by semicolons",
		words.Marks),
}

// notNegative is a figure or 0; NaN stays.
func notNegative(v float64) float64 {
	if v < 0 {
		return 0
	}
	return v
}

// forecastColumns stand on a list that has forecasts.
var forecastColumns = []table.ColumnOf[watch.Line]{
	table.NumberColumn("out_probability", "out today", "", "forecast",
		"chance out of limits on the as-of day, at the fire where it is largest"+words.InAirOf("that day"),
		2, func(l *watch.Line) float64 { return l.OutProbability }),
	table.NumberColumn("worst_out_probability", "at worst", "", "forecast",
		"chance out of limits on the worst day from the as-of day to the planned day, at the fire where it is largest; never below "+
			"that of today"+words.InAirOf("its day"),
		2, func(l *watch.Line) float64 { return l.WorstOutProbability }),
	table.NumberColumn("days_avoided", "days avoided", "days", "forecast",
		"boiler-days out of limits that a visit today is expected to avoid within plan.unseen_days, or until the planned "+
			"day where that gives less; 0 where it avoids none",
		0, func(l *watch.Line) float64 { return notNegative(l.Benefit.Days) }),
	table.NumberColumn("points_beyond", "points beyond", "points", "forecast",
		"points of CO2 beyond its limits that the unit is expected to be on those days, on average",
		2, func(l *watch.Line) float64 { return l.Benefit.Points }),
	table.NumberColumn("visit_key", "key", "", "forecast",
		"days avoided, plus, for each of them, the points beyond that a visit avoids as a multiple of half the width between the "+
			"limits, weighted by plan.rich_weight and plan.lean_weight; negative where a visit today would do more harm than good",
		1, func(l *watch.Line) float64 { return l.Benefit.Key }),
	table.CellColumn(table.Number, "rank_from", "rank from", "", "forecast",
		"best rank that the evidence allows among the units to book sooner (90 % interval); empty: its rank follows from a reading, "+
			"the calendar or an answer",
		func(l *watch.Line) table.Cell { return rankCell(l.RankFrom) }),
	table.CellColumn(table.Number, "rank_to", "rank to", "", "forecast",
		"worst rank that the evidence allows",
		func(l *watch.Line) table.Cell { return rankCell(l.RankTo) }),
}

func overdue(l *watch.Line) table.Cell {
	if l.PlannedDay == day.None {
		return table.Cell{}
	}
	return table.CountCell(int(l.DaysOverdue))
}

func daysSince(l *watch.Line) table.Cell {
	if l.DaysSinceRoutine < 0 {
		return table.Cell{}
	}
	return table.CountCell(int(l.DaysSinceRoutine))
}

// fireParts are columns of one fire, made once for each of the two.
var fireParts = []table.ColumnOf[watch.FireLine]{
	table.CellColumn(table.Day, "day", "", "day", "readings",
		"day of the newest reading",
		func(f *watch.FireLine) table.Cell {
			return ofReading(f, func(r *judge.Reading) table.Cell { return table.DayCell(r.Day) })
		}),
	table.CellColumn(table.Text, "condition", "", "", "readings",
		"as found, between, or as left",
		func(f *watch.FireLine) table.Cell {
			return ofReading(f, func(r *judge.Reading) table.Cell { return table.TextCell(string(r.Condition)) })
		}),
	table.NumberColumn("co2_percent", "CO2", "% by volume dry", "readings",
		"newest CO2, converted where O2 was recorded",
		2, func(f *watch.FireLine) float64 { return f.CO2Percent }),
	table.CellColumn(table.Number, "o2_percent", "", "% by volume dry", "readings",
		"O2 as recorded with it",
		func(f *watch.FireLine) table.Cell {
			return ofReading(f, func(r *judge.Reading) table.Cell { return table.NumberCell(r.O2Percent, 2) })
		}),
	table.NumberColumn("target_co2_percent", "target", "% by volume dry", "targets",
		"target in force, converted where declared in O2",
		2, func(f *watch.FireLine) float64 { return f.TargetCO2Percent }),
	table.TextColumn("target", "", "targets",
		"target and setting band as declared",
		func(f *watch.FireLine) string { return words.Target(f.Target) }),
	table.TextColumn("target_origin", "", "targets",
		"file and line of the target, or the configuration",
		func(f *watch.FireLine) string { return f.Target.Origin }),
	table.NumberColumn("off_target_points", "", "points", "judged",
		"how far the newest reading is from target, in the target's gas; positive is rich",
		2, func(f *watch.FireLine) float64 { return f.Points }),
	table.NumberColumn("beyond_band_points", "", "points", "judged",
		"how far beyond the setting band; 0 inside",
		2, func(f *watch.FireLine) float64 { return f.BeyondPoints }),
	table.TextColumn("side", "", "judged",
		"rich or lean, where outside the setting band",
		func(f *watch.FireLine) string { return f.Side.String() }),
	table.NumberColumn("co_ppm_air_free", "", "ppm", "readings",
		"newest CO of the fire, air-free",
		0, func(f *watch.FireLine) float64 { return f.CO.AirFreePPM }),
}

var fireForecastParts = []table.ColumnOf[watch.FireLine]{
	table.CellColumn(table.Number, "expected_co2_percent", "expected", "% by volume dry", "forecast",
		"CO2 expected on the as-of day",
		ofForecast(func(f *analysis.FireForecast) table.Cell { return table.NumberCell(f.CO2Percent, 2) })),
	table.CellColumn(table.Number, "expected_low_percent", "from", "% by volume dry", "forecast",
		"lower end of its 90 % interval",
		ofForecast(func(f *analysis.FireForecast) table.Cell { return table.NumberCell(f.LowPercent, 2) })),
	table.CellColumn(table.Number, "expected_high_percent", "to", "% by volume dry", "forecast",
		"upper end of its 90 % interval",
		ofForecast(func(f *analysis.FireForecast) table.Cell { return table.NumberCell(f.HighPercent, 2) })),
	table.CellColumn(table.Number, "rich_probability", "", "", "forecast",
		"chance of being above the limits today"+words.InAirOf("the day"),
		ofForecast(func(f *analysis.FireForecast) table.Cell { return table.NumberCell(f.Today.Rich, 2) })),
	table.CellColumn(table.Number, "lean_probability", "", "", "forecast",
		"chance of being below the limits today"+words.InAirOf("the day"),
		ofForecast(func(f *analysis.FireForecast) table.Cell { return table.NumberCell(f.Today.Lean, 2) })),
	table.CellColumn(table.Number, "planned_out_probability", "", "", "forecast",
		"chance out of limits on the planned day"+words.InAirOf("that day"),
		ofForecast(func(f *analysis.FireForecast) table.Cell { return table.NumberCell(f.Planned.Out(), 2) })),
	table.CellColumn(table.Number, "worst_out_probability", "", "", "forecast",
		"the same in the worst month before then"+words.InAirOf("its day"),
		ofForecast(func(f *analysis.FireForecast) table.Cell { return table.NumberCell(f.Worst.Out(), 2) })),
	table.CellColumn(table.Text, "first_outside", "", "", "forecast",
		"when it is expected to leave its limits",
		ofForecast(func(f *analysis.FireForecast) table.Cell { return table.TextCell(words.Leaving(f)) })),
}

func ofReading(f *watch.FireLine, value func(*judge.Reading) table.Cell) table.Cell {
	if f.Reading == nil {
		return table.Cell{}
	}
	return value(f.Reading)
}

func ofForecast(value func(*analysis.FireForecast) table.Cell) func(*watch.FireLine) table.Cell {
	return func(f *watch.FireLine) table.Cell {
		if f.Forecast == nil {
			return table.Cell{}
		}
		return value(f.Forecast)
	}
}

// fireColumns makes the columns of both fires. The only fire of a unit with
// one, and the highest point of one set at points, stand in the high columns.
func fireColumns(parts []table.ColumnOf[watch.FireLine]) []table.ColumnOf[watch.Line] {
	var columns []table.ColumnOf[watch.Line]
	for _, fire := range []struct {
		prefix, label string
		of            func(*watch.Line) *watch.FireLine
	}{{"high", "high or single fire: ", highOf}, {"low", "low fire: ", lowOf}} {
		for _, p := range parts {
			short := p.Short
			if short != "" {
				short = fire.prefix + " " + short
			}
			name, meaning := fire.prefix+"_"+p.Name, fire.label+p.Meaning
			columns = append(columns, table.CellColumn(p.Kind, name, short, p.Unit, p.Source, meaning, func(l *watch.Line) table.Cell {
				if f := fire.of(l); f != nil {
					return p.Value(f)
				}
				return table.Cell{}
			}))
		}
	}
	return columns
}

// highOf returns the fire of the high columns, nil where there is none.
func highOf(l *watch.Line) *watch.FireLine {
	for i := range l.Fires {
		if l.Fires[i].Fire != judge.Low {
			return &l.Fires[i]
		}
	}
	return nil
}

// lowOf returns the fire of the low columns: low fire, else the lowest of
// several points.
func lowOf(l *watch.Line) *watch.FireLine {
	for i := range l.Fires {
		if l.Fires[i].Fire == judge.Low {
			return &l.Fires[i]
		}
	}
	if n := len(l.Fires); n > 1 && l.Fires[n-1].Fire == judge.Point {
		return &l.Fires[n-1]
	}
	return nil
}

// watchColumns are all columns of the watchlist but the carried ones.
func watchColumns(forecast bool) []table.ColumnOf[watch.Line] {
	columns := slices.Clone(lineColumns)
	if forecast {
		columns = append(columns, forecastColumns...)
	}
	columns = append(columns, fireColumns(fireParts)...)
	if forecast {
		columns = append(columns, fireColumns(fireForecastParts)...)
	}
	return append(columns, reasonColumns...)
}

// Watchlist makes the list of ordered lines. Columns of the forecast are there
// when any line has one. The named columns of the register are carried to the
// end unchanged; one whose name is taken gets "carried_" before it.
func Watchlist(lines []watch.Line, s watch.Summary, carry []string) table.Table {
	forecast := slices.ContainsFunc(lines, func(l watch.Line) bool { return l.Forecast != nil })
	columns := watchColumns(forecast)
	for _, name := range carry {
		columns = append(columns, carryColumn(name, columns))
	}
	t := table.Fill("watchlist", columns, lines)
	t.AsOf, t.Head = s.AsOf, words.Head(&s)
	return t
}

// LostFirst puts what was lost before any unit was judged above lists.
func LostFirst(lists []table.Table, lost []string) {
	for i := range lists {
		lists[i].Lost = lost
	}
}

func carryColumn(name string, taken []table.ColumnOf[watch.Line]) table.ColumnOf[watch.Line] {
	header := name
	for slices.ContainsFunc(taken, func(c table.ColumnOf[watch.Line]) bool { return c.Name == header }) {
		header = "carried_" + header
	}
	return table.TextColumn(header, "", "carry",
		"column of the register, unchanged",
		func(l *watch.Line) string { return carried(l.Unit.Carry, name) })
}

// CarriedFacts are the named columns a unit carries from its register, for its
// sheet.
func CarriedFacts(u judge.Unit, names []string) []watch.Fact {
	var facts []watch.Fact
	for _, name := range names {
		if words := carried(u.Carry, name); words != "" {
			facts = append(facts, watch.Fact{Name: name, Words: words})
		}
	}
	return facts
}

// carried returns one text of a unit's carried columns, "" where it has none.
func carried(object, name string) string {
	if object == "" {
		return ""
	}
	var texts map[string]any
	if err := json.Unmarshal([]byte(object), &texts); err != nil {
		return ""
	}
	switch v := texts[name].(type) {
	case string:
		return v
	case float64:
		return table.NumberCell(v, shortest(v)).String()
	default:
		return ""
	}
}

// shortest is the number of decimals of strconv's shortest form; whole numbers
// have none.
func shortest(v float64) int {
	if v == math.Trunc(v) {
		return 0
	}
	return -1
}

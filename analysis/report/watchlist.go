package report

import (
	"encoding/json"
	"math"
	"slices"
	"strings"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// lineColumns are the columns of the watchlist before those of the fires.
var lineColumns = []column[watch.Line]{
	{Column{"place", "place on the list, 1 the most urgent", "", "judged", Number, "#"}, func(l *watch.Line) Cell { return CountCell(l.Place) }},
	{Column{"tier", "class of urgency; all of one class stand together", "", "judged", Text, "tier"}, func(l *watch.Line) Cell { return TextCell(l.TierWords) }},
	{Column{"next_step", "go today, bring forward, leave to plan, phone, or fix record", "", "judged", Text, "next step"}, func(l *watch.Line) Cell { return TextCell(string(l.Step)) }},
	{Column{"at_foot", "why the unit stands at the foot of the list: what was answered, or that it is isolated", "", "answers", Text, "at the foot"}, func(l *watch.Line) Cell { return TextCell(l.Foot) }},
	{Column{"serial", "serial of the unit, text", "", "register", Text, "serial"}, func(l *watch.Line) Cell { return TextCell(l.Unit.Serial) }},
	{Column{"site", "place with units", "", "register", Text, "site"}, func(l *watch.Line) Cell { return TextCell(l.Unit.Site) }},
	{Column{"area", "a manager's part of the map", "", "register", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.Unit.Area) }},
	{Column{"plant", "units of a site that share a vent, an intake or a sequence", "", "register", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.Unit.Plant) }},
	{Column{"model_line", "units set by the same instructions", "", "register", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.Unit.ModelLine) }},
	{Column{"fuel", "fuel on the as-of day", "", "register", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.Unit.Fuel) }},
	{Column{"input_kw", "rated input", "kW", "register", Number, ""}, func(l *watch.Line) Cell { return NumberCell(l.Unit.InputKW, 1) }},
	{Column{"state", "in service, standby, off for the season, or isolated", "", "register", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.Unit.State) }},
	{Column{"planned_day", "when the next full test is due", "day", "plan", Day, "planned"}, func(l *watch.Line) Cell { return DayCell(l.PlannedDay) }},
	{Column{"days_overdue", "days from the planned day to the as-of day; negative: still ahead", "days", "plan", Number, ""}, func(l *watch.Line) Cell { return overdue(l) }},
	{Column{"last_full_test", "last visit with every fire left, or found, as it should be recorded", "day", "plan", Day, "last full test"}, func(l *watch.Line) Cell { return DayCell(l.LastFullTest) }},
	{Column{"days_since_full_test", "days from the last full test to the as-of day; empty: never", "days", "plan", Number, ""}, func(l *watch.Line) Cell { return daysSince(l) }},
	{Column{"last_visit", "last visit in the field of any kind", "day", "readings", Day, ""}, func(l *watch.Line) Cell { return DayCell(l.LastVisit) }},
	{Column{"co_ppm_air_free", "newest CO at the worst fire, free of excess air; empty: no number known", "ppm", "readings", Number, "CO air-free"}, func(l *watch.Line) Cell { return NumberCell(l.CO.AirFreePPM, 0) }},
	{Column{"co_level", "not recorded, below attention, attention, or urgent", "", "judged", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.CO.Level.String()) }},
	{Column{"co_recorded", "the same in words: over range, below a limit, at least", "", "readings", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.CO.Words) }},
	{Column{"co_fire", "fire of that CO", "", "readings", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.COFire) }},
	{Column{"co_day", "day of that CO", "day", "readings", Day, ""}, func(l *watch.Line) Cell { return DayCell(l.CO.Day) }},
	{Column{"co_asked_since", "day of the first list that asked to see to this urgent CO, as far as publications go back; empty: CO not urgent", "day", "judged", Day, ""}, func(l *watch.Line) Cell { return DayCell(l.AskedSince) }},
	{Column{"side", "rich or lean, where a fire stands outside its band or is expected to", "", "judged", Text, ""}, func(l *watch.Line) Cell { return TextCell(l.Side.String()) }},
}

// reasonColumns close the watchlist.
var reasonColumns = []column[watch.Line]{
	{Column{"reasons", "why the unit stands here", "", "judged", Text, "reasons"}, func(l *watch.Line) Cell { return TextCell(strings.Join(l.Reasons, " ")) }},
	{Column{"check_first", "what to look at first; a place to begin, common practice, no diagnosis", "", "judged", Text, ""}, func(l *watch.Line) Cell { return TextCell(checkWords(l)) }},
	{Column{"recorded", "state and newest values that the line rests on, in words", "", "readings", Text, ""}, func(l *watch.Line) Cell { return TextCell(watch.Recorded(l)) }},
	{Column{"marks", "what the line lacks or rests on, separated by semicolons", "", "judged", Text, ""}, func(l *watch.Line) Cell { return TextCell(strings.Join(l.Marks, "; ")) }},
}

// forecastColumns stand on a list that has forecasts.
var forecastColumns = []column[watch.Line]{
	{Column{"out_probability", "chance out of limits today: probability of standing outside the action band on the as-of day, at the fire where it is largest" + inAirOf("that day"), "", "forecast", Number, "out today"},
		func(l *watch.Line) Cell { return NumberCell(l.OutProbability, 2) }},
	{Column{"worst_out_probability", "chance out of limits at worst before the planned visit: the largest from the as-of day to the planned day, at the fire where it is largest; never below that of today" + inAirOf("its day"), "", "forecast", Number, "at worst"},
		func(l *watch.Line) Cell { return NumberCell(l.WorstOutProbability, 2) }},
	{Column{"place_from", "nearer end of the 90 % interval of the places the unit could have, were every CO2 known: the lines whose place the forecast gives, put in order of how far outside their action bands they truly stand, into the same places; empty: its place is given by a reading, the calendar or an answer", "", "forecast", Number, "place from"},
		func(l *watch.Line) Cell { return placeCell(l.PlaceFrom) }},
	{Column{"place_to", "farther end of that interval", "", "forecast", Number, "place to"},
		func(l *watch.Line) Cell { return placeCell(l.PlaceTo) }},
	{Column{"tied", "yes: that it stands before the unit after it is less than 60 % sure", "", "forecast", Text, "tied"},
		func(l *watch.Line) Cell { return yes(l.TiedWithNext) }},
}

// checkWords puts the first checks in a row.
func checkWords(l *watch.Line) string {
	var do []string
	for _, c := range l.CheckFirst {
		do = append(do, c.Do)
	}
	return strings.Join(do, " ")
}

func overdue(l *watch.Line) Cell {
	if l.PlannedDay == judge.NoDay {
		return Cell{}
	}
	return CountCell(int(l.DaysOverdue))
}

func daysSince(l *watch.Line) Cell {
	if l.DaysSinceFullTest < 0 {
		return Cell{}
	}
	return CountCell(int(l.DaysSinceFullTest))
}

// firePart is a column of one fire, made once for each of the two.
type firePart struct {
	name, meaning, unit, source string
	kind                        Kind
	short                       string
	value                       func(*watch.FireLine) Cell
}

var fireParts = []firePart{
	{"day", "day of the newest reading", "day", "readings", Day, "", func(f *watch.FireLine) Cell {
		return ofReading(f, func(r *judge.Reading) Cell { return DayCell(r.Day) })
	}},
	{"condition", "as found, between, or as left", "", "readings", Text, "", func(f *watch.FireLine) Cell {
		return ofReading(f, func(r *judge.Reading) Cell { return TextCell(r.Condition) })
	}},
	{"co2_percent", "newest CO2, converted where O2 was recorded", "% by volume dry", "readings", Number, "CO2", func(f *watch.FireLine) Cell { return NumberCell(f.CO2Percent, 2) }},
	{"o2_percent", "O2 as recorded with it", "% by volume dry", "readings", Number, "", func(f *watch.FireLine) Cell {
		return ofReading(f, func(r *judge.Reading) Cell { return NumberCell(r.O2Percent, 2) })
	}},
	{"target_co2_percent", "target in force, converted where declared in O2", "% by volume dry", "targets", Number, "target", func(f *watch.FireLine) Cell { return NumberCell(f.TargetCO2Percent, 2) }},
	{"target", "target and setting band as declared", "", "targets", Text, "", func(f *watch.FireLine) Cell { return TextCell(watch.TargetWords(f.Target)) }},
	{"target_origin", "file and line of the target, or the configuration", "", "targets", Text, "", func(f *watch.FireLine) Cell { return TextCell(f.Target.Origin) }},
	{"off_target_points", "newest reading against target, in the target's gas; positive is rich", "points", "judged", Number, "", func(f *watch.FireLine) Cell { return NumberCell(f.Points, 2) }},
	{"beyond_band_points", "how far beyond the setting band; 0 inside", "points", "judged", Number, "", func(f *watch.FireLine) Cell { return NumberCell(f.BeyondPoints, 2) }},
	{"side", "rich or lean, where outside the setting band", "", "judged", Text, "", func(f *watch.FireLine) Cell { return TextCell(f.Side.String()) }},
	{"co_ppm_air_free", "newest CO of the fire, free of excess air", "ppm", "readings", Number, "", func(f *watch.FireLine) Cell { return NumberCell(f.CO.AirFreePPM, 0) }},
}

var fireForecastParts = []firePart{
	{"expected_co2_percent", "CO2 expected on the as-of day", "% by volume dry", "forecast", Number, "expected", ofForecast(func(f *analysis.FireForecast) Cell { return NumberCell(f.CO2Percent, 2) })},
	{"expected_low_percent", "lower end of its 90 % interval", "% by volume dry", "forecast", Number, "from", ofForecast(func(f *analysis.FireForecast) Cell { return NumberCell(f.LowPercent, 2) })},
	{"expected_high_percent", "upper end of its 90 % interval", "% by volume dry", "forecast", Number, "to", ofForecast(func(f *analysis.FireForecast) Cell { return NumberCell(f.HighPercent, 2) })},
	{"rich_probability", "probability of standing above the action band today" + inAirOf("the day"), "", "forecast", Number, "", ofForecast(func(f *analysis.FireForecast) Cell { return NumberCell(f.Today.Rich, 2) })},
	{"lean_probability", "probability of standing below the action band today" + inAirOf("the day"), "", "forecast", Number, "", ofForecast(func(f *analysis.FireForecast) Cell { return NumberCell(f.Today.Lean, 2) })},
	{"planned_out_probability", "probability of standing outside the action band on the planned day" + inAirOf("that day"), "", "forecast", Number, "", ofForecast(func(f *analysis.FireForecast) Cell { return NumberCell(f.Planned.Out(), 2) })},
	{"worst_out_probability", "the same in the worst month until then" + inAirOf("its day"), "", "forecast", Number, "", ofForecast(func(f *analysis.FireForecast) Cell { return NumberCell(f.Worst.Out(), 2) })},
	{"first_outside", "when it is expected to leave its action band", "", "forecast", Text, "", ofForecast(func(f *analysis.FireForecast) Cell { return TextCell(f.FirstOutside) })},
}

func ofReading(f *watch.FireLine, value func(*judge.Reading) Cell) Cell {
	if f.Reading == nil {
		return Cell{}
	}
	return value(f.Reading)
}

func ofForecast(value func(*analysis.FireForecast) Cell) func(*watch.FireLine) Cell {
	return func(f *watch.FireLine) Cell {
		if f.Forecast == nil {
			return Cell{}
		}
		return value(f.Forecast)
	}
}

// fireColumns makes the columns of both fires. The only fire of a unit with
// one, and the highest point of one set at points, stand in the high columns.
func fireColumns(parts []firePart) []column[watch.Line] {
	var columns []column[watch.Line]
	for _, fire := range []struct {
		prefix, label string
		of            func(*watch.Line) *watch.FireLine
	}{{"high", "high fire, or the only one: ", highOf}, {"low", "low fire: ", lowOf}} {
		for _, p := range parts {
			short := p.short
			if short != "" {
				short = fire.prefix + " " + short
			}
			columns = append(columns, column[watch.Line]{
				Column{fire.prefix + "_" + p.name, fire.label + p.meaning, p.unit, p.source, p.kind, short},
				func(l *watch.Line) Cell {
					if f := fire.of(l); f != nil {
						return p.value(f)
					}
					return Cell{}
				}})
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
func watchColumns(forecast bool) []column[watch.Line] {
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
func Watchlist(lines []watch.Line, s watch.Summary, carry []string) Table {
	forecast := slices.ContainsFunc(lines, func(l watch.Line) bool { return l.Forecast != nil })
	columns := watchColumns(forecast)
	for _, name := range carry {
		columns = append(columns, carryColumn(name, columns))
	}
	t := fill("watchlist", columns, lines)
	t.AsOf, t.Head = s.AsOf, s.Head()
	return t
}

// LostFirst puts what was lost before any unit was judged at the head of lists.
func LostFirst(lists []Table, lost []string) {
	for i := range lists {
		lists[i].Head = slices.Concat(lost, lists[i].Head)
	}
}

func carryColumn(name string, taken []column[watch.Line]) column[watch.Line] {
	header := name
	for slices.ContainsFunc(taken, func(c column[watch.Line]) bool { return c.Name == header }) {
		header = "carried_" + header
	}
	return column[watch.Line]{Column{header, "column of the register, unchanged", "", "carry", Text, ""},
		func(l *watch.Line) Cell { return TextCell(carried(l.Unit.Carry, name)) }}
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
		return NumberCell(v, shortest(v)).String()
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

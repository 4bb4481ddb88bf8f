package report

import (
	"fmt"
	"time"

	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// coColumns are the columns of the list of CO.
var coColumns = []column[watch.CORecord]{
	{Column{"serial", "serial of the unit, text", "", "register", Text, "serial"}, func(c *watch.CORecord) Cell { return TextCell(c.Unit.Serial) }},
	{Column{"site", "place with units", "", "register", Text, "site"}, func(c *watch.CORecord) Cell { return TextCell(c.Unit.Site) }},
	{Column{"area", "a manager's part of the map", "", "register", Text, "area"}, func(c *watch.CORecord) Cell { return TextCell(c.Unit.Area) }},
	{Column{"place", "place on the watchlist", "", "judged", Number, "#"}, func(c *watch.CORecord) Cell { return CountCell(c.Place) }},
	{Column{"fire", "fire of the reading", "", "readings", Text, "fire"}, func(c *watch.CORecord) Cell { return TextCell(c.Fire) }},
	{Column{"co_ppm_air_free", "newest CO on record there, free of excess air; empty: no number known", "ppm", "readings", Number, "CO air-free"}, func(c *watch.CORecord) Cell { return NumberCell(c.CO.AirFreePPM, 0) }},
	{Column{"co_level", "not recorded, below attention, attention, or urgent", "", "judged", Text, "level"}, func(c *watch.CORecord) Cell { return TextCell(c.CO.Level.String()) }},
	{Column{"co_recorded", "the same in words: over range, below a limit, at least", "", "readings", Text, ""}, func(c *watch.CORecord) Cell { return TextCell(c.CO.Words) }},
	{Column{"co_day", "day of that CO", "day", "readings", Day, "day"}, func(c *watch.CORecord) Cell { return DayCell(c.CO.Day) }},
	{Column{"days_since", "days from then to the as-of day", "days", "readings", Number, ""}, func(c *watch.CORecord) Cell {
		if c.DaysSince < 0 {
			return Cell{}
		}
		return CountCell(int(c.DaysSince))
	}},
	{Column{"co_older", "yes: the newest reading of the fire has no CO, this one is from before", "", "readings", Text, ""}, func(c *watch.CORecord) Cell { return yes(c.Older) }},
	{Column{"missing", "yes: the last test of the fire recorded no CO", "", "judged", Text, "missing"}, func(c *watch.CORecord) Cell { return yes(c.Missing) }},
	{Column{"rising", "yes: CO as found rises from visit to visit by more than scatter and the analyzer's limits of error leave open", "", "judged", Text, "rising"}, func(c *watch.CORecord) Cell {
		return yes(c.Trend != nil && c.Trend.Rising)
	}},
	{Column{"rise_per_year", "CO as found of one year over that of the year before, from the last six visits at most", "ratio", "judged", Number, ""}, ofTrend(func(e judge.Estimate) float64 { return e.Value })},
	{Column{"rise_per_year_low", "lower end of its 95 % interval", "ratio", "judged", Number, ""}, ofTrend(func(e judge.Estimate) float64 { return e.Low })},
	{Column{"rise_per_year_high", "upper end of its 95 % interval", "ratio", "judged", Number, ""}, ofTrend(func(e judge.Estimate) float64 { return e.High })},
}

func ofTrend(value func(judge.Estimate) float64) func(*watch.CORecord) Cell {
	return func(c *watch.CORecord) Cell {
		if c.Trend == nil {
			return Cell{}
		}
		return NumberCell(value(c.RisePerYear()), 2)
	}
}

// yes is a cell that says yes or nothing.
func yes(v bool) Cell {
	if v {
		return TextCell("yes")
	}
	return Cell{}
}

// CO makes the list of the newest CO at each fire, the worst first.
func CO(records []watch.CORecord, asOf int32) Table {
	t := fill("co", coColumns, records)
	t.AsOf = asOf
	t.Head = []string{"The newest CO on record at each fire, the worst first; at the foot fires that were read and have none."}
	return t
}

// changeColumns are the columns of the list of changes.
var changeColumns = []column[watch.Change]{
	{Column{"what", "new: due since; gone: no longer due; moved up: due then and now, nearer to the top", "", "judged", Text, "what"}, func(c *watch.Change) Cell { return TextCell(c.What) }},
	{Column{"serial", "serial of the unit, text", "", "register", Text, "serial"}, func(c *watch.Change) Cell { return TextCell(c.Serial) }},
	{Column{"site", "place with units", "", "register", Text, "site"}, func(c *watch.Change) Cell { return TextCell(c.Site) }},
	{Column{"area", "a manager's part of the map", "", "register", Text, "area"}, func(c *watch.Change) Cell { return TextCell(c.Area) }},
	{Column{"place", "place now; empty: not due", "", "judged", Number, "now"}, func(c *watch.Change) Cell { return placeCell(c.Place) }},
	{Column{"place_before", "place on the earlier list; empty: not due then", "", "judged", Number, "before"}, func(c *watch.Change) Cell { return placeCell(c.Before) }},
	{Column{"tier", "class of urgency now", "", "judged", Text, "tier"}, func(c *watch.Change) Cell { return TextCell(c.Tier) }},
	{Column{"tier_before", "class of urgency on the earlier list", "", "judged", Text, "tier before"}, func(c *watch.Change) Cell { return TextCell(c.TierBefore) }},
	{Column{"why", "why it came, went or moved", "", "judged", Text, "why"}, func(c *watch.Change) Cell { return TextCell(c.Why) }},
}

func placeCell(n int) Cell {
	if n == 0 {
		return Cell{}
	}
	return CountCell(n)
}

// Changed makes the list of what changed since an earlier publication;
// before is judge.NoDay where there is none.
func Changed(changes []watch.Change, asOf, before int32) Table {
	t := fill("changed", changeColumns, changes)
	t.AsOf = asOf
	if before == judge.NoDay {
		t.Head = []string{"No earlier publication to compare with."}
		return t
	}
	n := map[string]int{}
	for _, c := range changes {
		n[c.What]++
	}
	t.Head = []string{fmt.Sprintf("Against the list of %s: %s newly due, %d no longer due; those that moved up most.", watch.DayWords(before), units(n["new"]), n["gone"])}
	return t
}

// EarlierLines reads what Changes needs back from a published watchlist.
func EarlierLines(t Table) []watch.Earlier {
	at := map[string]int{}
	for i, c := range t.Columns {
		at[c.Name] = i
	}
	cell := func(row []Cell, name string) Cell {
		if i, ok := at[name]; ok {
			return row[i]
		}
		return Cell{}
	}
	out := make([]watch.Earlier, len(t.Rows))
	for i, row := range t.Rows {
		text := func(name string) string { return cell(row, name).String() }
		out[i] = watch.Earlier{Serial: text("serial"), Site: text("site"), Area: text("area"), Tier: text("tier"), Step: text("next_step"),
			Foot: text("at_foot"), Place: int(cell(row, "place").number), Recorded: text("recorded"),
			AskedSince: dayIn(text("co_asked_since"))}
	}
	return out
}

// dayIn reads a day as a published list writes it, judge.NoDay where it is none.
func dayIn(text string) int32 {
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return judge.NoDay
	}
	return int32(day.Unix() / 86400)
}

// gapColumns are the columns of the list of start-up gaps.
var gapColumns = []column[watch.StartupGap]{
	{Column{"serial", "serial of the unit, text", "", "register", Text, "serial"}, func(g *watch.StartupGap) Cell { return TextCell(g.Unit.Serial) }},
	{Column{"site", "place with units", "", "register", Text, "site"}, func(g *watch.StartupGap) Cell { return TextCell(g.Unit.Site) }},
	{Column{"area", "a manager's part of the map", "", "register", Text, "area"}, func(g *watch.StartupGap) Cell { return TextCell(g.Unit.Area) }},
	{Column{"place", "place on the watchlist", "", "judged", Number, "#"}, func(g *watch.StartupGap) Cell { return placeCell(g.Place) }},
	{Column{"fire", "fire without a reading", "", "readings", Text, "fire"}, func(g *watch.StartupGap) Cell { return TextCell(g.Fire) }},
	{Column{"gap", "not tested on its vent run; may not have been tested since its vent changed; or tested later with no start-up on record", "", "judged", Text, "gap"}, func(g *watch.StartupGap) Cell { return TextCell(g.Gap) }},
	{Column{"since", "install day, or the day from which the vent run holds", "day", "register", Day, "since"}, func(g *watch.StartupGap) Cell { return DayCell(g.Since) }},
	{Column{"uncertain_since", "the vent changed some day between this one and the one before", "day", "register", Day, ""}, func(g *watch.StartupGap) Cell { return DayCell(g.UncertainSince) }},
	{Column{"tested_on", "first reading on the vent run", "day", "readings", Day, "tested"}, func(g *watch.StartupGap) Cell { return DayCell(g.TestedOn) }},
	{Column{"vent_equivalent_m", "vent length with its elbows", "m", "register", Number, "vent m"}, func(g *watch.StartupGap) Cell { return NumberCell(g.EquivalentM, 1) }},
	{Column{"factory_run_m", "run the model line is set on at the factory; empty: not declared", "m", "targets", Number, "factory m"}, func(g *watch.StartupGap) Cell { return NumberCell(g.FactoryRunM, 1) }},
	{Column{"target_co2_percent", "target in force, converted where declared in O2", "% by volume dry", "targets", Number, "target"}, func(g *watch.StartupGap) Cell { return NumberCell(g.TargetCO2Percent, 2) }},
	{Column{"factory_off_points", "how far from target the factory left it", "points", "readings", Number, ""}, func(g *watch.StartupGap) Cell { return NumberCell(g.FactoryOffPoints, 2) }},
	{Column{"shift_points", "shift to expect between factory and such a run on the day since, from the fleet's own start-ups: bench, transport, gas and altitude, vent and air together", "points", "forecast", Number, "shift"}, func(g *watch.StartupGap) Cell { return NumberCell(g.ShiftPoints, 2) }},
	{Column{"shift_low_points", "lower end of its 90 % prediction interval", "points", "forecast", Number, "from"}, func(g *watch.StartupGap) Cell { return NumberCell(g.ShiftLow, 2) }},
	{Column{"shift_high_points", "upper end of its 90 % prediction interval", "points", "forecast", Number, "to"}, func(g *watch.StartupGap) Cell { return NumberCell(g.ShiftHigh, 2) }},
	{Column{"shift_from", "fit: of the fleet's start-ups, by vent and burner control, air and analyzers; line: by length of run alone, where that fit cannot tell", "", "forecast", Text, ""}, func(g *watch.StartupGap) Cell { return TextCell(g.ShiftBy) }},
	{Column{"expected_points", "deviation from target to expect if nobody has set it since: what the factory left and the shift", "points", "forecast", Number, "expected"}, func(g *watch.StartupGap) Cell { return NumberCell(g.ExpectedPoints, 2) }},
	{Column{"band_points", "setting band on that side", "points", "targets", Number, ""}, func(g *watch.StartupGap) Cell { return NumberCell(g.BandPoints, 2) }},
}

// StartupGaps makes the list of units without a start-up on their vent run.
// rests says how many start-ups the shift of each fire rests on.
func StartupGaps(gaps []watch.StartupGap, rests map[string]int, asOf int32) Table {
	t := fill("startup-gaps", gapColumns, gaps)
	t.AsOf = asOf
	t.Head = []string{
		"Units whose vent run is longer than the one they were set on at the factory, or whose factory run is not declared, with no reading at start-up on it.",
		fmt.Sprintf("The shift to expect is fitted to the fleet's own start-ups, for vent and burner control, air and analyzers: %d at high or only fire, %d at low fire; under 20 there is none. Bench, transport, gas and altitude are in it: not all of it is the vent.", rests[judge.High], rests[judge.Low]),
	}
	return t
}

package lists

import (
	"fmt"
	"math"

	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// coColumns are the columns of the list of CO.
var coColumns = []table.ColumnOf[watch.CORecord]{
	table.TextColumn("serial", "serial", "register",
		"serial of the unit, text",
		func(c *watch.CORecord) string { return c.Unit.Serial }),
	table.TextColumn("site", "site", "register",
		"building or address of the unit",
		func(c *watch.CORecord) string { return c.Unit.Site }),
	table.TextColumn("area", "area", "register",
		"office, region or route it belongs to",
		func(c *watch.CORecord) string { return c.Unit.Area }),
	table.CountColumn("rank", "#", "", "judged",
		"rank on the watchlist",
		func(c *watch.CORecord) int { return c.Rank }),
	table.TextColumn("fire", "fire", "readings",
		"fire of the reading",
		words.CORecordFire),
	table.NumberColumn("co_ppm_air_free", "CO air-free", "ppm", "readings",
		"newest CO on record there, air-free; empty: no number known",
		0, func(c *watch.CORecord) float64 { return c.CO.AirFreePPM }),
	table.TextColumn("co_level", "level", "judged",
		"not recorded, below attention, attention, or urgent",
		func(c *watch.CORecord) string { return words.COLevel(c.CO.Level) }),
	table.TextColumn("co_recorded", "", "readings",
		"the same in words: over range, below a limit, at least",
		func(c *watch.CORecord) string { return words.CO(&c.CO) }),
	table.DayColumn("co_day", "day", "readings",
		"day of that CO",
		func(c *watch.CORecord) day.Day { return c.CO.Day }),
	table.CellColumn(table.Number, "days_since", "", "days", "readings",
		"days from then to the as-of day",
		func(c *watch.CORecord) table.Cell {
			if c.DaysSince < 0 {
				return table.Cell{}
			}
			return table.CountCell(int(c.DaysSince))
		}),
	table.YesColumn("co_older", "", "readings",
		"yes: the newest reading of the fire has no CO; this CO is from an earlier one",
		func(c *watch.CORecord) bool { return c.Older }),
	table.YesColumn("missing", "missing", "judged",
		"yes: the last test of the fire recorded no CO",
		func(c *watch.CORecord) bool { return c.Missing }),
	table.YesColumn("rising", "rising", "judged",
		"yes: as-found CO rises from visit to visit by more than scatter and the analyzer's limits of error can explain",
		func(c *watch.CORecord) bool { return c.Trend != nil && c.Trend.Rising }),
	table.CellColumn(table.Number, "rise_per_year", "", "ratio", "judged",
		"ratio of as-found CO from one year to the next, from the last six visits at most",
		ofTrend(func(e judge.Estimate) float64 { return e.Value })),
	table.CellColumn(table.Number, "rise_per_year_low", "", "ratio", "judged",
		"lower end of its 95 % interval",
		ofTrend(func(e judge.Estimate) float64 { return e.Low })),
	table.CellColumn(table.Number, "rise_per_year_high", "", "ratio", "judged",
		"upper end of its 95 % interval",
		ofTrend(func(e judge.Estimate) float64 { return e.High })),
}

func ofTrend(value func(judge.Estimate) float64) func(*watch.CORecord) table.Cell {
	return func(c *watch.CORecord) table.Cell {
		if c.Trend == nil {
			return table.Cell{}
		}
		return table.NumberCell(value(c.RisePerYear()), 2)
	}
}

// CO makes the list of the newest CO at each fire, the worst first.
func CO(records []watch.CORecord, asOf day.Day) table.Table {
	t := table.Fill("co", coColumns, records)
	t.AsOf = asOf
	t.Head = []string{"The newest CO on record at each fire, the worst first; at the foot are fires that were read without CO."}
	return t
}

// changeColumns are the columns of the list of changes.
var changeColumns = []table.ColumnOf[watch.Change]{
	table.TextColumn("what", "what", "judged",
		"done: visited since and no longer due; visited and still out, or still due; eased: the chance of being out of limits fell; "+
			"no longer due for another cause; new; worse. What changed by the calendar alone is left out",
		func(c *watch.Change) string { return words.ChangeKind(c.Kind) }),
	table.TextColumn("serial", "serial", "register",
		"serial of the unit, text",
		func(c *watch.Change) string { return c.Serial }),
	table.TextColumn("site", "site", "register",
		"building or address of the unit",
		func(c *watch.Change) string { return c.Site }),
	table.TextColumn("area", "area", "register",
		"office, region or route it belongs to",
		func(c *watch.Change) string { return c.Area }),
	table.CellColumn(table.Number, "rank", "now", "", "judged",
		"rank now; empty: not due",
		func(c *watch.Change) table.Cell { return rankCell(c.Rank) }),
	table.CellColumn(table.Number, "rank_before", "before", "", "judged",
		"rank on the earlier list; empty: not due then",
		func(c *watch.Change) table.Cell { return rankCell(c.Before) }),
	table.TextColumn("group", "group", "judged",
		"group now",
		func(c *watch.Change) string { return c.Group.Words() }),
	table.TextColumn("group_before", "group before", "judged",
		"group on the earlier list",
		func(c *watch.Change) string { return c.GroupBefore.Words() }),
	table.NumberColumn("out_probability", "out today", "", "forecast",
		"chance out of limits now",
		2, func(c *watch.Change) float64 { return c.OutProbability }),
	table.NumberColumn("out_probability_before", "out before", "", "forecast",
		"chance out of limits on the day of the earlier list, as that list had it",
		2, func(c *watch.Change) float64 { return c.OutBefore }),
	table.TextColumn("why", "why", "judged",
		"why it changed",
		func(c *watch.Change) string { return words.Change(c) }),
}

func rankCell(n int) table.Cell {
	if n == 0 {
		return table.Cell{}
	}
	return table.CountCell(n)
}

// Changed makes the list of what changed since an earlier publication; before is
// day.None where there is none. Lines that only time moved are counted.
func Changed(changes []watch.Change, byTimeAlone int, asOf, before day.Day) table.Table {
	t := table.Fill("changed", changeColumns, changes)
	t.AsOf, t.Head = asOf, words.Changed(changes, byTimeAlone, before)
	return t
}

// EarlierLines reads what Changes needs back from a published watchlist, whose groups
// are named as the rules name them.
func EarlierLines(t table.Table, rules watch.Config) []watch.Earlier {
	at := map[string]int{}
	for i, c := range t.Columns {
		at[c.Name] = i
	}
	cell := func(row []table.Cell, name string) table.Cell {
		if i, ok := at[name]; ok {
			return row[i]
		}
		return table.Cell{}
	}
	out := make([]watch.Earlier, len(t.Rows))
	for i, row := range t.Rows {
		text := func(name string) string { return cell(row, name).String() }
		out[i] = watch.Earlier{
			Serial: text("serial"), Site: text("site"), Area: text("area"), Foot: text("at_foot"),
			Recorded: text("recorded"), AskedSince: dayIn(text("co_asked_since")),
			LastVisit: dayIn(text("last_visit")), OutProbability: math.NaN(),
		}
		if _, apart := at["worst_out_probability"]; apart && text("out_probability") != "" { // before, one column held today's or the worst
			out[i].OutProbability = cell(row, "out_probability").Float()
		}
		if _, grouped := at["group"]; grouped {
			out[i].Group, _ = watch.GroupOf(text("group"), rules)
			out[i].Rank = int(cell(row, "rank").Float())
			continue
		}
		out[i].Group, out[i].Rank = beforeGroups[text("next_step")], int(cell(row, "place").Float())
	}
	return out
}

// beforeGroups are the groups that come nearest to the next steps of lists of schemas 1
// to 3, which had no groups.
var beforeGroups = map[string]watch.Group{
	"go today": watch.GoToday, "phone": watch.AskFirst, "fix record": watch.AskFirst, "bring forward": watch.BookSooner,
	"leave to plan": watch.CanWait,
}

// dayIn reads a day as a published list writes it, day.None where it is none.
func dayIn(text string) day.Day {
	d, _ := day.Parse(text) // None where it is none
	return d
}

// gapColumns are the columns of the list of start-up gaps.
var gapColumns = []table.ColumnOf[watch.StartupGap]{
	table.TextColumn("serial", "serial", "register",
		"serial of the unit, text",
		func(g *watch.StartupGap) string { return g.Unit.Serial }),
	table.TextColumn("site", "site", "register",
		"building or address of the unit",
		func(g *watch.StartupGap) string { return g.Unit.Site }),
	table.TextColumn("area", "area", "register",
		"office, region or route it belongs to",
		func(g *watch.StartupGap) string { return g.Unit.Area }),
	table.CellColumn(table.Number, "rank", "#", "", "judged",
		"rank on the watchlist",
		func(g *watch.StartupGap) table.Cell { return rankCell(g.Rank) }),
	table.TextColumn("fire", "fire", "readings",
		"fire without a reading",
		func(g *watch.StartupGap) string { return words.FireLabel(g.Fire, math.NaN()) }),
	table.TextColumn("gap", "gap", "judged",
		"not tested on its vent run, or since it moved; may not have been tested since its vent changed or it moved; or tested later, "+
			"with no start-up on record",
		func(g *watch.StartupGap) string { return words.Gap(g.Gap) }),
	table.DayColumn("since", "since", "register",
		"install day, the day from which the vent run holds, or the day the unit moved",
		func(g *watch.StartupGap) day.Day { return g.Since }),
	table.DayColumn("uncertain_since", "", "register",
		"the vent changed, or the unit moved, between this day and the one before",
		func(g *watch.StartupGap) day.Day { return g.UncertainSince }),
	table.DayColumn("tested_on", "tested", "readings",
		"first reading on the vent run, or at the new place",
		func(g *watch.StartupGap) day.Day { return g.TestedOn }),
	table.NumberColumn("vent_equivalent_m", "vent m", "m", "register",
		"vent length with its elbows",
		1, func(g *watch.StartupGap) float64 { return g.EquivalentM }),
	table.NumberColumn("factory_run_m", "factory m", "m", "targets",
		"vent run that the model line is set on at the factory; empty: not declared",
		1, func(g *watch.StartupGap) float64 { return g.FactoryRunM }),
	table.NumberColumn("target_co2_percent", "target", "% by volume dry", "targets",
		"target in force, converted where declared in O2",
		2, func(g *watch.StartupGap) float64 { return g.TargetCO2Percent }),
	table.NumberColumn("factory_off_points", "", "points", "readings",
		"how far from target the factory left it",
		2, func(g *watch.StartupGap) float64 { return g.FactoryOffPoints }),
	table.NumberColumn("shift_points", "shift", "points", "forecast",
		"shift to expect between factory and such a run on the day since, from the fleet's own start-ups: bench, "+
			"transport, gas and altitude, vent and air together",
		2, func(g *watch.StartupGap) float64 { return g.ShiftPoints }),
	table.NumberColumn("shift_low_points", "from", "points", "forecast",
		"lower end of its 90 % prediction interval",
		2, func(g *watch.StartupGap) float64 { return g.ShiftLow }),
	table.NumberColumn("shift_high_points", "to", "points", "forecast",
		"upper end of its 90 % prediction interval",
		2, func(g *watch.StartupGap) float64 { return g.ShiftHigh }),
	table.TextColumn("shift_from", "", "forecast",
		"fit: of the fleet's start-ups, by vent and burner control, air and analyzers; line: by length of run alone, where there is "+
			"no such fit",
		func(g *watch.StartupGap) string { return g.ShiftBy }),
	table.NumberColumn("expected_points", "expected", "points", "forecast",
		"deviation from target to expect if nobody has set it since: what the factory left and the shift",
		2, func(g *watch.StartupGap) float64 { return g.ExpectedPoints }),
	table.NumberColumn("band_points", "", "points", "targets",
		"setting band on that side",
		2, func(g *watch.StartupGap) float64 { return g.BandPoints }),
}

// StartupGaps makes the list of units without a start-up on their vent run.
// rests says how many start-ups the shift of each fire rests on.
func StartupGaps(gaps []watch.StartupGap, rests map[judge.Fire]int, asOf day.Day) table.Table {
	t := table.Fill("startup-gaps", gapColumns, gaps)
	t.AsOf = asOf
	t.Head = []string{
		"Units whose vent run is longer than the one they were set on at the factory, or whose factory run is not declared, " +
			"with no reading at start-up on it; and units that moved, with none at their new place.",
		fmt.Sprintf("The shift to expect is fitted to the fleet's own start-ups, for vent and burner control, air and "+
			"analyzers: %d at high or single fire, %d at low fire; under 20 there is none. It includes bench, transport, gas and "+
			"altitude: not all of it is the vent.", rests[judge.High], rests[judge.Low]),
	}
	return t
}

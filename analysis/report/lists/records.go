package lists

import (
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// analyzerColumns are the columns of the list of analyzers.
var analyzerColumns = []table.ColumnOf[watch.AnalyzerLine]{
	table.TextColumn("analyzer", "analyzer", "readings",
		"id of the analyzer, or source and technician where no id is recorded",
		func(l *watch.AnalyzerLine) string { return l.Name }),
	table.YesColumn("stand_in", "", "readings",
		"yes: the technician stands for the analyzer",
		func(l *watch.AnalyzerLine) bool { return l.StandIn }),
	table.TextColumn("fire", "fire", "forecast",
		"high (a single fire included) or low: each fire has a fit of its own",
		func(l *watch.AnalyzerLine) string { return string(l.Fire) }),
	table.TextColumn("period", "period", "readings",
		"from one calibration to the next, or a calendar year",
		words.Period),
	table.TextColumn("reads", "reads", "forecast",
		"what is known of how it reads, in words",
		words.AnalyzerReads),
	table.NumberColumn("bias_points", "bias", "points", "forecast",
		"how much it reads above the other analyzers on the newest day of the period; missing where only a difference of two "+
			"instruments is known and no certificate says which is off",
		3, func(l *watch.AnalyzerLine) float64 { return l.BiasPoints }),
	table.NumberColumn("bias_low_points", "from", "points", "forecast",
		"lower end of its 90 % interval",
		3, func(l *watch.AnalyzerLine) float64 { return l.LowPoints }),
	table.NumberColumn("bias_high_points", "to", "points", "forecast",
		"upper end of its 90 % interval",
		3, func(l *watch.AnalyzerLine) float64 { return l.HighPoints }),
	table.CellColumn(table.Number, "ageing_points", "", "points a year", "forecast",
		"how its reading changes between calibrations: one figure for all analyzers of a fire",
		func(l *watch.AnalyzerLine) table.Cell { return ageing(l, 0) }),
	table.CellColumn(table.Number, "ageing_low_points", "", "points a year", "forecast",
		"lower end of its 90 % interval",
		func(l *watch.AnalyzerLine) table.Cell { return ageing(l, -1) }),
	table.CellColumn(table.Number, "ageing_high_points", "", "points a year", "forecast",
		"upper end of its 90 % interval",
		func(l *watch.AnalyzerLine) table.Cell { return ageing(l, 1) }),
	table.CountColumn("linking_units", "linked by", "", "forecast",
		"units that another analyzer read directly before or after it",
		func(l *watch.AnalyzerLine) int { return l.Units }),
	table.CountColumn("links", "links", "", "forecast",
		"comparisons with other analyzers it rests on: units read by both, one after the other",
		func(l *watch.AnalyzerLine) int { return l.Links }),
	table.NumberColumn("certificate_error_points", "certificate", "points", "readings",
		"how much too high the calibration at the end of the period found it to read, on its last day; it is part of the bias",
		2, func(l *watch.AnalyzerLine) float64 { return l.CertificateErrorPoints }),
	table.CellColumn(table.Number, "days_since_calibration", "", "days", "readings",
		"of the newest period",
		func(l *watch.AnalyzerLine) table.Cell {
			if l.DaysSinceCalibration < 0 {
				return table.Cell{}
			}
			return table.CountCell(int(l.DaysSinceCalibration))
		}),
	table.CountColumn("units_set", "units set", "", "readings",
		"units whose newest as-left reading at this fire was taken with it in this period",
		func(l *watch.AnalyzerLine) int { return l.UnitsSet }),
	table.NumberColumn("units_mis_set", "mis-set", "", "forecast",
		"how many of them are expected to be outside the setting band because of this bias alone",
		1, func(l *watch.AnalyzerLine) float64 { return l.MisSet }),
	table.YesColumn("stands_off", "off", "judged",
		"yes: in its newest period it surely reads differently from the others, by enough to leave half of the units set with it "+
			"outside their setting band",
		func(l *watch.AnalyzerLine) bool { return l.StandsOff() }),
	table.TextColumn("other_fuel", "", "judged",
		"units at which it computed CO2 for another fuel than the registered one: the analyzer was set wrong, or the register is wrong",
		words.OtherFuel),
	table.TextColumn("due", "due for a check", "judged",
		"why it is due for a check",
		words.AnalyzerDue),
}

// ageing is the change of a reading between calibrations, or an end of its interval;
// missing where no calibration is on record.
func ageing(l *watch.AnalyzerLine, side float64) table.Cell {
	value, low, high := l.Ageing()
	switch {
	case side < 0:
		value = low
	case side > 0:
		value = high
	}
	return table.NumberCell(value, 3)
}

// Analyzers makes the list of analyzers, those that may have mis-set most units
// first.
func Analyzers(lines []watch.AnalyzerLine, asOf day.Day) table.Table {
	t := table.Fill("analyzers", analyzerColumns, lines)
	t.AsOf = asOf
	t.Head = append(words.Ageing(lines), "A bias is how much higher an analyzer reads than the others on the same units; if all read "+
		"wrong alike, nobody can tell. One that reads high leaves units lean.")
	return t
}

// SuspectsIn reads the analyzers that stand off back from a published list.
func SuspectsIn(t table.Table) map[string]bool {
	name, off := table.ColumnAt(t, "analyzer"), table.ColumnAt(t, "stands_off")
	doubted := map[string]bool{}
	for _, row := range t.Rows {
		if name >= 0 && off >= 0 && !row[off].Missing() {
			doubted[row[name].String()] = true
		}
	}
	return doubted
}

// habitColumns are the columns of the list of recording habits.
var habitColumns = []table.ColumnOf[watch.Habit]{
	table.TextColumn("source", "source", "readings",
		"source of the records",
		func(h *watch.Habit) string { return h.Source }),
	table.TextColumn("technician", "technician", "readings",
		"technician code, where the configuration asks for it",
		func(h *watch.Habit) string { return h.Technician }),
	table.CountColumn("visits", "visits", "", "readings",
		"visits in the field with a reading",
		func(h *watch.Habit) int { return h.Visits }),
	table.CountColumn("fires", "", "", "readings",
		"fires read at those visits",
		func(h *watch.Habit) int { return h.Fires }),
	table.CountColumn("readings", "", "", "readings",
		"readings",
		func(h *watch.Habit) int { return h.Readings }),
	table.NumberColumn("no_as_found_percent", "no as-found %", "% of fires", "judged",
		"fires without an as-found reading: how far the burner had drifted is lost",
		1, func(h *watch.Habit) float64 { return watch.Share(h.NoFound, h.Fires) }),
	table.NumberColumn("no_as_left_percent", "no as-left %", "% of fires", "judged",
		"fires without an as-left reading and without the word that nothing was adjusted: what was left is not known",
		1, func(h *watch.Habit) float64 { return watch.Share(h.NoLeft, h.Fires) }),
	table.NumberColumn("copies_percent", "copies %", "% of fires", "judged",
		"fires whose values repeat the earlier ones to the digit",
		1, func(h *watch.Habit) float64 { return watch.Share(h.Copies, h.Fires) }),
	table.NumberColumn("one_gas_percent", "one gas %", "% of readings", "judged",
		"readings with CO2 or O2 but not both: a wrong fuel setting of the analyzer cannot be seen",
		1, func(h *watch.Habit) float64 { return watch.Share(h.OneGas, h.Readings) }),
	table.NumberColumn("no_co_percent", "no CO %", "% of readings", "judged",
		"readings without CO",
		1, func(h *watch.Habit) float64 { return watch.Share(h.NoCO, h.Readings) }),
	table.NumberColumn("no_analyzer_percent", "no analyzer %", "% of visits", "judged",
		"visits that name no analyzer",
		1, func(h *watch.Habit) float64 { return watch.Share(h.NoAnalyzer, h.Visits) }),
}

// Habits makes the list of recording habits.
func Habits(habits []watch.Habit, asOf day.Day) table.Table {
	t := table.Fill("habits", habitColumns, habits)
	t.AsOf = asOf
	t.Head = []string{"How records are kept, for better records and not for blame: a value nobody wrote down cannot be used for the " +
		"next visit."}
	return t
}

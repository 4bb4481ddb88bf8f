package report

import (
	"fluedrift/analysis/watch"
)

// analyzerColumns are the columns of the list of analyzers.
var analyzerColumns = []column[watch.AnalyzerLine]{
	{Column{"analyzer", "id of the analyzer, or source and technician where no id is recorded", "", "readings", Text, "analyzer"}, func(l *watch.AnalyzerLine) Cell { return TextCell(l.Name) }},
	{Column{"stand_in", "yes: the technician stands for the analyzer", "", "readings", Text, ""}, func(l *watch.AnalyzerLine) Cell { return yes(l.StandIn) }},
	{Column{"fire", "high (the only fire included) or low: each fire has a fit of its own", "", "forecast", Text, "fire"}, func(l *watch.AnalyzerLine) Cell { return TextCell(l.Fire) }},
	{Column{"period", "from one calibration to the next, or a calendar year", "", "readings", Text, "period"}, func(l *watch.AnalyzerLine) Cell { return TextCell(l.PeriodWords()) }},
	{Column{"reads", "what is known of how it reads, in words", "", "forecast", Text, "reads"}, func(l *watch.AnalyzerLine) Cell { return TextCell(l.Words) }},
	{Column{"bias_points", "how much it reads above the other analyzers on the newest day of the period; missing where only a difference of two instruments is known and no certificate says which is off", "points", "forecast", Number, "bias"}, func(l *watch.AnalyzerLine) Cell { return NumberCell(l.BiasPoints, 3) }},
	{Column{"bias_low_points", "lower end of its 90 % interval", "points", "forecast", Number, "from"}, func(l *watch.AnalyzerLine) Cell { return NumberCell(l.LowPoints, 3) }},
	{Column{"bias_high_points", "upper end of its 90 % interval", "points", "forecast", Number, "to"}, func(l *watch.AnalyzerLine) Cell { return NumberCell(l.HighPoints, 3) }},
	{Column{"ageing_points", "how its reading changes between calibrations: one figure for all analyzers of a fire", "points a year", "forecast", Number, ""}, func(l *watch.AnalyzerLine) Cell { return ageing(l, 0) }},
	{Column{"ageing_low_points", "lower end of its 90 % interval", "points a year", "forecast", Number, ""}, func(l *watch.AnalyzerLine) Cell { return ageing(l, -1) }},
	{Column{"ageing_high_points", "upper end of its 90 % interval", "points a year", "forecast", Number, ""}, func(l *watch.AnalyzerLine) Cell { return ageing(l, 1) }},
	{Column{"linking_units", "units that another analyzer read next before or after it", "", "forecast", Number, "linked by"}, func(l *watch.AnalyzerLine) Cell { return CountCell(l.Units) }},
	{Column{"links", "comparisons with other analyzers behind it: units read by both, one after the other", "", "forecast", Number, "links"}, func(l *watch.AnalyzerLine) Cell { return CountCell(l.Links) }},
	{Column{"certificate_error_points", "what the calibration at the end of the period found it to read too high, on its last day; it is in the bias", "points", "readings", Number, "certificate"}, func(l *watch.AnalyzerLine) Cell { return NumberCell(l.CertificateErrorPoints, 2) }},
	{Column{"days_since_calibration", "of the newest period", "days", "readings", Number, ""}, func(l *watch.AnalyzerLine) Cell {
		if l.DaysSinceCalibration < 0 {
			return Cell{}
		}
		return CountCell(int(l.DaysSinceCalibration))
	}},
	{Column{"units_set", "units whose newest as left at this fire was read with it in this period", "", "readings", Number, "units set"}, func(l *watch.AnalyzerLine) Cell { return CountCell(l.UnitsSet) }},
	{Column{"units_mis_set", "how many of them are expected to stand outside the setting band for this bias alone", "", "forecast", Number, "mis-set"}, func(l *watch.AnalyzerLine) Cell { return NumberCell(l.MisSet, 1) }},
	{Column{"stands_off", "yes: its newest period stands off the others for sure, by enough to leave half of the units set by it outside their band", "", "judged", Text, "stands off"}, func(l *watch.AnalyzerLine) Cell { return yes(l.StandsOff()) }},
	{Column{"other_fuel", "units at which it computed CO2 for another fuel than the unit is registered with: the analyzer was set wrong, or the register is", "", "judged", Text, ""}, func(l *watch.AnalyzerLine) Cell { return TextCell(l.OtherFuel) }},
	{Column{"due", "why it is due for a check", "", "judged", Text, "due for a check"}, func(l *watch.AnalyzerLine) Cell { return TextCell(l.Due) }},
}

// ageing is the change of a reading between calibrations, or an end of its interval;
// missing where no calibration is on record.
func ageing(l *watch.AnalyzerLine, side float64) Cell {
	value, low, high := l.Ageing()
	switch {
	case side < 0:
		value = low
	case side > 0:
		value = high
	}
	return NumberCell(value, 3)
}

// Analyzers makes the list of analyzers, those that may have mis-set most units
// first.
func Analyzers(lines []watch.AnalyzerLine, asOf int32) Table {
	t := fill("analyzers", analyzerColumns, lines)
	t.AsOf = asOf
	t.Head = append(watch.AgeingWords(lines), "A bias is how far an analyzer stands off the others where both read the same units; where all read alike wrong, nobody can tell. One that reads high leaves units lean.")
	return t
}

// DoubtedIn reads the analyzers that stand off back from a published list.
func DoubtedIn(t Table) map[string]bool {
	name, off := columnAt(t, "analyzer"), columnAt(t, "stands_off")
	doubted := map[string]bool{}
	for _, row := range t.Rows {
		if name >= 0 && off >= 0 && !row[off].Missing() {
			doubted[row[name].String()] = true
		}
	}
	return doubted
}

// habitColumns are the columns of the list of recording habits.
var habitColumns = []column[watch.Habit]{
	{Column{"source", "source of the records", "", "readings", Text, "source"}, func(h *watch.Habit) Cell { return TextCell(h.Source) }},
	{Column{"technician", "technician code, where the configuration asks for it", "", "readings", Text, "technician"}, func(h *watch.Habit) Cell { return TextCell(h.Technician) }},
	{Column{"visits", "visits in the field with a reading", "", "readings", Number, "visits"}, func(h *watch.Habit) Cell { return CountCell(h.Visits) }},
	{Column{"fires", "fires read at those visits", "", "readings", Number, ""}, func(h *watch.Habit) Cell { return CountCell(h.Fires) }},
	{Column{"readings", "readings", "", "readings", Number, ""}, func(h *watch.Habit) Cell { return CountCell(h.Readings) }},
	{Column{"no_as_found_percent", "fires without an as found: what the burner had drifted to is lost", "% of fires", "judged", Number, "no as found %"}, func(h *watch.Habit) Cell { return NumberCell(watch.Share(h.NoFound, h.Fires), 1) }},
	{Column{"no_as_left_percent", "fires without an as left, adjustment not recorded as no: what was left is not known", "% of fires", "judged", Number, "no as left %"}, func(h *watch.Habit) Cell { return NumberCell(watch.Share(h.NoLeft, h.Fires), 1) }},
	{Column{"copies_percent", "fires whose values repeat those before, to the digit", "% of fires", "judged", Number, "copies %"}, func(h *watch.Habit) Cell { return NumberCell(watch.Share(h.Copies, h.Fires), 1) }},
	{Column{"one_gas_percent", "readings with CO2 or O2, not both: a wrong fuel at the analyzer cannot be seen", "% of readings", "judged", Number, "one gas %"}, func(h *watch.Habit) Cell { return NumberCell(watch.Share(h.OneGas, h.Readings), 1) }},
	{Column{"no_co_percent", "readings without CO", "% of readings", "judged", Number, "no CO %"}, func(h *watch.Habit) Cell { return NumberCell(watch.Share(h.NoCO, h.Readings), 1) }},
	{Column{"no_analyzer_percent", "visits that name no analyzer", "% of visits", "judged", Number, "no analyzer %"}, func(h *watch.Habit) Cell { return NumberCell(watch.Share(h.NoAnalyzer, h.Visits), 1) }},
}

// Habits makes the list of recording habits.
func Habits(habits []watch.Habit, asOf int32) Table {
	t := fill("habits", habitColumns, habits)
	t.AsOf = asOf
	t.Head = []string{"How records are kept, for better records and not for blame: a value that is not written down cannot be used for the next visit."}
	return t
}

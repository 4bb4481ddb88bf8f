package report

import (
	"bufio"
	"fmt"
	"io"
	"text/tabwriter"

	"fluedrift/analysis/watch"
)

// fixColumns are the columns of records-to-fix.
var fixColumns = []column[watch.Fix]{
	{Column{"file", "export the record is in", "", "readings", Text, "file"}, func(f *watch.Fix) Cell { return TextCell(f.File) }},
	{Column{"line", "line of that file, the first is 1", "", "readings", Number, "line"}, func(f *watch.Fix) Cell {
		if f.Line == 0 {
			return Cell{}
		}
		return CountCell(f.Line)
	}},
	{Column{"column", "column of the value", "", "readings", Text, "column"}, func(f *watch.Fix) Cell { return TextCell(f.Column) }},
	{Column{"value", "the value as recorded", "", "readings", Text, "value"}, func(f *watch.Fix) Cell { return TextCell(f.Value) }},
	{Column{"reason", "kind of fault", "", "judged", Text, "reason"}, func(f *watch.Fix) Cell { return TextCell(f.Reason) }},
	{Column{"message", "what is wrong and what to do", "", "judged", Text, "message"}, func(f *watch.Fix) Cell { return TextCell(f.Message) }},
	{Column{"serial", "serial of the unit where it can be read, text", "", "readings", Text, "serial"}, func(f *watch.Fix) Cell { return TextCell(f.Serial) }},
	{Column{"decides_place", "yes where the unit's place on the watchlist depends on the record", "", "judged", Text, "decides place"}, func(f *watch.Fix) Cell {
		if f.Decides {
			return TextCell("yes")
		}
		return Cell{}
	}},
	{Column{"mend_in", "file of this publication, and its line, in which the record is to be corrected; that file is then put among the exports; else where to correct it, and why it is in no such file", "", "judged", Text, "mend in"}, func(f *watch.Fix) Cell { return TextCell(f.MendIn) }},
	{Column{"original", "the line as it stands in its file, where that is text; files whose names end in _to-fix hold such lines under the header of their export, to be corrected and put among the exports; there an apostrophe stands before what a spreadsheet would compute, and is not read as part of it", "", "readings", Text, ""}, func(f *watch.Fix) Cell { return TextCell(f.Original) }},
}

// RecordsToFix makes the list of records to correct at their source, in the
// order given.
func RecordsToFix(fixes []watch.Fix, asOf int32) Table {
	t := fill("records-to-fix", fixColumns, fixes)
	t.AsOf = asOf
	return t
}

// entryColumns are the columns of a unit's history.
var entryColumns = []column[watch.Entry]{
	{Column{"day", "day of the visit or change", "day", "readings", Day, "day"}, func(e *watch.Entry) Cell { return DayCell(e.Day) }},
	{Column{"what", "reason of the visit, or what changed", "", "readings", Text, "what"}, func(e *watch.Entry) Cell { return TextCell(e.What) }},
	{Column{"fire", "fire of the reading", "", "readings", Text, "fire"}, func(e *watch.Entry) Cell { return TextCell(e.Fire) }},
	{Column{"condition", "as found, between or as left, and whether it was adjusted", "", "readings", Text, "condition"}, func(e *watch.Entry) Cell { return TextCell(e.Condition) }},
	{Column{"co2_percent", "CO2, converted where O2 was recorded", "% by volume dry", "readings", Number, "CO2 %"}, func(e *watch.Entry) Cell { return NumberCell(e.CO2Percent, e.CO2Decimals) }},
	{Column{"o2_percent", "O2 as recorded", "% by volume dry", "readings", Number, "O2 %"}, func(e *watch.Entry) Cell { return NumberCell(e.O2Percent, e.O2Decimals) }},
	{Column{"target", "target and setting band in force that day", "", "targets", Text, "target"}, func(e *watch.Entry) Cell { return TextCell(e.Target) }},
	{Column{"verdict", "the reading against them", "", "judged", Text, "verdict"}, func(e *watch.Entry) Cell { return TextCell(e.Verdict) }},
	{Column{"co_ppm_air_free", "CO free of excess air", "ppm", "readings", Number, "CO air-free"}, func(e *watch.Entry) Cell { return NumberCell(e.CO.AirFreePPM, 0) }},
	{Column{"co_recorded", "the same in words", "", "readings", Text, ""}, func(e *watch.Entry) Cell { return TextCell(e.CO.Words) }},
	{Column{"flue_temp_c", "flue gas temperature", "degC", "readings", Number, "flue C"}, func(e *watch.Entry) Cell { return NumberCell(e.FlueTempC, 0) }},
	{Column{"air_temp_c", "combustion-air temperature", "degC", "readings", Number, "air C"}, func(e *watch.Entry) Cell { return NumberCell(e.AirTempC, 0) }},
	{Column{"technician", "who read it", "", "readings", Text, "technician"}, func(e *watch.Entry) Cell { return TextCell(e.Technician) }},
	{Column{"analyzer", "what it was read with", "", "readings", Text, "analyzer"}, func(e *watch.Entry) Cell { return TextCell(e.Analyzer) }},
	{Column{"origin", "file and line of the record", "", "readings", Text, "record"}, func(e *watch.Entry) Cell { return TextCell(e.Origin) }},
	{Column{"marks", "marks of the reading", "", "readings", Text, ""}, func(e *watch.Entry) Cell { return TextCell(e.Marks) }},
	{Column{"judged", "what the reading is good for: used, marked, or left out of the fit, and why", "", "judged", Text, ""}, func(e *watch.Entry) Cell { return TextCell(e.Judged) }},
}

// History makes the table of a unit's records, in the story's order.
func History(s watch.Story) Table {
	t := fill("history", entryColumns, s.Entries)
	t.Head = append(append(t.Head, s.Head...), s.Why...)
	return t
}

// List is a list that can be written, described.
type List struct {
	Name, Meaning string
	Columns       []Column
}

// Lists returns all lists with all their columns, those of the forecast
// included; columns carried from the register come on top.
func Lists() []List {
	return []List{
		{"watchlist", "units due for attention, the most urgent first", described(watchColumns(true))},
		{"records-to-fix", "records to correct at their source", described(fixColumns)},
		{"verify", "last readings nobody has confirmed: the reading or the unit", described(verifyColumns)},
		{"changed", "what changed since the publication before", described(changeColumns)},
		{"startup-gaps", "units without a start-up reading on their vent run", described(gapColumns)},
		{"analyzers", "how analyzers stand off each other, and the units set by them", described(analyzerColumns)},
		{"habits", "how records are kept, by source", described(habitColumns)},
		{"co", "the newest CO at each fire, the worst first", described(coColumns)},
		{"dictionary", "what every column of every list means", described(dictionaryColumns)},
		{"days", "visits by day, crew and stop, as planned by days", described(daysColumns)},
		{"days-left", "units that no planned day holds, and why", described(leftColumns)},
		{"days-compared", "the same crews and days filled in plainer orders", described(comparedColumns)},
		{"history", "one unit's records, newest first", described(entryColumns)},
	}
}

// WriteColumns writes what each column of each list means.
func WriteColumns(w io.Writer) error {
	out := bufio.NewWriter(w)
	for i, l := range Lists() {
		if i > 0 {
			out.WriteByte('\n')
		}
		fmt.Fprintf(out, "%s: %s\n", l.Name, l.Meaning)
		tab := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
		for _, c := range l.Columns {
			unit := c.Unit
			if unit == "" {
				unit = string(c.Kind)
			}
			fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\n", c.Name, unit, c.Source, c.Meaning)
		}
		if err := tab.Flush(); err != nil {
			return fmt.Errorf("write columns: %w", err)
		}
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write columns: %w", err)
	}
	return nil
}

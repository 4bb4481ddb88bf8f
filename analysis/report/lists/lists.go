// Package lists describes the columns of every list (Lists) with name, meaning, unit
// and source, and fills the lists from the rows of the analyses. One table of columns
// a list drives the writers and the help alike.
package lists

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// fixColumns are the columns of records-to-fix.
var fixColumns = []table.ColumnOf[watch.Fix]{
	table.TextColumn("file", "file", "readings",
		"export the record is in",
		func(f *watch.Fix) string { return f.File }),
	table.CellColumn(table.Number, "line", "line", "", "readings",
		"line of that file, the first is 1",
		func(f *watch.Fix) table.Cell {
			if f.Line == 0 {
				return table.Cell{}
			}
			return table.CountCell(f.Line)
		}),
	table.TextColumn("column", "column", "readings",
		"column of the value",
		func(f *watch.Fix) string { return f.Column }),
	table.TextColumn("value", "value", "readings",
		"the value as recorded",
		func(f *watch.Fix) string { return f.Value }),
	table.TextColumn("reason", "reason", "judged",
		"kind of fault",
		func(f *watch.Fix) string { return f.Reason }),
	table.TextColumn("message", "message", "judged",
		"what is wrong and what to do",
		func(f *watch.Fix) string { return f.Message }),
	table.TextColumn("serial", "serial", "readings",
		"serial of the unit where it can be read, text",
		func(f *watch.Fix) string { return f.Serial }),
	table.CellColumn(table.Text, "decides_place", "decides rank", "", "judged",
		"yes where the unit's rank on the watchlist depends on the record",
		func(f *watch.Fix) table.Cell {
			if f.Decides {
				return table.TextCell("yes")
			}
			return table.Cell{}
		}),
	table.TextColumn("mend_in", "mend in", "judged",
		"file of this publication, and its line, in which to correct the record; then put that file among the exports. Otherwise "+
			"where to correct it, and why it is in no such file",
		func(f *watch.Fix) string { return f.MendIn }),
	table.TextColumn("original", "", "readings",
		"the line as it stands in its file, where that is text; files whose names end in _to-fix hold such lines under the header of "+
			"their export, to be corrected and put among the exports; there an apostrophe precedes what a spreadsheet would compute, "+
			"and is not read as part of it",
		func(f *watch.Fix) string { return f.Original }),
}

// RecordsToFix makes the list of records to correct at their source, in the
// order given.
func RecordsToFix(fixes []watch.Fix, asOf day.Day) table.Table {
	t := table.Fill("records-to-fix", fixColumns, fixes)
	t.AsOf = asOf
	return t
}

// entryColumns are the columns of a unit's history; what says what happened.
func entryColumns(what func(*watch.Entry) string) []table.ColumnOf[watch.Entry] {
	return []table.ColumnOf[watch.Entry]{
		table.DayColumn("day", "day", "readings",
			"day of the visit or change",
			func(e *watch.Entry) day.Day { return e.Day }),
		table.TextColumn("what", "what", "readings",
			"reason of the visit, or what changed",
			what),
		table.TextColumn("fire", "fire", "readings",
			"fire of the reading",
			func(e *watch.Entry) string { return words.EntryFire(e) }),
		table.TextColumn("condition", "condition", "readings",
			"as found, between or as left, and whether it was adjusted",
			func(e *watch.Entry) string { return words.EntryCondition(e) }),
		table.CellColumn(table.Number, "co2_percent", "CO2 %", "% by volume dry", "readings",
			"CO2, converted where O2 was recorded",
			func(e *watch.Entry) table.Cell { return table.NumberCell(e.CO2Percent, e.CO2Decimals) }),
		table.CellColumn(table.Number, "o2_percent", "O2 %", "% by volume dry", "readings",
			"O2 as recorded",
			func(e *watch.Entry) table.Cell { return table.NumberCell(e.O2Percent, e.O2Decimals) }),
		table.TextColumn("target", "target", "targets",
			"target and setting band in force that day",
			func(e *watch.Entry) string { return words.EntryTarget(e) }),
		table.TextColumn("verdict", "verdict", "judged",
			"the reading compared with them",
			func(e *watch.Entry) string { return words.Verdict(e) }),
		table.NumberColumn("co_ppm_air_free", "CO air-free", "ppm", "readings",
			"CO free of excess air",
			0, func(e *watch.Entry) float64 { return e.CO.AirFreePPM }),
		table.TextColumn("co_recorded", "", "readings",
			"the same in words",
			words.EntryCO),
		table.NumberColumn("flue_temp_c", "flue C", "degC", "readings",
			"flue gas temperature",
			0, func(e *watch.Entry) float64 { return e.FlueTempC }),
		table.NumberColumn("air_temp_c", "air C", "degC", "readings",
			"combustion-air temperature",
			0, func(e *watch.Entry) float64 { return e.AirTempC }),
		table.TextColumn("technician", "technician", "readings",
			"who read it",
			func(e *watch.Entry) string { return e.Technician }),
		table.TextColumn("analyzer", "analyzer", "readings",
			"what it was read with",
			func(e *watch.Entry) string { return e.Analyzer }),
		table.TextColumn("origin", "record", "readings",
			"file and line of the record",
			func(e *watch.Entry) string { return e.Origin }),
		table.TextColumn("marks", "", "readings",
			"marks of the reading",
			func(e *watch.Entry) string { return e.Marks }),
		table.TextColumn("judged", "", "judged",
			"how the reading is used: used, marked, or left out of the fit, and why",
			func(e *watch.Entry) string { return words.Judged(e) }),
	}
}

// History makes the table of a unit's records, in the story's order, with what is said
// in the units of a reader; table.In gives its columns in them.
func History(in units.Set, s watch.Story) table.Table {
	t := table.Fill("history", entryColumns(func(e *watch.Entry) string { return words.EntryWhat(in, e) }), s.Entries)
	standing := words.StandingOf(&s.Line, s.NotRead)
	t.Head = append(append(t.Head, words.About(in, &s.About)...), standing.All()...)
	return t
}

// List is a list that can be written, described.
type List struct {
	Name, Meaning string
	Columns       []table.Column
}

// Lists returns all lists with all their columns, those of the forecast
// included; columns carried from the register come on top.
func Lists() []List {
	return []List{
		{"watchlist", "units due for attention, the most urgent first", table.Describe(watchColumns(true))},
		{"records-to-fix", "records to correct at their source", table.Describe(fixColumns)},
		{"verify", verifyMeaning, table.Describe(verifyColumns)},
		{"changed", "what changed since the publication before", table.Describe(changeColumns)},
		{"startup-gaps", "units without a start-up reading on their vent run", table.Describe(gapColumns)},
		{"analyzers", "how analyzers differ from each other, and the units set with them", table.Describe(analyzerColumns)},
		{"habits", "how records are kept, by source", table.Describe(habitColumns)},
		{"co", "the newest CO at each fire, the worst first", table.Describe(coColumns)},
		{"dictionary", "what every column of every list means", table.Dictionary(nil).Columns},
		{"days", "visits by day, crew and stop, as the command days plans them", table.Describe(daysColumns)},
		{"days-left", "units that no planned day holds, and why", table.Describe(leftColumns)},
		{"days-compared", "the same crews and days, filled in simpler orders", table.Describe(comparedColumns)},
		{"history", "one unit's records, newest first", table.Describe(entryColumns(nil))},
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
	table.WriteLines(out, []string{"", "These are the units of CSV and JSON. Pages, workbook and text have those of " +
		"[display], and there a column's name ends in its own unit."})
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write columns: %w", err)
	}
	return nil
}

// splitOut is the schema from which out_probability of the watchlist is always that
// of the as-of day. Before it was the worst until the planned day in all tiers but
// one.
const splitOut = 3

// Read reads a published list; its short headers, which a file does not hold, come
// from the list of that name.
func Read(r io.Reader) (table.Table, error) {
	t, schema, err := table.ReadJSON(r)
	if err != nil {
		return t, err
	}
	for _, l := range Lists() {
		if l.Name != t.Name {
			continue
		}
		for i := range t.Columns {
			if at := slices.IndexFunc(l.Columns, func(c table.Column) bool { return c.Name == t.Columns[i].Name }); at >= 0 {
				t.Columns[i].Short = l.Columns[at].Short
			}
			if schema < splitOut && t.Name == "watchlist" && t.Columns[i].Name == "out_probability" {
				t.Columns[i].Short = "out, today or at worst"
			}
		}
	}
	return t, nil
}

// WriteStory writes one unit's story for a terminal.
func WriteStory(w io.Writer, in units.Set, s watch.Story) error {
	out := bufio.NewWriter(w)
	table.WriteLines(out, words.About(in, &s.About))
	out.WriteByte('\n')
	standing := words.StandingOf(&s.Line, s.NotRead)
	table.WriteLines(out, standing.All())
	out.WriteByte('\n')
	if outlook := words.Outlook(&s.Line); len(outlook) > 0 {
		table.WriteLines(out, outlook)
		out.WriteByte('\n')
	}
	for _, part := range []struct {
		head  string
		lines []string
	}{
		{"Check first (common practice, no source):", words.LookWhy(in, &s.Line)},
		{"What the records show:", words.Found(in, s.Found)},
		{"Cost:", words.Costs(in, s.Costs)},
	} {
		if len(part.lines) == 0 {
			continue
		}
		table.WriteLines(out, []string{part.head})
		for _, l := range part.lines {
			table.WriteLines(out, []string{"  " + l})
		}
		out.WriteByte('\n')
	}
	if len(s.Entries) == 0 {
		out.WriteString("Nothing on record.\n")
	} else if err := table.WriteAligned(out, table.In(in, History(in, s))); err != nil {
		return fmt.Errorf("write unit %q: %w", s.Unit.Serial, err)
	}
	out.WriteByte('\n')
	table.WriteLines(out, words.Cautions())
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write unit %q: %w", s.Unit.Serial, err)
	}
	return nil
}

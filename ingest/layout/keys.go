package layout

import (
	"fmt"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"fluedrift/ingest/parse"
)

// Key is a key of a layout.
type Key struct {
	Table string // table it stands in, "" for the top of the file
	Name  string
	Words []string // what it may be, where those are known words
	What  string
}

// Keys are the keys of a layout, table by table.
func Keys() []Key {
	return []Key{
		{"", "name", nil, "name of the layout, its own among all"},
		{"", "record", append(Records(), Table), "what a row is; table: rows that a step of other layouts joins to theirs, and no record"},
		{"", "form", []string{Long, Wide}, "of readings: long, a row a reading; wide, a row a visit"},
		{"", "source", nil, "group of exports whose visit ids belong together"},
		{"", "key", keyFields, "of readings without visit ids: what else, beside the serial, tells visits apart"},

		{"match", "names", nil, "patterns of file names: * any text, ? a character; letter case counts"},
		{"match", "columns", nil, "headers that have to be there; tells layouts with one name pattern apart"},

		{"export_day", "from", []string{FromName, FromColumn, FromDeclared, FromUnknown}, "how the day of an export is known"},
		{"export_day", "pattern", nil, "from name: how the day stands in the file's name, as yyyy-mm-dd"},
		{"export_day", "column", nil, "from column: its header; the latest day in it counts"},
		{"export_day", "day", nil, "from declared: the day, yyyy-mm-dd"},

		{"file", "type", types, "what the file is stored as: text, workbook, Parquet, an object of JSON a line or in a list, a table " +
			"of a page; each also gzip-compressed under a name that ends in .gz, or in a .zip"},
		{"file", "delimiter", nil, "what stands between cells, a character or up to eight; \"\\t\" for tabs"},
		{"file", "quote", nil, "the character about cells, \"\" for none"},
		{"file", "escape", nil, "the character before a quote inside a quoted cell, where a quote is not doubled"},
		{"file", "encoding", encodings, "how characters are stored"},
		{"file", "header", nil, "number of the header line, with the lines above it skipped; a list such as [3, 4] where it runs over " +
			"several, whose cells are joined by a blank; 0 where there is none, with a position for each column"},
		{"file", "decimal", nil, "decimal mark"},
		{"file", "thousands", nil, "thousands mark, \"\" for none, \" \" for any blank"},
		{"file", "dates", nil, "how days are written: yyyy-mm-dd, mm/dd/yyyy, d.m.yyyy, dd.mm.yy, dd-mmm-yyyy (names of " +
			"months), do mmm yyyy (1st, 2e), day number 1900, day number 1904, unix seconds, unix milliseconds; for install days mm/yyyy and " +
			"yyyy too; a list where they are written in several ways, tried in order"},
		{"file", "century", nil, "first year of the hundred that two-digit years lie in: 1970 for 1970 to 2069"},
		{"file", "months", parse.Languages(), "language of the names of months, or a list; en where not given"},
		{"file", "zone", nil, "for dates = \"unix seconds\" or \"unix milliseconds\": the zone whose days count, such as Europe/Berlin"},
		{"file", "missing", nil, "what stands for a value that is not there; a blank cell always does"},
		{"file", "footer", nil, "regular expressions on lines that are no rows: totals, remarks below"},
		{"file", "skip", nil, "the same for other lines that are no rows"},
		{"file", "skip_lines", nil, "numbers of lines below the header that are no rows"},
		{"file", "sheet", nil, "of a workbook: name of the sheet, or its number from 1, a pattern (\"*\" for all), or a " +
			"list of these: sheets of one header are read as one table; of a page: number of the table"},
		{"file", "table", nil, "of a text or a sheet that holds several tables, one below the other: number of the one that is read, from 1; " +
			"it begins with the line that has its columns' names and goes on to that of another table, for which another layout is"},
		{"file", "rows", nil, "of objects of JSON: the key of the list whose elements are rows, with what stands beside it repeated"},
		{"file", "last_line", []string{"whole", "any"}, "whole: a last line without an end means a copy that is not finished"},
		{"file", "other_sheets", nil, "sheets that hold a table and are no records"},
		{"file", "struck_out", struckOut, "of a workbook: rows of which every filled cell is struck out; read where not given"},
		{"file", "blank_headers", nil, "numbers of columns that have numbers, no header, and are not needed"},

		{"constants", "FIELD", nil, "a value that every line has; not for what tells boilers or readings apart"},

		{"step", "do", dos(), "what is done to the rows, in the order of the steps"},
		{"step", "column", nil, "the column that is read"},
		{"step", "columns", nil, "the columns that are read"},
		{"step", "patterns", nil, "separate, heading_rows: regular expressions that fit a whole cell, tried in order; from_name: a " +
			"part of the name; from_title: a part of one of the lines, the first that one fits. Their named parts, (?P<name>...), become columns"},
		{"step", "values", nil, "leave_out: texts of the column whose rows are left out; missing_where: the texts that are meant, any " +
			"where not given"},
		{"step", "where", nil, "missing_where: the column that says so"},
		{"step", "is", nil, "missing_where: its texts that say so; \"\" for a blank cell"},
		{"step", "into", nil, "unite, first_filled, in_ranges: the column that is made"},
		{"step", "with", nil, "unite: what stands between the parts"},
		{"step", "of", []string{OfFile, OfSheet, OfTitle, OfFooter}, "from_name: whose name, that of the file where not given; from_title: " +
			"which lines, those above the header (title) where not given, or those that footer or skip name"},
		{"step", "checks", nil, "from_name, from_title: a column of days; one outside the year, and the quarter or month, that they tell is " +
			"doubtful"},
		{"step", "ids", nil, "pivot_wider: the columns that tell one visit from another; keep_latest: one record"},
		{"step", "names_from", nil, "pivot_wider: the column that says what a row measures"},
		{"step", "values_from", nil, "pivot_wider: the column that holds what was measured"},
		{"step", "units_from", nil, "pivot_wider: a column with the unit of measure, put behind the value"},
		{"step", "names", nil, "pivot_wider: the texts of names_from that become columns"},
		{"step", "adjacent", nil, "pivot_wider: true: the rows of a visit stand together, and no more than one visit is held"},
		{"step", "revision", nil, "keep_latest: the column of the revision, a number, a day or a text"},
		{"step", "table", nil, "lookup: a CSV beside the layout; its first column is looked up, and its others become columns; " +
			"join: name of the layout (record = \"table\") of the files whose rows are joined to those here"},
		{"step", "unknown", unknowns, "lookup: what becomes of a text that is not in the table: its own text, no value, or a wrong cell"},
		{"step", "by", nil, "join: the columns of a key here; a row of the table has the same texts in them"},
		{"step", "table_by", nil, "join: what the table calls the columns of the key, where it calls them otherwise"},
		{"step", "take", nil, "join: the columns that are taken from the table"},
		{"step", "prefix", nil, "join: what stands before their names here"},
		{"step", "ranges", nil, "in_ranges: what numbers become: [{ from = 80, to = 110, is = \"high\" }]; a bound of two ranges belongs to " +
			"the upper one"},
		{"step", "required", nil, "true: a cell that fits no pattern or range is wrong; else its new cells stay blank"},
		{"step", "optional", nil, "true: columns of the step may be absent, and then it does nothing"},

		{"column", "header", nil, "as in the file; letter case aside where only one fits; a list where files have different names for it"},
		{"column", "position", nil, "of a file without a header: number of the column from 1; each column is declared, " +
			"with ignore = true where it is not needed"},
		{"column", "field", nil, "field its cells give (help fields); or carry, or ignore"},
		{"column", "unit", nil, "unit of measure of its cells (help units)"},
		{"column", "units", nil, "units of measure that may stand behind its numbers; a number without one has the first"},
		{"column", "unit_from", nil, "the column that says in which unit its cells are measured; unit is that of cells for which it is blank"},
		{"column", "unit_codes", nil, "for unit_from: what its texts mean: { \"F\" = \"degF\", \"C\" = \"degC\" }"},
		{"column", "fire", fires, "wide form: the fire its cells were read at, where no column says it"},
		{"column", "condition", conditions, "wide form: the condition they were read in, where no column says it"},
		{"column", "basis", bases, "what CO is measured in"},
		{"column", "basis_from", nil, "the column that says what CO is measured in; where it says nothing, the basis is unknown"},
		{"column", "basis_codes", nil, "for basis_from: what its texts mean: { \"AF\" = \"air-free\", \"raw\" = \"as measured\" }"},
		{"column", "reference_o2", nil, "for basis reference: O2 it is converted to, %"},
		{"column", "gas", []string{"dry", "wet"}, "whether CO2 or O2 is a share of dry or wet gas"},
		{"column", "wet_fuel", wetFuelNames(), "for wet gas: the one fuel of these exports"},
		{"column", "codes", nil, "what its words mean in ours (help codes): { \"AF\" = \"as found\" }"},
		{"column", "carry", nil, "of units: name under which it travels to the lists unchanged; contact_name, contact_phone and address " +
			"say whom to call and where"},
		{"column", "ignore", nil, "true: known and not read"},
		{"column", "optional", nil, "true: the column may be absent"},
		{"column", "missing", nil, "markers of this column alone"},
		{"column", "dates", nil, "how this column alone writes days: one way or a list"},
		{"column", "merged", nil, "of a workbook or a page: whether a cell merged over rows holds for each of them (true), or for the first " +
			"(false); where not given, for each, but a measurement at the burner for the first"},
	}
}

// keysOf names the keys of a table.
func keysOf(table string) (names []string) {
	for _, k := range Keys() {
		if k.Table == table {
			names = append(names, k.Name)
		}
	}
	return names
}

// knownKeys names the keys that the table of a mistyped key has.
func knownKeys(key toml.Key) string {
	if len(key) > 1 && key[0] != "constants" && slices.ContainsFunc(Keys(), func(k Key) bool { return k.Table == key[0] }) {
		return fmt.Sprintf("[%s] has the keys %s", key[0], strings.Join(keysOf(key[0]), ", "))
	}
	return "a layout has the keys " + strings.Join(keysOf(""), ", ") + " and the tables [match] [export_day] [file] [constants] [[step]] " +
		"[[column]]"
}

// Package layout is what an export means, as data: one TOML file a kind of
// export, read with strict keys. Nothing about an export is guessed; what a
// layout does not say is not read, and a mistyped key is an error that names
// file and line.
//
// # Top of the file
//
//	name   = "north readings"   # unique among the layouts
//	record = "readings"         # readings | units | model_lines | analyzers | plants | answers
//	form   = "long"             # readings only: long, a row a reading; wide, a row a visit
//	source = "north"            # group of exports whose visit ids belong together
//	key    = ["day", "time"]    # readings without visit ids, see below
//
// Without a column for visit_id the lines of one serial and day are one visit.
// key names what else tells visits apart: time, technician, analyzer, reason.
//
// # [match]
//
// names are patterns on the base name (path.Match; letter case counts). columns
// are headers that have to be present; with them two layouts may share a name
// pattern. Two layouts that fit one file are an error that names both.
//
// # [export_day]
//
// from = "name" with pattern (the first text of that shape in the base name),
// "column" with column (the latest day in it), "declared" with day
// (yyyy-mm-dd), or "unknown". A record of the past later than this day is set
// aside.
//
// # [file]
//
// type csv | xlsx | parquet | jsonl | json | html, each also gzip-compressed under a
// name that ends in .gz (a name pattern need not say so); delimiter, one character or up to eight ("\t" for tabs); quote, one
// character or "" for none; escape, the character that stands before a quote or
// itself inside a quoted cell ("\\" for a backslash), where a quote is not
// doubled, or a line end inside one: before anything else, and in a cell without
// quotes, it sets the row aside, but for a cell of it and N alone, which is blank;
// encoding utf-8 | utf-16le | utf-16be | windows-1252
// | latin-1; header, the number of the header line, with the lines above it
// skipped, a list such as [3, 4] of lines whose cells are joined by a blank (an upper
// cell with a name below it holds for the blank ones to its right), or 0 where there is
// none, with a position for every column; decimal; thousands, "" for none, " " for any blank; dates, a pattern
// such as yyyy-mm-dd, mm/dd/yyyy, d.m.yyyy or dd.mm.yy (with century = 1970 for
// the years 1970 to 2069), or "day number 1900" or "day number 1904", or a
// list of such patterns, tried in order (mmm is a name of a month, English unless months
// names other languages; do a day as an ordinal number, 3rd or 1er), or "unix seconds" or
// "unix milliseconds" with zone, whose days count. An install day may be a month or a
// year alone: it stands for the day in the middle, and its row is marked; missing,
// markers compared after trimming without letter case, where blank is always
// one; footer and skip, regular expressions on the raw line, and skip_lines,
// numbers of lines below the header, all for lines that are no rows; sheet, a name or a number
// from 1, or for several sheets a pattern such as "20*" or "*" or a list, which reads as one table
// those that have the same header in the same line (hidden ones only by name; one with
// another header is counted as not read), where line 2000012 is row 12 of the third sheet
// that is read; last_line, "whole" (a file whose last line has no end is incomplete)
// or "any"; other_sheets, the names of a workbook's sheets that hold a table and
// are no records, struck_out = "left out", where rows of which every filled cell is
// struck out are to be skipped, and blank_headers, the numbers (from 1) of columns that have
// numbers and no header and are not needed: other such sheets and columns are
// counted as not read. In workbooks and Parquet files a number or a day that is stored as
// one is read as such, whatever way of writing is declared for texts; in a
// workbook the style of the cell tells a day, a time or percent from a number,
// and a number without a style of a day is one only with "day number" declared; the
// column names of a Parquet file are its line 1. Defaults: csv, comma, double quote, no escape, utf-8, 1, ".", none,
// yyyy-mm-dd, blank, none, 1, whole.
//
// jsonl is an object of JSON a line, json a list of them: keys are headers, in any
// order, a missing one is a blank cell, and an object within one gives the headers
// outer.inner. Each element of the list that rows names (needed only where several
// keys hold lists of objects) is a row, with what stands beside it repeated. Rows are
// numbered by their lines, or through the file where a line gives several. html is a
// table of a page, sheet its number: a cell over several columns stands in the first.
//
// table, a number from 1, is for a text or a sheet that holds several tables, one below
// the other, each read by a layout of its own: one begins with the line that has the
// names of its columns (those of [match], where it names some), and goes on to the header
// of another. Its lines are in the file name[table 2].csv; the others count as skipped.
//
// A .zip is read as a folder: each file in it is one named archive.zip/name.
//
// A key that the type of file, or the way of writing days, has no use for is an
// error, as a mistyped one is.
//
// # [constants]
//
// field = "text": a value that every line has. It is read as a cell in the
// field's own unit, with the marks of the file and days as yyyy-mm-dd.
//
// # [[step]]
//
// What is done to the rows before fields are read, in the order of the steps
// (package reshape). do says what; columns that a step makes are named like headers,
// and a [[column]] refers to them. fill_down: a blank cell of columns holds what stands
// above it. separate: the cells of column are cut by patterns, regular expressions that
// each fit a whole cell and are tried in order; what the named parts fit are the cells of
// new columns of these names. A cell that fits none leaves them blank and is counted, or,
// with required = true, is wrong. unite: columns are put together into one, with a text
// between them. first_filled: the first of columns that holds something, into one.
// missing_where: in columns, what is one of values (any, where not given) is no value
// where another column is one of the given texts. leave_out: rows of which column is one
// of values are skipped. from_name: the named parts of patterns, found in the path of
// the file in the exports folder or, with of = "sheet", in the name of the sheet, are
// columns; with checks, a day of that column outside the year (and quarter or month) is
// doubtful. from_title: the same of the
// lines above the header (of = "title") of a file or of each sheet, or of those that
// footer and skip name (of = "footer"): the first line that one of the patterns fits.
// heading_rows: a row with one filled cell that a pattern fits is no record;
// its parts hold for the rows below, those of later patterns until an earlier one fits
// again. pivot_wider: the rows of one visit, which have the same ids, become one with a
// column for each of names, the texts of column names_from; its cells are those of
// values_from, with that of units_from behind it. Other columns keep what they hold
// first. A name that stands for two different values in one visit sets the visit aside.
// lookup: the text of column is looked up, letter case aside, in the first column of
// table, a CSV in UTF-8 beside the layout; its other columns are added. unknown says
// what a text that is not there becomes: keep (its own text), missing or wrong.
// in_ranges: the number in column becomes the text of the range it lies in, as a load
// of 92 % becomes high fire; one in none of them is counted and leaves the column into
// blank or, with required = true, is wrong.
// keep_latest: of the rows of a file that have the same ids, those with the greatest
// cell in column revision stand, and the others are skipped.
// With optional = true the columns of a step may be
// absent.
//
// A layout with record = "table" is for files without records: it has name, record,
// [match], [export_day], [file] and [[step]] alone. The step join takes columns from
// its rows: those of details (readings by the id of their visit) from the row with
// the same key. A row without one keeps blank cells and is counted; one whose row is
// left out is left out with it; where several rows of a key differ, the one of the
// latest export stands, and of one day none does: what they are joined to is set
// aside.
//
// A register of units may have a row a validity period, valid_from to valid_to: on each day
// the row with the latest start is in force, and its end is the day of removal where its
// state is removed. The newest export has all periods; registers by the day of their export
// may stand beside it.
//
// # [[column]]
//
// header, as in the file after trimming (letter case aside where only one fits; a list
// of names of which a file has exactly one; position, a number from 1, where the file has no
// header), and one of field, carry (units: travels unchanged to the lists under
// that name; under contact_name, contact_phone and address pages show whom to
// call and where) or ignore = true. Beside field: unit (required for temperatures,
// lengths, powers, pressures, speeds and currents; names of package quantity; units, where
// cells have several, each behind its number: one without has the first; unit_from, the
// column that says in which unit a cell is measured, by unit_codes: where that is blank
// the cell has the unit of unit, and cannot be read without one),
// basis of CO (as measured | air-free | reference with reference_o2 | unknown; in
// mg/kWh, a mass per net heat, it is air-free; basis_from, the column that says the basis
// of each cell, by basis_codes: where it is blank or has another text the basis is
// unknown, and such texts are counted),
// gas of CO2 and O2 (dry, or wet with wet_fuel = natural gas | propane | butane:
// turned into dry with the water of complete combustion of that fuel in dry air),
// codes (export word = our word), missing and dates of this column alone,
// optional = true (the column may be absent), merged (whether a cell that is merged over
// rows, in a workbook or a page, holds for each of them or for the first; where it is not
// given, for each, but what was measured at the burner for the first). In the wide form fire and
// condition; a column with only one of them, or none, is shared by the readings
// it fits. Where the columns of CO2 and O2 all say the fire alone, a column with field =
// "condition" says the condition of a row (before and after in two rows of a visit); where
// they all say the condition alone, one with field = "fire" says the fire.
//
// Codes ignore letter case and outer blanks, nothing more. Our own words are
// known too, but for those an export is declared to write in another way:
// with codes = { "AF" = "as found" } the text "as found" is unknown.
//
// Examples gives a worked example of each record and form, and Keys what each key is
// for: fluedrift help layouts prints both.
package layout

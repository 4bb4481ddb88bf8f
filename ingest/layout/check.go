package layout

import (
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/ingest/parse"
	"fluedrift/model/day"
)

// types of file; each may be gzip-compressed too.
var types = []string{"csv", "xlsx", "parquet", "jsonl", "json", "html"}

// encodings a file may be declared in.
var encodings = []string{"utf-8", "utf-16le", "utf-16be", "windows-1252", "latin-1"}

// Bases of a CO column.
var bases = []string{"as measured", "air-free", "reference", "unknown"}

// compiler checks a layout as it was written and fills in what is made from it.
type compiler struct{ *Layout }

// compile goes through the layout from its head to its key.
func (l compiler) compile() error {
	if l.Record == Table {
		return l.compileTable()
	}
	for _, step := range []func() error{
		l.checkHead, l.checkMatch, l.checkFile, l.checkExportDay,
		func() error { return checkSteps(l.Layout) }, l.checkColumns, l.checkConstants, l.checkRequired, l.checkKey,
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// compileTable goes through the layout of a table, which has no fields.
func (l compiler) compileTable() error {
	switch {
	case l.Name == "":
		return atKey("name", "a layout needs a name")
	case l.Form != "" || l.Key != nil || l.Source != "" || len(l.Columns) > 0 || len(l.Constants) > 0:
		return atKey("record", "a table has name, record, [match], [export_day], [file] and [[step]] alone: the steps that join it say "+
			"what is taken of it")
	case l.ExportDay.From == FromColumn:
		return atKey("export_day.from", "the day of a table's export stands in its name, or is declared")
	case slices.ContainsFunc(l.Steps, func(s Step) bool { return s.Do == Join }):
		return atKey("record", "a table joins no other")
	}
	for _, step := range []func() error{
		l.checkMatch, l.checkFile, l.checkExportDay, func() error { return checkSteps(l.Layout) },
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (l compiler) checkHead() error {
	switch {
	case l.Name == "":
		return atKey("name", "a layout needs a name")
	case !slices.Contains(Records(), l.Record):
		return atKey("record", "record %q is not one of %s", l.Record, strings.Join(Records(), ", "))
	case l.Source == "":
		return atKey("source", "a layout needs a source: the group of exports its visit ids belong to")
	}
	if l.Form == "" {
		l.Form = Long
	}
	if l.Form != Long && (l.Form != Wide || l.Record != Readings) {
		return atKey("form", "form %q: write %q, or %q for readings", l.Form, Long, Wide)
	}
	return nil
}

func (l compiler) checkMatch() error {
	if len(l.Match.Names) == 0 && len(l.Match.Columns) == 0 {
		return atKey("match", "a layout needs names or columns to match files by")
	}
	for _, n := range l.Match.Names {
		if _, err := path.Match(n, "x"); err != nil || n == "" {
			return atKey("match.names", "name pattern %q is not a pattern", n)
		}
		if strings.Contains(n, "/") {
			return atKey("match.names", "name pattern %q: patterns are for the name alone, without its folders", n)
		}
	}
	return nil
}

func (l compiler) checkFile() error {
	if err := l.checkUnused(); err != nil {
		return err
	}
	f := &l.File
	set := func(v *string, def string) {
		if *v == "" {
			*v = def
		}
	}
	set(&f.Type, "csv")
	text := f.Type == "csv"
	if text {
		set(&f.Delimiter, ",")
	}
	if text || f.Type == "html" {
		set(&f.Encoding, "utf-8")
	}
	set(&f.Decimal, ".")
	if f.Dates == nil {
		f.Dates = Patterns{"yyyy-mm-dd"}
	}
	set(&f.LastLine, "whole")
	switch {
	case !slices.Contains(types, f.Type):
		return atKey("file.type", "type %q is not one of %s", f.Type, strings.Join(types, ", "))
	case f.Quote != nil && (len(*f.Quote) > 1 || *f.Quote != "" && strings.Contains(f.Delimiter, *f.Quote)):
		return atKey("file.quote", "quote %q: write one ASCII character other than the delimiter, or \"\" for none", *f.Quote)
	case f.Escape != "" && !l.escapes(f.Escape):
		return atKey("file.escape",
			"escape %q: write one ASCII character other than the delimiter and the quote, where cells have quotes", f.Escape)
	case f.Encoding != "" && !slices.Contains(encodings, f.Encoding):
		return atKey("file.encoding", "encoding %q is not one of %s", f.Encoding, strings.Join(encodings, ", "))
	case f.StruckOut != "" && !slices.Contains(struckOut, f.StruckOut):
		return atKey("file.struck_out", "struck_out %q: write \"read\" or \"left out\"", f.StruckOut)
	case f.LastLine != "whole" && f.LastLine != "any":
		return atKey("file.last_line", "last_line %q: write \"whole\" or \"any\"", f.LastLine)
	}
	if text {
		if err := checkDelimiter(l.Layout); err != nil {
			return err
		}
	}
	if err := checkTable(l.Layout); err != nil {
		return err
	}
	if err := checkHeader(l.Layout); err != nil {
		return err
	}
	if err := l.checkSheet(); err != nil {
		return err
	}
	if err := l.checkNumbers(); err != nil {
		return err
	}
	if err := checkCalendar(l); err != nil {
		return err
	}
	days, err := daysIn(l, f.Dates)
	if err != nil {
		return atKey("file.dates", "%w", err)
	}
	l.Days = days
	l.Missing = markers(f.Missing)
	return l.checkSkipped()
}

// checkSkipped compiles which lines below the header are no rows.
func (l compiler) checkSkipped() error {
	for _, k := range []struct {
		key      string
		patterns []string
	}{{"footer", l.File.Footer}, {"skip", l.File.Skip}} {
		for _, p := range k.patterns {
			re, err := regexp.Compile(p)
			if p == "" {
				return atKey("file."+k.key, "%s \"\" would fit every line", k.key)
			}
			if err != nil {
				return atKey("file."+k.key, "%s %q is not a regular expression: %v", k.key, p, err)
			}
			l.Footers = append(l.Footers, re)
		}
	}
	for _, n := range l.File.SkipLines {
		if n <= l.File.Header {
			return atKey("file.skip_lines",
				"skip_lines %d: name lines below the header in line %d; the lines above it are skipped as it is", n, l.File.Header)
		}
	}
	return nil
}

func (l compiler) checkSheet() error {
	switch s := l.File.Sheet.(type) {
	case nil:
		if l.Padded() {
			l.File.Sheet = int64(1)
		}
	case []any:
		if len(s) == 0 || l.File.Type == "html" {
			return atKey("file.sheet", "a list of sheets needs a sheet, and only a workbook has several")
		}
		for _, one := range s {
			if err := checkOneSheet(one, false); err != nil {
				return err
			}
		}
	default:
		if err := checkOneSheet(s, l.File.Type == "html"); err != nil {
			return err
		}
	}
	if l.File.SeveralSheets() && l.File.Header == 0 {
		return atKey("file.sheet", "several sheets are one table where they have one header: give the line of it, or name one sheet")
	}
	return nil
}

func (l compiler) checkNumbers() error {
	f := l.File
	one := func(s string) bool { return utf8.RuneCountInString(s) == 1 && !strings.ContainsAny(s, "0123456789+-E") }
	if !one(f.Decimal) {
		return atKey("file.decimal", "decimal mark %q is not one character", f.Decimal)
	}
	if f.Thousands != "" && (!one(f.Thousands) || f.Thousands == f.Decimal) {
		return atKey("file.thousands", "thousands mark %q: write one character other than the decimal mark, or \"\" for none", f.Thousands)
	}
	l.Numbers = parse.Numbers{Decimal: f.Decimal, Thousands: f.Thousands}
	return nil
}

func (l compiler) checkExportDay() error {
	e := &l.ExportDay
	l.Day = day.None
	if e.From == "" {
		e.From = FromUnknown
	}
	var err error
	switch e.From {
	case FromUnknown:
	case FromName:
		if l.Export, err = parse.NewDays(e.Pattern, l.File.Century); err != nil {
			return atKey("export_day.pattern", "%w", err)
		}
		if parse.Stamped(e.Pattern) || l.Export.Precision() != parse.ToDay {
			return atKey("export_day.pattern", "pattern %q: write year, month and day as they stand in the name", e.Pattern)
		}
	case FromColumn:
		if e.Column == "" {
			return atKey("export_day", "export_day from column needs the column's header")
		}
	case FromDeclared:
		iso, _ := parse.NewDays("yyyy-mm-dd", 0)
		d, _, f := iso.Parse(e.Day)
		if f != nil {
			return atKey("export_day.day", "declared day: %s", f.Message)
		}
		l.Day = d
	default:
		return atKey("export_day.from", "from %q: write name, column, declared or unknown", e.From)
	}
	for _, k := range []struct{ key, text, from string }{
		{"pattern", e.Pattern, FromName}, {"column", e.Column, FromColumn}, {"day", e.Day, FromDeclared},
	} {
		if k.text != "" && e.From != k.from {
			return atKey("export_day."+k.key, "%s is for from = %q", k.key, k.from)
		}
	}
	return nil
}

// escapes reports whether a text can be the escape of the file's cells.
func (l compiler) escapes(s string) bool {
	return len(s) == 1 && s[0] > ' ' && s[0] < 0x7f && !strings.Contains(l.File.Delimiter, s) && l.Quote() != 0 && s[0] != l.Quote()
}

// checkUnused holds a layout to keys that its type of file has a use for: one
// that is quietly left aside was meant to do something.
func (l compiler) checkUnused() error {
	f := l.File
	typ := f.Type
	if typ == "" {
		typ = "csv"
	}
	text := typ == "csv"
	for _, k := range []struct {
		key   string
		given bool
		used  bool
	}{
		{"sheet", f.Sheet != nil, typ == "xlsx" || typ == "html"},
		{"rows", f.Rows != "", typ == "jsonl" || typ == "json"},
		{"other_sheets", f.OtherSheets != nil, typ == "xlsx"},
		{"struck_out", f.StruckOut != "", typ == "xlsx"},
		{"blank_headers", f.BlankHeaders != nil, !namesColumns(typ)},
		{"delimiter", f.Delimiter != "", text},
		{"quote", f.Quote != nil, text},
		{"escape", f.Escape != "", text},
		{"encoding", f.Encoding != "", text || typ == "html"},
	} {
		if k.given && !k.used {
			return atKey("file."+k.key, "%s has no use in a file of type %q", k.key, typ)
		}
	}
	if f.Century == 0 {
		return nil
	}
	if f.Century < 1800 || f.Century > 2100 {
		return atKey("file.century", "century %d: write the first year of the hundred that two-digit years lie in, such as 1970", f.Century)
	}
	patterns := append([]string{l.ExportDay.Pattern}, f.Dates...)
	for _, c := range l.Columns {
		patterns = append(patterns, c.Dates...)
	}
	if slices.ContainsFunc(patterns, parse.ShortYear) {
		return nil
	}
	return atKey("file.century", "century is for years of two digits, and no pattern here has yy")
}

package layout

import (
	"slices"

	"fluedrift/ingest/parse"
)

// BeginsTable reports whether cells are the header of the table that a layout reads, of
// several in one file, and how many of its names they hold; 0 where they are not. It has
// all names that have to be there: those of match.columns, or else of the columns.
func BeginsTable(l *Layout, cells []string) (names int) {
	has := func(name string) bool {
		return slices.ContainsFunc(cells, func(c string) bool { return parse.Fold(c) == parse.Fold(name) })
	}
	for _, name := range l.Match.Columns {
		if !has(name) {
			return 0
		}
		names++
	}
	if names > 0 {
		return names
	}
	for i := range l.Columns {
		c := &l.Columns[i]
		if c.Ignore || c.Optional {
			continue
		}
		if !slices.ContainsFunc(c.Headers, func(name string) bool {
			return !slices.ContainsFunc(fromFile(l, name), func(s string) bool { return !has(s) })
		}) {
			return 0
		}
		names++
	}
	return names
}

// fromFile are the columns of the file that one is made from; none of one that steps make
// of something else.
func fromFile(l *Layout, name string) (all []string) {
	for _, s := range l.Sources(name) {
		made := slices.ContainsFunc(l.Steps, func(step Step) bool {
			return slices.ContainsFunc(step.Makes(), func(m string) bool { return parse.Fold(m) == parse.Fold(s) })
		})
		if !made {
			all = append(all, s)
		}
	}
	return all
}

// checkTable holds a layout of one of several tables to what can be found: its header is
// the line with its names, wherever it stands.
func checkTable(l *Layout) error {
	f := &l.File
	switch {
	case f.Table == 0:
		return nil
	case f.Table < 0:
		return atKey("file.table", "table %d: tables of a file are numbered from 1", f.Table)
	case l.Named() || f.Type == "html" || f.SeveralSheets():
		return atKey("file.table", "table is for a text or one sheet of a workbook that holds several tables, one below the other")
	case len(f.HeaderLines) > 0 && !slices.Equal(f.HeaderLines, HeaderLines{1}):
		return atKey("file.header", "with table the header is the line that has the names of the columns, whatever its number\nleave header out")
	case l.Record == Table && len(l.Match.Columns) == 0:
		return atKey("match.columns", "a table among several is found by its header: name columns of it")
	}
	return nil
}

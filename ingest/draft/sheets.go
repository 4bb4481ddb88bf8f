package draft

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// allSheets is the pattern of a workbook's sheets that are read as one table.
const allSheets = "*"

// sheetRows is how many rows of all sheets together are looked at, where no more are
// asked for: a sheet a year may have many.
const sheetRows = 5_000

// addSheets takes the rows of further sheets of a workbook that have the header of the
// first, and reads its own once more: below a header that is known, merged cells hold for
// the rows they reach over.
func (s *sniffed) addSheets(f File) {
	shape := s.file
	if l := (layout.Layout{File: shape}); !l.Padded() || shape.Header == 0 || len(s.header) == 0 || len(s.rows) == 0 {
		return
	}
	first := s.rows[0].sheet
	if rows, _, err := rowsBelow(f, shape, len(s.header), max(f.Rows, sniffRows)); err == nil && len(rows) > 0 {
		s.rows = rows
	}
	if shape.Sheet = allSheets; shape.Type != "xlsx" {
		return
	}
	rows, titles, err := rowsBelow(f, shape, len(s.header), max(f.Rows, sheetRows))
	if err == nil && len(sheetNames(rows)) > 1 && rows[0].sheet == first {
		s.file.Sheet, s.rows, s.titles = allSheets, rows, titles
	}
}

// A title is what stands above the header of a file or of a sheet, "" where nothing does.
type title struct{ file, sheet, text string }

// titlesOf are the titles of sheets, of those lines of a workbook that stand above a header
// whose first line has a number.
func titlesOf(all []sniffedRow, header int) (titles []title) {
	for _, r := range all {
		n := len(titles)
		if n == 0 || titles[n-1].sheet != r.sheet {
			titles, n = append(titles, title{file: r.file, sheet: r.sheet}), n+1
		}
		if r.line%lines.SheetLines < header {
			titles[n-1].text = parse.Trim(titles[n-1].text + "\n" + parse.Trim(strings.Join(r.cells, " ")))
		}
	}
	return titles
}

// rowsBelow reads the rows below a header of so many cells, and of further sheets, with
// what stands above the header of each.
func rowsBelow(f File, shape layout.File, width, most int) (rows []sniffedRow, titles []title, err error) {
	all, err := rowsOf(f, shape, most, func(src lines.Rows) lines.Rows {
		src.SetWidth(width)
		return lines.OverMerged(src, &layout.Layout{File: shape})
	})
	for _, r := range all {
		if !r.top && r.line > shape.Header && !lines.Blank(r.cells) {
			rows = append(rows, r)
		}
	}
	return rows, titlesOf(all, shape.HeaderLines.First()), err
}

// sheetNames are the sheets of rows, in their order.
func sheetNames(rows []sniffedRow) (names []string) {
	for _, r := range rows {
		if n := len(names); (n == 0 || names[n-1] != r.sheet) && !slices.Contains(names, r.sheet) {
			names = append(names, r.sheet)
		}
	}
	return names
}

// place is where a row stands, as file:line, or as file[sheet]:row of several sheets.
func (r sniffedRow) place(several bool) string {
	if several {
		return fmt.Sprintf("%s[%s]:%d", r.file, r.sheet, r.line%lines.SheetLines)
	}
	return fmt.Sprintf("%s:%d", r.file, r.line)
}

// periodWords are words of sheets' names that count periods, or nothing. Common
// practice, no source.
var periodWords = []string{
	"", "q", "qtr", "quarter", "quartal", "trimestre", "trim", "kwartaal", "kw", "w", "wk", "week", "woche", "semaine", "semana", "y",
	"year", "jahr", "année", "año", "jaar", "fy", "m", "month", "monat", "mois", "mes", "maand", "sheet", "tabelle", "blatt",
	"feuil", "feuille", "hoja", "blad", "foglio", "page", "part", "teil",
}

// sheetIDs takes the serial from the names of sheets: one sheet a boiler.
func sheetIDs(d *drafter) []step {
	names := sheetNames(d.rows)
	if !d.file.SeveralSheets() || len(names) < 2 ||
		slices.ContainsFunc(d.columns, func(c draftColumn) bool { return guessField(layout.Readings, c.header) == "serial" }) {
		return nil
	}
	known := 0
	for _, keys := range d.known.Keys {
		n := 0
		for _, name := range names {
			if keys[parse.Fold(name)] {
				n++
			}
		}
		known = max(known, n)
	}
	why := fmt.Sprintf("the names of %d of %d sheets are ids in another file", known, len(names))
	switch {
	case 2*known > len(names):
	case len(names) > 2 && alike(names):
		why = fmt.Sprintf("the %d sheets have names like ids, from %q on, and no column is one", len(names), names[0])
	default:
		return nil
	}
	return []step{{layout.Step{Do: layout.PartsOfName, Of: layout.OfSheet, Patterns: layout.Patterns{`^(?P<serial>.+)$`}}, why}}
}

var digits = regexp.MustCompile(`[0-9]+`)

// alike reports names that differ by their digits alone and do not count periods.
func alike(names []string) bool {
	shape := digits.ReplaceAllString(parse.Fold(names[0]), "0")
	word := strings.Trim(strings.ReplaceAll(shape, "0", ""), " .-_/")
	return strings.Contains(shape, "0") && !slices.Contains(periodWords, word) && !slices.ContainsFunc(names, func(name string) bool {
		return digits.ReplaceAllString(parse.Fold(name), "0") != shape
	})
}

// dayAndMonth is a day without a year.
var dayAndMonth = regexp.MustCompile(`^[0-9]{1,2}([./-])[0-9]{1,2}(\.?)$`)

// aYear is a year within a name.
const aYear = `(?:^|[^0-9])(?P<year>(?:19|20)[0-9]{2})(?:[^0-9]|$)`

// daysWithoutYear takes the year of days and months from the name of the file or of the
// sheet.
func daysWithoutYear(d *drafter) []step {
	for i := range d.columns {
		c := &d.columns[i]
		with, ok := withoutYear(c)
		if !ok || spent(d.steps, c.header) {
			continue
		}
		from, ok := yearOf(d)
		if !ok {
			d.notes = append(d.notes, fmt.Sprintf("the cells of column %q are days without a year, and no name or title has it", c.header))
			continue
		}
		do, whose := layout.PartsOfName, "the name of the "+from
		if from == layout.OfTitle {
			do, whose = layout.FromTitle, "what stands above the header"
		}
		return []step{
			{layout.Step{Do: do, Of: from, Patterns: layout.Patterns{aYear}}, fmt.Sprintf("the days of column %q have no year, and %s has one",
				c.header, whose)},
			{layout.Step{Do: layout.Unite, Columns: []string{c.header, "year"}, Into: "date in full", With: with}, "the day with its year"},
		}
	}
	return nil
}

// withoutYear reports a column of days and months alone, and what stands between one and
// a year.
func withoutYear(c *draftColumn) (with string, ok bool) {
	fit, filled, day := 0, 0, 0
	for _, cell := range c.cells {
		if cell == "" {
			continue
		}
		filled++
		if m := dayAndMonth.FindStringSubmatch(cell); m != nil {
			if fit == 0 && m[2] == "" {
				with = m[1]
			}
			fit++
			if first := digits.FindString(cell); len(first) == 2 && first <= "31" || len(first) == 1 {
				day++
			}
		}
	}
	isDay := guessField(layout.Readings, c.header) == "day"
	return with, isDay && filled > 0 && 10*fit >= 9*filled && day == fit
}

// yearOf is whose names, of all files or all sheets, hold a year, or else their titles.
func yearOf(d *drafter) (of string, ok bool) {
	has := regexp.MustCompile(aYear)
	lacks := func(name string) bool { return !has.MatchString(name) }
	switch sheets := sheetNames(d.rows); {
	case d.file.Type == "xlsx" && !slices.ContainsFunc(sheets, lacks):
		return layout.OfSheet, true
	case !slices.ContainsFunc(d.names, lacks):
		return layout.OfFile, true
	case d.file.HeaderLines.First() > 1 && !slices.ContainsFunc(d.titles, func(t title) bool { return lacks(t.text) }):
		return layout.OfTitle, true
	}
	return "", false
}

package ingest

import (
	"fmt"

	"fluedrift/ingest/book"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// fewSheets is how many of several sheets are named in what is said of a file.
const fewSheets = 3

// sheetsRead says which sheets of a workbook were read as one table, and how their lines
// are numbered; nothing where one was.
func sheetsRead(rows lines.Rows) []string {
	b, ok := rows.(*book.Rows)
	if !ok {
		return nil
	}
	names := b.Sheets()
	if names == nil {
		return nil
	}
	said, last := lines.Quoted(names), len(names)
	if last > fewSheets {
		said = lines.Quoted(names[:fewSheets]) + fmt.Sprintf(" to %q", names[last-1])
	}
	return []string{fmt.Sprintf("%d sheets are read as one: %s; line %d is row 12 of sheet %q", last, said,
		(last-1)*lines.SheetLines+12, names[last-1])}
}

// mergedCells says what merged cells hold for; nothing of a file that has none.
func mergedCells(rows lines.Rows, merged *lines.Merged) (all []string) {
	if merged == nil {
		return nil
	}
	all = merged.Notes()
	if b, ok := rows.(*book.Rows); ok && b.OddMerges() != "" {
		all = append(all, b.OddMerges())
	}
	return all
}

// in names the sheet and row of a fault where several sheets are read.
func (f *cellFault) in(l *layout.Layout, ln *lines.Line) {
	if l.File.SeveralSheets() && ln.Sheet != "" {
		f.message = lines.InSheet(ln.Sheet, ln.Number) + ": " + f.message
	}
}

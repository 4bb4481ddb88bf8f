package page

import (
	"fmt"
	"io"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// sheetView is a sheet as its template takes it.
type sheetView struct {
	words.Sheet
	Rows     []string // room for the new readings, one line each
	Cautions []string
}

// sheetsView is a page of sheets; with a detail, that of one unit.
type sheetsView struct {
	Title  string
	Lines  []string
	Detail *detailParts
	Sheets []sheetView
}

func sheetOf(s watch.Sheet) sheetView {
	v := sheetView{Sheet: words.SheetOf(&s), Cautions: words.Cautions()}
	for _, condition := range []judge.Condition{judge.AsFound, judge.AsLeft} {
		for _, f := range v.Fires {
			v.Rows = append(v.Rows, f.Label+", "+string(condition))
		}
	}
	return v
}

// WriteSheets writes the sheets that go along in the truck, one a unit, each on
// a page of its own when printed.
func WriteSheets(w io.Writer, sheets []watch.Sheet, asOf day.Day) error {
	v := sheetsView{
		Title: "Sheets, as of " + words.Day(asOf),
		Lines: []string{fmt.Sprintf("%s, in the order of the list; one page each.", words.Units(len(sheets)))},
	}
	for _, s := range sheets {
		v.Sheets = append(v.Sheets, sheetOf(s))
	}
	if err := pages.ExecuteTemplate(w, "sheets", v); err != nil {
		return fmt.Errorf("write sheets: %w", err)
	}
	return nil
}

// WriteUnitPage writes the page of one unit: what the list's page opens to, and
// its sheet.
func WriteUnitPage(w io.Writer, d Detail, s watch.Sheet, asOf day.Day) error {
	v := sheetsView{
		Title:  "Unit " + d.Story.Unit.Serial + ", as of " + words.Day(asOf),
		Detail: detailView(d, (*words.Standing).All, len(d.Story.Entries)), Sheets: []sheetView{sheetOf(s)},
	}
	if err := pages.ExecuteTemplate(w, "sheets", v); err != nil {
		return fmt.Errorf("write unit %q: %w", d.Story.Unit.Serial, err)
	}
	return nil
}

package page

import (
	"fmt"
	"html/template"
	"io"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// sheetView is a sheet as its template takes it.
type sheetView struct {
	words.Sheet
	Chart template.HTML // "" on the page of a unit, which has a larger one
	Rows  []string      // room for the new readings, one line each
}

// sheetsView is a page of sheets; with a detail, that of one unit.
type sheetsView struct {
	headView
	Detail   *detailView
	Sheets   []sheetView
	Cautions []string
}

func sheetOf(in units.Set, s watch.Sheet) sheetView {
	v := sheetView{Sheet: words.SheetOf(in, &s)}
	for _, condition := range []judge.Condition{judge.AsFound, judge.AsLeft} {
		for _, f := range v.Fires {
			v.Rows = append(v.Rows, f.Label+", "+string(condition))
		}
	}
	return v
}

// WriteSheets writes the sheets that go along in the truck, one a unit, two on a printed
// page where they fit.
func WriteSheets(w io.Writer, in units.Set, sheets []watch.Sheet, asOf day.Day) error {
	of := fmt.Sprintf("%s in the order of the list, as of %s", words.Units(len(sheets)), words.Day(asOf))
	v := sheetsView{headView: headOf("Sheets", of, asOf, nil, "", ""), Cautions: words.Cautions()}
	for i := range sheets {
		sheet := sheetOf(in, sheets[i])
		sheet.Chart = template.HTML(drawChart(sheets[i].Chart, sheetChart))
		v.Sheets = append(v.Sheets, sheet)
	}
	if err := pages.ExecuteTemplate(w, "sheets", v); err != nil {
		return fmt.Errorf("write sheets: %w", err)
	}
	return nil
}

// WriteUnitPage writes the page of one unit: what the list's page opens to, its
// readings, and its sheet.
func WriteUnitPage(w io.Writer, in units.Set, d Detail, s watch.Sheet, asOf day.Day) error {
	u := &d.Story.Unit
	title := u.Site
	if title == "" {
		title = u.Serial
	}
	v := sheetsView{
		headView: headOf(title, words.RowAbout(u)+". As of "+words.Day(asOf), asOf, nil, "", ""),
		Detail:   detailOf(in, d, wideChart), Sheets: []sheetView{sheetOf(in, s)}, Cautions: words.Cautions(),
	}
	v.Detail.Middle = template.HTML(drawChart(d.Chart, detailChart))
	v.Detail.Narrow = template.HTML(drawChart(d.Chart, phoneChart))
	v.Detail.Parts = partsOf(&d.Story.Line)
	if v.Detail.History = historyOf(in, &d.Story); v.Detail.History == nil {
		v.Detail.readings(in, d.Story.Entries)
	}
	if err := pages.ExecuteTemplate(w, "sheets", v); err != nil {
		return fmt.Errorf("write unit %q: %w", d.Story.Unit.Serial, err)
	}
	return nil
}

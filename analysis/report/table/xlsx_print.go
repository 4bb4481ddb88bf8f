package table

import (
	"slices"
	"strconv"

	"github.com/xuri/excelize/v2"

	"fluedrift/analysis/report/words"
)

// leadColumns stand first on the sheet of the list, so that a person sees who, how
// urgent and why without going sideways, and print.
var leadColumns = []string{
	"rank", "group", "site", "serial", "area", "out_probability", "days_avoided", "planned_day", "co_ppm_air_free", "reasons",
}

// leading puts the lead columns of the watchlist first; its others follow in their
// order. Other lists stay as they are.
func leading(t Table) Table {
	if t.Name != "watchlist" {
		return t
	}
	var order []int
	for _, name := range leadColumns {
		if i := ColumnAt(t, name); i >= 0 {
			order = append(order, i)
		}
	}
	for i := range t.Columns {
		if !slices.Contains(order, i) {
			order = append(order, i)
		}
	}
	columns := make([]Column, len(order))
	rows := make([][]Cell, len(t.Rows))
	for k, i := range order {
		columns[k] = t.Columns[i]
	}
	for n, row := range t.Rows {
		rows[n] = make([]Cell, len(order))
		for k, i := range order {
			rows[n][k] = row[i]
		}
	}
	t.Columns, t.Rows = columns, rows
	return t
}

// Columns that a page holds in letters that can be read; of a wider list the first
// print.
const printedColumns = 16

// print makes a list print landscape, as wide as the paper, its headers on every page
// and a caution at the foot.
func (b *workbook) print(t Table) error {
	fit, turn, wide, high := true, "landscape", 1, 0
	if err := b.book.SetSheetProps(t.Name, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := b.book.SetPageLayout(t.Name, &excelize.PageLayoutOptions{
		Orientation: &turn, FitToWidth: &wide, FitToHeight: &high,
	}); err != nil {
		return err
	}
	if err := b.book.SetHeaderFooter(t.Name, &excelize.HeaderFooterOptions{
		OddHeader: "&L&A, as of " + words.Day(t.AsOf), OddFooter: "&L&8" + words.Caution() + "&R&8&P of &N",
	}); err != nil {
		return err
	}
	if err := b.define("_xlnm.Print_Titles", t.Name, "$1:$"+strconv.Itoa(headRows)); err != nil {
		return err
	}
	if len(t.Columns) <= printedColumns {
		return nil
	}
	columns := printedColumns
	if i := ColumnAt(t, "reasons"); i >= 0 && i < columns {
		columns = i + 1
	}
	last, err := excelize.ColumnNumberToName(columns)
	if err != nil {
		return err
	}
	rows := min(len(t.Rows), sheetRows-headRows) + headRows
	return b.define("_xlnm.Print_Area", t.Name, "$A$1:$"+last+"$"+strconv.Itoa(rows))
}

// define gives a part of a sheet one of the names that programs print by.
func (b *workbook) define(name, sheet, part string) error {
	return b.book.SetDefinedName(&excelize.DefinedName{Name: name, RefersTo: "'" + sheet + "'!" + part, Scope: sheet})
}

// headings makes the styles of headings.
func (b *workbook) headings() (err error) {
	bold := &excelize.Style{Font: &excelize.Font{Bold: true}, NumFmt: 49}
	if b.bold, err = b.book.NewStyle(bold); err != nil {
		return err
	}
	bold.Alignment = &excelize.Alignment{WrapText: true, Vertical: "bottom"}
	if b.head, err = b.book.NewStyle(bold); err != nil {
		return err
	}
	b.name, err = b.book.NewStyle(&excelize.Style{Font: &excelize.Font{Size: 8, Color: "5A554C"}, NumFmt: 49})
	return err
}

package ingest

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"fluedrift/ingest/lines"
)

// sheetOf is a sheet of a workbook made for a test.
type sheetOf struct {
	name   string
	rows   [][]any
	hidden bool
}

// writeSheets writes a workbook of such sheets (excelize v2.11.1).
func writeSheets(t require.TestingT, path string, sheets []sheetOf) {
	b := excelize.NewFile()
	defer b.Close()
	for i, s := range sheets {
		if i == 0 {
			require.NoError(t, b.SetSheetName("Sheet1", s.name))
		} else {
			_, err := b.NewSheet(s.name)
			require.NoError(t, err)
		}
		for k, row := range s.rows {
			require.NoError(t, b.SetSheetRow(s.name, fmt.Sprintf("A%d", k+1), &row))
		}
		if s.hidden {
			require.NoError(t, b.SetSheetVisible(s.name, false))
		}
	}
	require.NoError(t, b.SaveAs(path))
}

// headed are rows below a title and the header of bookLayout.
func headed(rows ...[]any) [][]any {
	return append([][]any{{"Quay office"}, {"Serial", "Day", "Fire", "CO2", "CO", "Tech"}}, rows...)
}

func visitOf(serial string, day int, co2 any) []any {
	return []any{serial, 45000 + day, "high", co2, 17.5, "T1"}
}

func manySheets(sheet string) string { return strings.Replace(bookLayout, `"Tests"`, sheet, 1) }

// Sheets of one header are one table; another header, a hidden sheet and one that the
// layout knows are not in it, and are said to be so.
func TestSheetsAreReadAsOneTable(t *testing.T) {
	o := folder(t, map[string]string{"book.toml": strings.Replace(manySheets(`"*"`), "header = 2", "header = 2\nother_sheets = [\"Prices\"]",
		1)})
	other := [][]any{{"Other"}, {"Serial", "Day", "Fire", "CO", "CO2", "Tech"}, visitOf("K9", 1, 1), visitOf("K9", 2, 1), visitOf("K9", 3, 1)}
	writeSheets(t, filepath.Join(o.Folder, "book.xlsx"), []sheetOf{
		{name: "Notes", rows: [][]any{{"Read me"}, {"one row a visit"}}},
		{name: "2022", rows: headed(visitOf("K1", 1, 9.1), []any{"K2", 45001, "high", 9.1, "bad", "T1"})},
		{name: "2023", rows: other},
		{name: "2024", rows: headed(visitOf("K1", 400, 9.2), []any{}, []any{"K2", "n.d.", "high", 9, 17}, []any{"Sum", 3})},
		{name: "Prices", rows: other},
		{name: "Old", rows: headed(visitOf("K1", 2, 9), visitOf("K2", 2, 9), visitOf("K3", 2, 9)), hidden: true},
	})
	r, w := readInto(t, o)
	f := r.Files[0]
	require.Equal(t, WasRead, f.Outcome, f.Message)
	assert.Equal(t, []int64{10, 2, 1, 3, 1, 3}, []int64{f.Lines, f.Header, f.Blank, f.Skipped, f.SetAside, f.Parsed}, f.Message)
	assert.Equal(t, []Unread{
		{What: `sheet "Old": it is hidden`, Lines: 4, Sheet: true},
		{What: `sheet "2023": its header is not that of the sheet "2022"`, Lines: 4, Sheet: true},
	}, f.Unread)
	assert.Equal(t, []string{"line=3 serial=K1", "line=4 serial=K2", "line=1000003 serial=K1"}, shown(w["record.visits"], "line", "serial"))
	require.Len(t, w["source.set_aside"], 1)
	assert.Equal(t, "line=1000005 reason=unreadable-date", w["source.set_aside"][0].show("line", "reason"))
	assert.Contains(t, w["source.set_aside"][0]["message"], `sheet "2024", row 5: `)
	assert.Contains(t, w["source.cells_set_aside"][0]["message"], `sheet "2022", row 4: `)
	assert.Contains(t, f.Message, `2 sheets are read as one: "2022", "2024"; line 1000012 is row 12 of sheet "2024"`)
}

func shown(rows []rowMap, columns ...string) (all []string) {
	for _, row := range rows {
		all = append(all, row.show(columns...))
	}
	return all
}

// Property: sheets in any order, by any way of naming them all, give the same records,
// and as many lines of each outcome as they give one by one.
func TestSheetsInAnyOrder(t *testing.T) {
	fewChecks(t, 12)
	rapid.Check(t, func(rt *rapid.T) {
		var sheets []sheetOf
		for i := range rapid.IntRange(2, 4).Draw(rt, "sheets") {
			s := sheetOf{name: fmt.Sprint(2020 + i), rows: headed()}
			for k := range rapid.IntRange(0, 4).Draw(rt, "rows") {
				co2 := rapid.SampledFrom([]any{9.1, "9,2", "bad"}).Draw(rt, "co2")
				row := visitOf(fmt.Sprintf("K%d-%d", i, k), i, co2)
				s.rows = append(s.rows, rapid.SampledFrom([][]any{row, row, {}, {"Sum", 3}, {"K", "no day", "high"}}).Draw(rt, "row"))
			}
			sheets = append(sheets, s)
		}
		sum, apart := countsOf(rt, t, sheets, "1", true)
		for _, by := range []string{`"*"`, `"20??"`, `["2020", 2, "20*"]`} {
			got, records := countsOf(rt, t, rapid.Permutation(sheets).Draw(rt, "order"), by, false)
			require.Equal(rt, sum, got, by)
			require.Equal(rt, apart, records, by)
		}
	})
}

// countsOf reads sheets, of one workbook or each by itself, and gives the lines of each
// outcome and the records.
func countsOf(rt *rapid.T, t *testing.T, sheets []sheetOf, by string, each bool) (sum [7]int64, records []string) {
	o := folder(t, map[string]string{"book.toml": manySheets(by)})
	if each {
		for _, s := range sheets {
			writeSheets(rt, filepath.Join(o.Folder, "book "+s.name+".xlsx"), []sheetOf{s})
		}
	} else {
		writeSheets(rt, filepath.Join(o.Folder, "book.xlsx"), sheets)
	}
	r, w := readInto(t, o)
	for _, f := range r.Files {
		require.Equal(rt, WasRead, f.Outcome, f.Message)
		for i, n := range []int64{f.Lines, f.Header, f.Blank, f.Skipped, f.SetAside, f.Parsed, f.CellsSetAside} {
			sum[i] += n
		}
	}
	records = append(shown(w["record.visits"], "serial", "day"), shown(w["source.set_aside"], "reason", "value")...)
	for _, row := range w["record.readings"] {
		records = append(records, row.show("fire", "co2_percent", "co_ppm"))
	}
	slices.Sort(records)
	return sum, records
}

// What one sheet says holds for no row of the next.
func TestSheetsAreFilledEachByItself(t *testing.T) {
	o := folder(t, map[string]string{"book.toml": manySheets(`["a", "b"]`) + "[[step]]\ndo = \"fill_down\"\ncolumns = [\"Serial\"]\n"})
	writeSheets(t, filepath.Join(o.Folder, "book.xlsx"), []sheetOf{
		{name: "a", rows: headed(visitOf("K1", 1, 9), visitOf("", 2, 9))}, {name: "b", rows: headed(visitOf("", 3, 9), visitOf("K2", 4, 9))},
	})
	r, w := readInto(t, o)
	assert.Equal(t, []string{"line=3 serial=K1", "line=4 serial=K1", "line=1000004 serial=K2"}, shown(w["record.visits"], "line", "serial"))
	assert.Equal(t, map[string]int64{blankRequired: 1}, r.Files[0].Reasons)
}

// A workbook that has none of the sheets, or only sheets of other headers, is refused.
func TestSheetsRefused(t *testing.T) {
	rows := []sheetOf{{name: "a", rows: headed(visitOf("K1", 1, 9))}}
	for sheet, want := range map[string]string{`"20*"`: lines.NoHeader, `["b", "c"]`: lines.NoHeader, `"a*"`: ""} {
		o := folder(t, map[string]string{"book.toml": manySheets(sheet)})
		writeSheets(t, filepath.Join(o.Folder, "book.xlsx"), rows)
		r, _ := readInto(t, o)
		assert.Equal(t, want, r.Files[0].Reason, sheet)
	}
	o := folder(t, map[string]string{"book.toml": manySheets(`"*"`)})
	writeSheets(t, filepath.Join(o.Folder, "book.xlsx"), []sheetOf{{name: "n", rows: [][]any{{"x", "y"}, {"p", "q", "r"}, {1, 2, 3}}}})
	r, _ := readInto(t, o)
	assert.Equal(t, Refused, r.Files[0].Outcome)
}

// draftedBook reads a workbook by the layout that is drafted for it.
func draftedBook(t *testing.T, name string, sheets []sheetOf) (File, fakeWarehouse, string) {
	t.Helper()
	o := folder(t, nil)
	writeSheets(t, filepath.Join(o.Folder, name), sheets)
	all, err := Propose(context.Background(), o, nil, func(_, key string) string { return map[string]string{"condition": "as found"}[key] })
	require.NoError(t, err)
	read := folder(t, map[string]string{"x.toml": all[0].Text})
	o.Layouts = read.Layouts
	r, w := readInto(t, o)
	require.Equal(t, WasRead, r.Files[0].Outcome, "%s\n%s", r.Files[0].Message, all[0].Text)
	return r.Files[0], w, all[0].Text
}

// A draft reads all months of a workbook, whose name has the year of their days.
func TestDraftsMonthsOfAYear(t *testing.T) {
	var sheets []sheetOf
	for i, name := range []string{"Januar", "Februar", "Mai"} {
		day := func(d int) string { return fmt.Sprintf("%02d.%02d.", d, i+1) }
		sheets = append(sheets, sheetOf{name: name, rows: [][]any{
			{"Boiler", "Date", "High fire CO2 %", "Low fire CO2 %"}, {"K1", day(4), "9,1", 8.5}, {"K2", day(17), 9.3, 8.8},
		}})
	}
	f, w, text := draftedBook(t, "tests 2021.xlsx", sheets)
	assert.Contains(t, text, "\nsheet = \"*\"")
	assert.Equal(t, []int64{9, 6, 0}, []int64{f.Lines, f.Parsed, f.SetAside}, text)
	assert.Equal(t, []string{"2021-01-04", "2021-01-17", "2021-02-04", "2021-02-17", "2021-03-04", "2021-03-17"}, days(w))
}

func days(w fakeWarehouse) (all []string) {
	for _, v := range w["record.visits"] {
		all = append(all, v["day"])
	}
	return all
}

// A draft takes the serial from the names of sheets that are ids, and not from those of
// periods.
func TestDraftsASheetABoiler(t *testing.T) {
	of := func(names ...string) (sheets []sheetOf) {
		for i, name := range names {
			sheets = append(sheets, sheetOf{name: name, rows: [][]any{
				{"Date", "High fire CO2 %", "Low fire CO2 %"}, {fmt.Sprintf("2024-03-%d", 10+i), 9.1, 8.5}, {fmt.Sprintf("2025-03-%d", 10+i), 9.2, 8.6},
			}})
		}
		return sheets
	}
	f, w, text := draftedBook(t, "cards.xlsx", of("B-001", "B-002", "B-017"))
	assert.EqualValues(t, 6, f.Parsed, text)
	assert.Equal(t, []string{"serial=B-001", "serial=B-001", "serial=B-002", "serial=B-002", "serial=B-017", "serial=B-017"},
		shown(w["record.visits"], "serial"))
	o := folder(t, nil)
	writeSheets(t, filepath.Join(o.Folder, "cards.xlsx"), of("Q1", "Q2", "Q3"))
	all, err := Propose(context.Background(), o, nil, func(string, string) string { return "" })
	require.NoError(t, err)
	assert.NotContains(t, all[0].Text, "from_name")
}

package table

import (
	"bytes"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"fluedrift/analysis/report/words"
	"fluedrift/model/day"
)

// hostileTable has cells that spreadsheets like to spoil: sixteen digits,
// leading zeros, what looks like a formula, a date or a number with an exponent.
func hostileTable() Table {
	t := Table{Name: "hostile", AsOf: asOf, Columns: []Column{
		{Name: "serial", Meaning: "serial", Source: "register", Kind: Text},
		{Name: "n", Meaning: "number", Source: "judged", Kind: Number},
		{Name: "d", Meaning: "day", Source: "judged", Kind: Day},
	}}
	for i, s := range []string{
		"1234567890123456", "0012345678901234", "007", "1E5", "=1+1", "+49", "-x", "@x", "2-1", "true",
		" padded ", "ü’漢", "a\"b,c", "", "<b>&amp;", "_x0041_x0042_",
	} {
		t.Rows = append(t.Rows, []Cell{TextCell(s), NumberCell(float64(i)+0.125, 2), DayCell(asOf - day.Day(i))})
	}
	t.Rows = append(t.Rows, []Cell{TextCell("last"), {}, {}})
	return t
}

// someTable is a short one, whose cells a spreadsheet writes back as they are.
func someTable() Table {
	t := hostileTable()
	t.Name, t.Head, t.Rows = "watchlist", []string{"three lines"}, t.Rows[:3]
	return t
}

func workbookOf(t *testing.T, lists ...Table) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, WriteXLSX(&b, lists))
	return b.Bytes()
}

// Every cell read back is the cell that was written, in its type.
func TestWorkbookCellByCell(t *testing.T) {
	tables := []Table{someTable(), hostileTable()}
	book, err := excelize.OpenReader(bytes.NewReader(workbookOf(t, tables...)))
	require.NoError(t, err)
	defer book.Close()
	require.Equal(t, []string{"about", "watchlist", "hostile"}, book.GetSheetList())
	for _, table := range tables {
		for i, c := range table.Columns {
			for row, want := range []string{headerOf(c), c.Name} {
				got, err := book.GetCellValue(table.Name, at(t, i, row))
				require.NoError(t, err)
				assert.Equal(t, want, got)
			}
		}
		for r, row := range table.Rows {
			for i, c := range row {
				checkCell(t, book, table.Name, at(t, i, r+2), c)
			}
		}
		panes, err := book.GetPanes(table.Name)
		require.NoError(t, err)
		assert.True(t, panes.Freeze && panes.YSplit == 2, "the headers stay")
		filters, err := book.GetTables(table.Name)
		require.NoError(t, err)
		require.Len(t, filters, 1)
	}
}

func at(t *testing.T, column, row int) string {
	t.Helper()
	name, err := excelize.CoordinatesToCellName(column+1, row+1)
	require.NoError(t, err)
	return name
}

// checkCell holds one cell of a workbook against what it was made from.
func checkCell(t *testing.T, book *excelize.File, sheet, cell string, c Cell) {
	t.Helper()
	shown, err := book.GetCellValue(sheet, cell)
	require.NoError(t, err)
	raw, err := book.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	kind, err := book.GetCellType(sheet, cell)
	require.NoError(t, err)
	formula, err := book.GetCellFormula(sheet, cell)
	require.NoError(t, err)
	assert.Empty(t, formula)
	assert.Equal(t, words.Visible(c.String()), shown, "%s %s", sheet, cell)
	switch {
	case c.Missing():
	case c.kind == Text:
		assert.Contains(t, []excelize.CellType{excelize.CellTypeInlineString, excelize.CellTypeSharedString}, kind, cell)
	case c.kind == Number:
		v, err := strconv.ParseFloat(raw, 64)
		require.NoError(t, err)
		want, _ := strconv.ParseFloat(c.String(), 64)
		assert.Equal(t, want, v)
	case c.kind == Day:
		n, err := strconv.ParseFloat(raw, 64)
		require.NoError(t, err)
		day, err := excelize.ExcelDateToTime(n, false)
		require.NoError(t, err)
		assert.Equal(t, c.String(), day.Format(time.DateOnly))
	}
}

// The same lists are the same bytes, and the front sheet says what they speak
// for.
func TestWorkbookIsTheSame(t *testing.T) {
	table := someTable()
	first := workbookOf(t, table, hostileTable())
	for range 5 {
		require.True(t, bytes.Equal(first, workbookOf(t, table, hostileTable())))
	}
	book, err := excelize.OpenReader(bytes.NewReader(first))
	require.NoError(t, err)
	rows, err := book.GetRows("about")
	require.NoError(t, err)
	var all []string
	for _, r := range rows {
		all = append(all, strings.Join(r, "|"))
	}
	text := strings.Join(all, "\n")
	assert.Contains(t, text, "As of|2 Mar 2026")
	assert.Contains(t, text, "watchlist|"+strconv.Itoa(len(table.Rows))+"|three lines")
	for _, c := range words.Cautions() {
		assert.Contains(t, text, c)
	}
}

// LibreOffice, where it is installed, makes the same CSV of a sheet as WriteCSV.
func TestWorkbookInLibreOffice(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("LibreOffice is not installed")
	}
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("LibreOffice takes seconds; set FLUEDRIFT_LONG=1")
	}
	table := someTable()
	dir := t.TempDir()
	path := filepath.Join(dir, "book.xlsx")
	require.NoError(t, os.WriteFile(path, workbookOf(t, table), 0o644))
	out, err := exec.Command(office, "-env:UserInstallation=file://"+dir+"/profile", "--headless", "--convert-to",
		`csv:Text - txt - csv (StarCalc):44,34,76,1,,1033,false,true,true,false,false,2`, "--outdir", dir, path).CombinedOutput()
	require.NoError(t, err, string(out))
	made, err := os.Open(filepath.Join(dir, "book-watchlist.csv"))
	require.NoError(t, err)
	defer made.Close()
	got, err := csv.NewReader(made).ReadAll()
	require.NoError(t, err)
	want := [][]string{{}, {}}
	for _, c := range table.Columns {
		want[0], want[1] = append(want[0], headerOf(c)), append(want[1], c.Name)
	}
	for _, row := range table.Rows {
		var texts []string
		for _, c := range row {
			texts = append(texts, words.Visible(c.String()))
		}
		want = append(want, texts)
	}
	assert.Equal(t, want, got)
}

// The workbook opens on the list; a list prints landscape, as wide as the paper, with
// its headers on every page and no more columns than can be read. Reasons stand among
// the first ten.
func TestWorkbookPrints(t *testing.T) {
	wide := Table{Name: "watchlist", AsOf: asOf}
	for _, name := range []string{
		"rank", "group", "serial", "site", "a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k", "l", "reasons",
		"m",
	} {
		wide.Columns = append(wide.Columns, Column{Name: name, Kind: Text, Short: map[string]string{"rank": "#"}[name]})
	}
	wide.Rows = [][]Cell{make([]Cell, len(wide.Columns))}
	wide.Rows[0][16] = TextCell("because")
	book, err := excelize.OpenReader(bytes.NewReader(workbookOf(t, wide, hostileTable())))
	require.NoError(t, err)
	defer book.Close()
	assert.Equal(t, "watchlist", book.GetSheetName(book.GetActiveSheetIndex()))
	rows, err := book.GetRows("watchlist")
	require.NoError(t, err)
	assert.Equal(t, []string{"rank", "group", "site", "serial", "reasons", "a"}, rows[1][:6])
	assert.Equal(t, "because", rows[2][4])
	for _, sheet := range []string{"watchlist", "hostile"} {
		layout, err := book.GetPageLayout(sheet)
		require.NoError(t, err)
		assert.Equal(t, []any{"landscape", 1, 0}, []any{*layout.Orientation, *layout.FitToWidth, *layout.FitToHeight})
		props, err := book.GetSheetProps(sheet)
		require.NoError(t, err)
		assert.True(t, *props.FitToPage)
		foot, err := book.GetHeaderFooter(sheet)
		require.NoError(t, err)
		assert.Contains(t, foot.OddFooter, words.Caution())
		assert.LessOrEqual(t, len(foot.OddFooter), 255, "what spreadsheets take")
	}
	named := map[string]string{}
	for _, n := range book.GetDefinedName() {
		named[n.Scope+" "+n.Name] = n.RefersTo
	}
	assert.Equal(t, map[string]string{
		"watchlist _xlnm.Print_Titles": "'watchlist'!$1:$2", "watchlist _xlnm.Print_Area": "'watchlist'!$A$1:$E$3",
		"hostile _xlnm.Print_Titles": "'hostile'!$1:$2",
	}, named)
}

package ingest

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// markedBook writes a workbook with hidden sheets, rows and columns, notes, and struck-out
// cells (excelize v2.11.1).
func markedBook(t *testing.T, path string) {
	t.Helper()
	writeSheets(t, path, []sheetOf{
		{name: "Tests", rows: headed(visitOf("K1", 1, 9), visitOf("K2", 2, 9.1), visitOf("K3", 3, 9.2), visitOf("K4", 4, 9.3),
			visitOf("K5", 5, 9.4))},
		{name: "Lists", rows: [][]any{{"a", "b"}}, hidden: true},
	})
	b, err := excelize.OpenFile(path)
	require.NoError(t, err)
	defer b.Close()
	struck, err := b.NewStyle(&excelize.Style{Font: &excelize.Font{Strike: true}})
	require.NoError(t, err)
	require.NoError(t, b.SetCellStyle("Tests", "A4", "F4", struck), "the row of K2")
	require.NoError(t, b.SetCellStyle("Tests", "D5", "D5", struck), "a cell of K3")
	require.NoError(t, b.SetCellStyle("Tests", "G6", "G6", struck), "a blank cell of K4")
	require.NoError(t, b.SetCellRichText("Tests", "F7", []excelize.RichTextRun{
		{Text: "T1", Font: &excelize.Font{Strike: true}}, {Text: "T2"},
	}), "a part of a cell of K5")
	visible := false
	require.NoError(t, b.SetRowVisible("Tests", 6, visible))
	require.NoError(t, b.SetRowVisible("Tests", 40, visible), "a row of nothing")
	require.NoError(t, b.SetColVisible("Tests", "E", visible))
	require.NoError(t, b.SetColVisible("Tests", "K:Z", visible), "columns of nothing")
	for _, at := range []string{"B5", "A3"} {
		require.NoError(t, b.AddComment("Tests", excelize.Comment{Cell: at, Author: "B", Paragraph: []excelize.RichTextRun{{Text: "ask again"}}}))
	}
	require.NoError(t, b.Save())
}

// TestWhatAWorkbookHides: inspect says what is hidden, struck out or has a note, and how
// often; all of it is read but for struck-out rows that a layout leaves out.
func TestWhatAWorkbookHides(t *testing.T) {
	o := folder(t, map[string]string{"book.toml": bookLayout})
	path := filepath.Join(o.Folder, "book.xlsx")
	markedBook(t, path)
	one, err := InspectFile(context.Background(), o, path)
	require.NoError(t, err)
	want := []string{
		`1 hidden sheet: "Lists"`, "1 hidden row, read like any other; the first is row 6",
		"1 hidden column, read like any other; the first is column E",
		"1 struck-out row, read like any other; the first is row 4", "2 struck-out cells, read like any other; the first is D5",
		"2 cells with a note, which is not read; the first is B5",
	}
	assert.Equal(t, want, one.Marked)
	assert.EqualValues(t, 5, one.Parsed)
	bare, err := InspectFile(context.Background(), Options{}, path)
	require.NoError(t, err)
	assert.Equal(t, want, bare.Marked, "without a layout")
	r, w := readInto(t, o)
	assert.EqualValues(t, 5, r.Files[0].Parsed)
	all := stored(w)

	for _, steps := range []string{"", "[[step]]\ndo = \"fill_down\"\ncolumns = [\"Tech\"]\n"} {
		leaving := folder(t, map[string]string{"book.toml": strings.Replace(bookLayout, "header = 2", "header = 2\nstruck_out = \"left out\"",
			1) + steps})
		markedBook(t, filepath.Join(leaving.Folder, "book.xlsx"))
		r, w = readInto(t, leaving)
		f := r.Files[0]
		assert.Equal(t, []int64{7, 4, 2, 1}, []int64{f.Lines - f.Blank, f.Parsed, f.Skipped, f.Header}, "%s", f.Message)
		assert.Equal(t, map[string]int64{"struck out": 1}, f.Left)
		assert.Less(t, len(stored(w)), len(all))
		assert.Contains(t, f.Message, "left out, struck out: 1 line")
	}
}

package ingest

import (
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

// mergedSheet is a sheet below its header of bookLayout, with runs of cells merged over
// rows: the first of a run is the value of each.
type mergedSheet struct {
	rows [][]any
	runs [][3]int // column, first row and last, from 0
}

// drawMerged draws a sheet in which serial, day and technician may be merged over rows.
func drawMerged(t *rapid.T) (s mergedSheet) {
	for i := range rapid.IntRange(1, 8).Draw(t, "rows") {
		kind := rapid.IntRange(0, 9).Draw(t, "kind")
		row := []any{
			fmt.Sprintf("K%d", i%3), 45000 + i, rapid.SampledFrom([]string{"high", "low"}).Draw(t, "fire"), 9 + float64(kind)/10, 17.5,
			"T1",
		}
		switch kind {
		case 0:
			row = []any{"", "", "", "", "", ""} // a blank row stays one
		case 1:
			row[3] = "bad"
		}
		s.rows = append(s.rows, row)
	}
	for _, column := range []int{0, 1, 5} {
		for at := 0; at < len(s.rows); {
			end := min(at+rapid.IntRange(0, 3).Draw(t, "run"), len(s.rows)-1)
			if end > at && s.rows[at][0] != "" {
				s.runs = append(s.runs, [3]int{column, at, end})
			}
			at = end + 1
		}
	}
	return s
}

// filled is the sheet with each cell of a run filled, and without them.
func (s mergedSheet) cells(filled bool) (all [][]any) {
	for _, row := range s.rows {
		all = append(all, append([]any(nil), row...))
	}
	for _, r := range s.runs {
		for i := r[1] + 1; i <= r[2]; i++ {
			all[i][r[0]] = ""
			if filled && s.rows[i][2] != "" {
				all[i][r[0]] = all[r[1]][r[0]]
			}
		}
	}
	return all
}

// write writes the sheet as a workbook (excelize v2.11.1).
func (s mergedSheet) write(t require.TestingT, path string, merged bool) {
	b := excelize.NewFile()
	defer b.Close()
	require.NoError(t, b.SetSheetName("Sheet1", "Tests"))
	rows := headed(s.cells(!merged)...)
	for k := range rows {
		require.NoError(t, b.SetSheetRow("Tests", fmt.Sprintf("A%d", k+1), &rows[k]))
	}
	for _, r := range s.runs {
		if merged {
			column := string(rune('A' + r[0]))
			require.NoError(t, b.MergeCell("Tests", fmt.Sprint(column, r[1]+3), fmt.Sprint(column, r[2]+3)))
		}
	}
	require.NoError(t, b.SaveAs(path))
}

// page writes the sheet as a table of a page.
func (s mergedSheet) page(merged bool) string {
	var b strings.Builder
	b.WriteString("<table>")
	all := s.cells(!merged)
	for i, row := range headed(all...) {
		b.WriteString("<tr>")
		for column, cell := range row {
			rows, covered := 1, false
			for _, r := range s.runs {
				if merged && r[0] == column && r[1] == i-2 {
					rows = r[2] - r[1] + 1
				}
				covered = covered || merged && r[0] == column && r[1] < i-2 && i-2 <= r[2]
			}
			if !covered {
				fmt.Fprintf(&b, "<td rowspan=%d>%s</td>", rows, html.EscapeString(fmt.Sprint(cell)))
			}
		}
		b.WriteString("</tr>")
	}
	return b.String() + "</table>"
}

// outcome is what became of the lines of a file, and all that is stored of them.
func outcome(f File, w fakeWarehouse) []string {
	return append(stored(w), fmt.Sprint(f.Outcome, f.Lines, f.Header, f.Blank, f.Skipped, f.SetAside, f.Parsed))
}

// Property: a sheet with merged cells, and the same sheet with each of them filled, read
// the same, from a workbook and from a page.
func TestMergedReadsAsFilled(t *testing.T) {
	pages := strings.NewReplacer("*.xlsx", "*.html", `"xlsx"`, `"html"`, `"Tests"`, "1", "day number 1900",
		`day number 1900`).Replace(bookLayout)
	seeds := 10
	if long() {
		seeds = 500
	}
	for seed := range seeds {
		s := rapid.Custom(drawMerged).Example(seed)
		var books, tables [][]string
		for _, merged := range []bool{true, false} {
			o := folder(t, map[string]string{"book.toml": bookLayout})
			s.write(t, filepath.Join(o.Folder, "book.xlsx"), merged)
			r, w := readInto(t, o)
			books = append(books, outcome(r.Files[0], w))
			r, w = readInto(t, folder(t, map[string]string{"page.toml": pages, "book.html": s.page(merged)}))
			tables = append(tables, outcome(r.Files[0], w))
		}
		require.Equal(t, books[1], books[0], "seed %d", seed)
		require.Equal(t, tables[1], tables[0], "seed %d", seed)
	}
}

// Merged cells over the columns and lines of a header are its, and what is wrong with
// merged ranges is said.
func TestMergedHeaders(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.xlsx")
	b := excelize.NewFile()
	defer b.Close()
	require.NoError(t, b.SetSheetName("Sheet1", "Tests"))
	for i, row := range [][]any{
		{"Serial", "Day", "Burner", "", "", "Tech"},
		{"", "", "Fire", "CO2", "CO", ""},
		{"K1", 45001, "high", 9.1, 17, "T1"},
		{"K2", "", "high", 9.2, 17, "T1"},
		{"", "", "", "", "", ""},
	} {
		require.NoError(t, b.SetSheetRow("Tests", fmt.Sprintf("A%d", i+1), &row))
	}
	for _, r := range [][2]string{{"A1", "A2"}, {"B1", "B2"}, {"C1", "E1"}, {"F1", "F2"}, {"B3", "B5"}} {
		require.NoError(t, b.MergeCell("Tests", r[0], r[1]))
	}
	require.NoError(t, b.SaveAs(path))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	l := strings.NewReplacer("header = 2", "header = [1, 2]", `"Fire"`, `"Burner Fire"`, `"CO2"`, `"Burner CO2"`, `"CO"`,
		`"Burner CO"`).Replace(bookLayout)
	r, w := readInto(t, folder(t, map[string]string{"book.toml": l, "book.xlsx": string(text)}))
	f := r.Files[0]
	require.Equal(t, WasRead, f.Outcome, f.Message)
	assert.Equal(t, []int64{5, 2, 1, 2, 0}, []int64{f.Lines, f.Header, f.Blank, f.Parsed, f.SetAside}, "%v", f.Reasons)
	assert.Equal(t, []string{"2023-03-16", "2023-03-16"}, days(w))
	assert.Contains(t, f.Message, `1 cell of column "Day" takes the value of the cell that is merged over it; the first is in line 4`)

	book := rawBook(rawRow, strings.ReplaceAll(rawRow, "3", "4"))
	book[4][1] = strings.Replace(book[4][1], "</worksheet>",
		`<mergeCells><mergeCell ref="B4:B3"/><mergeCell ref="F3:F9"/><mergeCell ref="F4:F5"/></mergeCells></worksheet>`, 1)
	f, _ = readBook(t, packedParts(t, book))
	assert.EqualValues(t, 2, f.Parsed)
	assert.Contains(t, f.Message, `merged ranges of sheet "Tests" that are none, or overlap, hold for nothing: 2, the first "B4:B3", "F4:F5"`)
}

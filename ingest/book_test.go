package ingest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"fluedrift/ingest/parse"
)

const bookLayout = `
name = "book"
record = "readings"
source = "quay"
[match]
names = ["book*.xlsx"]
[file]
type = "xlsx"
sheet = "Tests"
header = 2
decimal = ","
thousands = "."
dates = "day number 1900"
missing = ["n/a"]
footer = ["^Sum"]
[constants]
condition = "as found"
[[column]]
header = "Serial"
field = "serial"
[[column]]
header = "Day"
field = "day"
[[column]]
header = "Fire"
field = "fire"
[[column]]
header = "CO2"
field = "co2"
[[column]]
header = "CO"
field = "co"
[[column]]
header = "Tech"
field = "technician"
`

// writeBook writes a workbook by another implementation (excelize v2.11.1).
func writeBook(t *testing.T, path string, date1904 bool, cells map[string]any) {
	t.Helper()
	b := excelize.NewFile()
	defer b.Close()
	_, err := b.NewSheet("Tests")
	require.NoError(t, err)
	require.NoError(t, b.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &date1904}))
	require.NoError(t, b.MergeCell("Tests", "A1", "F1"))
	for at, v := range cells {
		if f, ok := v.(formula); ok {
			require.NoError(t, b.SetCellFormula("Tests", at, string(f)))
			continue
		}
		require.NoError(t, b.SetCellValue("Tests", at, v))
	}
	require.NoError(t, b.SaveAs(path))
}

type formula string

func bookCells() map[string]any {
	cells := map[string]any{"A1": "Quay office, tests", "G2": " "}
	for i, h := range []string{"Serial", "Day", "Fire", "CO2", "CO", "Tech"} {
		cells[string(rune('A'+i))+"2"] = h
	}
	put := func(row string, values ...any) {
		for i, v := range values {
			if v != nil {
				cells[string(rune('A'+i))+row] = v
			}
		}
	}
	put("3", "004417", 45448, "high", 9.2, 1.125, "T1")   // 1.125 stored as a number
	put("4", "004417", "45448", "low", "9,2", "1.125", 7) // typed as texts: 1125 ppm
	put("6", 4417, 45448.75, "high", 9, nil, nil)         // row 5 is not stored
	put("7", 7.0013e21, 45448, "high", 9.2, 17, nil)      // an identifier lost to arithmetic
	put("8", "BX-1", "2024-06-05", "high", 9.2, 17, nil)
	put("9", "BX-1", 45448, "high", "#DIV/0!", 17, nil)
	put("10", "BX-1", 45448, "high", formula("1+1"), 17, nil) // its value was never stored
	put("11", "BX-1", 45448, "high", 9.2, 17, nil, nil, "beyond the header")
	put("12", "Sum", nil, nil, 9.2)
	put("13", "BX-1", 45448, "high", "n/a", 17)
	return cells
}

// TestBook: numbers stored as numbers are read with a point, texts by the
// declared grammar. 45448 is 2024-06-05 in the 1900 system.
func TestBook(t *testing.T) {
	o := folder(t, map[string]string{"book.toml": bookLayout})
	writeBook(t, filepath.Join(o.Folder, "book.xlsx"), false, bookCells())
	r, w := readInto(t, o)
	f := r.Files[0]
	assert.Equal(t, []string{
		"3 read fire=high co2_percent=9.2 co_ppm=1.125 co2_decimals=1 co_decimals=3",
		"4 read fire=low co2_percent=9.2 co_ppm=1125 co2_decimals=1 co_decimals=0",
		"6 read minute=1080 fire=high co2_percent=9 marks=co:missing",
		"7 aside identifier-damaged", "8 aside unreadable-date", "9 aside formula-error-cell", "10 aside unreadable-number",
		"11 aside wrong-field-count", "13 read fire=high co_ppm=17 marks=co2:missing",
	}, fate(f, w, "record.readings", "minute", "fire", "co2_percent", "co_ppm", "co2_decimals", "co_decimals", "marks"), f.Message)
	assert.Equal(t, []int64{13, 1, 1, 2, 5, 4}, []int64{f.Lines, f.Header, f.Blank, f.Skipped, f.SetAside, f.Parsed})
	assert.Equal(t, "serial=004417 day=2024-06-05 technician=T1", w["record.visits"][0].show("serial", "day", "technician"))
	assert.Equal(t, "serial=4417 day=2024-06-05", w["record.visits"][1].show("serial", "day", "technician"))
}

// TestBookMarks: a byte order mark in a text of a workbook belongs to no cell.
func TestBookMarks(t *testing.T) {
	o := folder(t, map[string]string{"book.toml": bookLayout})
	plain, marked := bookCells(), bookCells()
	for at, v := range marked {
		if text, ok := v.(string); ok && text != "" {
			marked[at] = parse.Mark + text[:1] + parse.Mark + text[1:]
		}
	}
	var all [][]string
	for _, cells := range []map[string]any{plain, marked} {
		writeBook(t, filepath.Join(o.Folder, "book.xlsx"), false, cells)
		r, w := readInto(t, o)
		all = append(all, append(fate(r.Files[0], w, "record.readings", "fire", "co2_percent", "co_ppm", "marks"),
			w["record.visits"][0].show("serial", "day", "technician")))
	}
	assert.Equal(t, all[0], all[1])
}

func TestBookRefused(t *testing.T) {
	good := filepath.Join(t.TempDir(), "good.xlsx")
	writeBook(t, good, false, bookCells())
	whole, err := os.ReadFile(good)
	require.NoError(t, err)
	later := filepath.Join(t.TempDir(), "later.xlsx")
	writeBook(t, later, true, bookCells())
	other, err := os.ReadFile(later)
	require.NoError(t, err)
	for _, c := range []struct{ name, bytes, layout, want string }{
		{"cut", string(whole[:len(whole)-200]), bookLayout, "incomplete incomplete-file"},
		{"text", "Serial;Day\n", bookLayout, "refused not-a-text-file"},
		{"days from 1904", string(other), bookLayout, "refused convention-contradicted"},
		{"no such sheet", string(whole), strings.Replace(bookLayout, `"Tests"`, `"Trials"`, 1), "refused no-header"},
		{"sheet 1 is empty", string(whole), strings.Replace(bookLayout, `"Tests"`, `1`, 1), "refused empty-file"},
		{"header elsewhere", string(whole), strings.Replace(bookLayout, `header = 2`, `header = 3`, 1), "refused no-header"},
	} {
		r, w := readInto(t, folder(t, map[string]string{"book.toml": c.layout, "book.xlsx": c.bytes}))
		assert.Equal(t, []string{c.want}, fate(r.Files[0], w, ""), c.name)
	}
	r, _ := readInto(t, folder(t, map[string]string{"book.toml": strings.Replace(strings.Replace(bookLayout, `"Tests"`, `2`, 1), "1900",
		"1904", 1), "book.xlsx": string(other)}))
	assert.Equal(t, WasRead, r.Files[0].Outcome, "the sheet by number, days from 1904 as declared")
}

// TestBookRandomDamage: a workbook with a byte changed or cut anywhere is read
// or refused, and never ends the run.
func TestBookRandomDamage(t *testing.T) {
	good := filepath.Join(t.TempDir(), "good.xlsx")
	writeBook(t, good, false, bookCells())
	whole, err := os.ReadFile(good)
	require.NoError(t, err)
	for i := 0; i < len(whole); i += 97 {
		bad := append([]byte(nil), whole...)
		bad[i] ^= 0x55
		r, _ := readInto(t, folder(t, map[string]string{"book.toml": bookLayout, "book.xlsx": string(bad)}))
		assert.NotEmpty(t, r.Files[0].Outcome)
	}
}

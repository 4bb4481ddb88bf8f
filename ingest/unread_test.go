package ingest

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// Sheets with a table that no layout reads are found, and named in the layout
// they are known. The workbook is by another implementation (excelize v2.11.1).
func TestSheetsThatNoLayoutReads(t *testing.T) {
	b := excelize.NewFile()
	defer b.Close()
	fill := func(sheet string, rows, cells int) {
		_, err := b.NewSheet(sheet)
		require.NoError(t, err)
		for i := range rows {
			for k := range cells {
				at, err := excelize.CoordinatesToCellName(k+1, 2*i+1) // every other row is not stored
				require.NoError(t, err)
				require.NoError(t, b.SetCellValue(sheet, at, fmt.Sprintf("%s %d", sheet, i)))
			}
		}
	}
	fill("Tests", 0, 0)
	for i, h := range []string{"Serial", "Day", "Fire", "CO2", "CO", "Tech"} {
		require.NoError(t, b.SetCellValue("Tests", string(rune('A'+i))+"2", h))
	}
	require.NoError(t, b.SetSheetRow("Tests", "A3", &[]any{"004417", 45448, "high", 9.2, 20, "T1"}))
	fill("Old tests", 40, 6)
	fill("Notes", 40, 1)
	fill("Two rows", 2, 6)
	fill("Codes", 3, 2)
	o := folder(t, map[string]string{"book.toml": bookLayout})
	require.NoError(t, b.SaveAs(filepath.Join(o.Folder, "book.xlsx")))
	r, _ := readInto(t, o)
	require.Equal(t, []Unread{{`sheet "Old tests"`, 40, true}, {`sheet "Codes"`, 3, true}}, r.Files[0].Unread)
	require.Equal(t, `not read: sheet "Old tests" (40 lines); not read: sheet "Codes" (3 lines)`, r.Files[0].Message)
	require.EqualValues(t, 1, r.Files[0].Parsed)

	o = folder(t, map[string]string{"book.toml": strings.Replace(bookLayout, "header = 2\n",
		"header = 2\nother_sheets = [\"Old tests\", \"Codes\"]\n", 1)})
	require.NoError(t, b.SaveAs(filepath.Join(o.Folder, "book.xlsx")))
	r, _ = readInto(t, o)
	require.Nil(t, r.Files[0].Unread)
}

// Numbers under a blank header are found, and known where the layout says so.
func TestNumbersUnderABlankHeader(t *testing.T) {
	layout := func(keys string) string {
		return "name = \"plants\"\nrecord = \"plants\"\nsource = \"s\"\n[match]\nnames = [\"p*.csv\"]\n[file]\n" + keys +
			"[[column]]\nheader = \"Plant\"\nfield = \"plant\"\n[[column]]\nheader = \"Serial\"\nfield = \"serial\"\n"
	}
	var text strings.Builder
	text.WriteString("Plant,,Serial, ,,\n")
	for i := range 4 {
		fmt.Fprintf(&text, "P%d,9.%d,S%d,note,,%s\n", i, i, i, strings.Repeat("7,5"[:1], i/2))
	}
	r, _ := readInto(t, folder(t, map[string]string{"p.csv": text.String(), "p.toml": layout("")}))
	require.Equal(t, []Unread{{"column 2, which has no header", 4, false}}, r.Files[0].Unread, "two numbers are too few, notes are none")
	r, _ = readInto(t, folder(t, map[string]string{"p.csv": text.String(), "p.toml": layout("blank_headers = [2]\n")}))
	require.Nil(t, r.Files[0].Unread)
	for cell, number := range map[string]bool{
		"9.1": true, "9,1": true, " <5 ": true, "2024-03-05": true, "12 %": true, "": false, "-": false,
		"n/a": false, "12a": false,
	} {
		require.Equal(t, number, isNumber(cell), cell)
	}
}

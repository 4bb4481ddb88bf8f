package ingest

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// styled is a number with a format of its own: one of the built-in ones by
// number, or a code.
type styled struct {
	value  any
	format int
	code   string
}

// writeStyled writes a workbook by another implementation (excelize v2.11.1).
func writeStyled(t *testing.T, path string, date1904 bool, rows [][]any) {
	t.Helper()
	b := excelize.NewFile()
	defer b.Close()
	require.NoError(t, b.SetSheetName("Sheet1", "Tests"))
	require.NoError(t, b.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &date1904}))
	for i, row := range rows {
		for j, v := range row {
			at, _ := excelize.CoordinatesToCellName(j+1, i+2)
			s, ok := v.(styled)
			if !ok {
				require.NoError(t, b.SetCellValue("Tests", at, v))
				continue
			}
			style := excelize.Style{NumFmt: s.format}
			if s.code != "" {
				style.CustomNumFmt = &s.code
			}
			id, err := b.NewStyle(&style)
			require.NoError(t, err)
			require.NoError(t, b.SetCellValue("Tests", at, s.value))
			require.NoError(t, b.SetCellStyle("Tests", at, at, id))
		}
	}
	require.NoError(t, b.SaveAs(path))
}

// TestBookStyles: a number that the workbook shows as a day is one, whatever
// way of writing days is declared, and is no gas, no CO and no serial; one that
// it shows in percent is a hundred times as great. 45448 is 2024-06-05 in the
// 1900 system, 43986 in that of 1904 (ECMA-376 part 1, 18.17.4.1, from memory);
// 9.1 typed as a day of this year becomes 9 January.
func TestBookStyles(t *testing.T) {
	row := func(serial, day, co2, co any) []any { return []any{serial, day, "high", co2, co, "T1"} }
	date := func(v any) styled { return styled{value: v, format: 14} }
	rows := [][]any{
		{"Serial", "Day", "Fire", "CO2", "CO", "Tech"},
		row("A-1", date(45448), 9.1, 17), // 3
		row("A-1", styled{value: 45448.75, code: `dd\.mm\.yyyy hh:mm`}, 9.2, 17),
		row("A-1", "05.06.2024", 9.3, 17),
		row("A-1", 45448, 9.4, 17),                                               // no style says that it is a day
		row("A-1", date(45448), date(45300), 17),                                 // 7: 9.1 turned into a day
		row("A-1", date(45448), 9.1, styled{value: 45300, code: "d-mmm"}),        // 8: CO of 45,300 ppm it is not
		row(date(45448), date(45448), 9.1, 17),                                   // 9
		row(4417.0, date(45448), styled{value: 0.091, format: 10}, 17),           // 10: 9.1 %
		row("A-1", date(45448), 9.1, styled{value: 0.0017, code: "0.00%"}),       // 11: CO is declared in ppm
		row("A-1", date(45448), styled{value: 9.5, code: `0.0"d"`}, 17),          // 12: a letter in quotes
		row("A-1", date(45448), styled{value: 9.6, code: `[Red]0.0;\-0.0_d`}, 0), // 13
		row("A-1", styled{value: 0.5, format: 20}, 9.1, 17),                      // 14: a time is no day
		row("A-1", date(60), 9.1, 17),                                            // 15: never was
	}
	l := strings.NewReplacer(`"day number 1900"`, `"dd.mm.yyyy"`, `decimal = ","`, "", `thousands = "."`, "").Replace(bookLayout)
	o := folder(t, map[string]string{"book.toml": l})
	writeStyled(t, filepath.Join(o.Folder, "book.xlsx"), false, rows)
	r, w := readInto(t, o)
	assert.Equal(t, []string{
		"3 read co2_percent=9.1 co2_decimals=1", "4 read minute=1080 co2_percent=9.2 co2_decimals=1", "5 read co2_percent=9.3 co2_decimals=1",
		"6 aside unreadable-date",
		"7 aside unreadable-number", "8 read co2_percent=9.1 co2_decimals=1 cell unreadable-number", "9 aside identifier-damaged",
		"10 read co2_percent=9.1 co2_decimals=1", "11 read co2_percent=9.1 co2_decimals=1 cell unit-mark-mismatch",
		"12 read co2_percent=9.5 co2_decimals=1", "13 read co2_percent=9.6 co2_decimals=1", "14 aside unreadable-date",
		"15 aside unreadable-date",
	}, fate(r.Files[0], w, "record.readings", "minute", "co2_percent", "co2_decimals"), r.Files[0].Message)
	for _, v := range w["record.visits"] {
		assert.Equal(t, "2024-06-05", v["day"])
	}
	require.Len(t, w["record.visits"], 2)
	assert.Equal(t, "4417", w["record.visits"][1]["serial"])

	for name, day := range map[string]any{"book.xlsx": date(43986), "book2.xlsx": styled{value: 43986.5, code: "yyyy-mm-dd hh:mm"}} {
		o = folder(t, map[string]string{"book.toml": l})
		writeStyled(t, filepath.Join(o.Folder, name), true, [][]any{rows[0], row("A-1", day, 9.1, 17)})
		_, w = readInto(t, o)
		require.Len(t, w["record.visits"], 1, name)
		assert.Equal(t, "2024-06-05", w["record.visits"][0]["day"], "the system is the workbook's")
	}
}

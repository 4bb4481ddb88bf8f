package ingest

import (
	"fmt"
	"maps"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// fileKeys are the [file] keys of the tests' layout that a case may replace.
type fileKeys map[string]string

// readingsLayout is a layout of the long form. The header it declares:
const readingsHeader = "Visit,Serial,Date,Why,Tech,Meter,Fire,Taken,CO2,O2,CO,Flue,Air"

func readingsLayout(keys fileKeys) string {
	all := fileKeys{"dates": `"yyyy-mm-dd"`, "thousands": `","`}
	maps.Copy(all, keys)
	var b strings.Builder
	b.WriteString("name = \"tests\"\nrecord = \"readings\"\nform = \"long\"\nsource = \"mill\"\n[match]\nnames = [\"tests*.csv\"]\n")
	if day, ok := all["export"]; ok {
		fmt.Fprintf(&b, "[export_day]\n%s\n", day)
		delete(all, "export")
	}
	b.WriteString("[file]\n")
	var names []string
	for k := range all {
		names = append(names, k)
	}
	sort.Strings(names)
	for _, k := range names {
		fmt.Fprintf(&b, "%s = %s\n", k, all[k])
	}
	for _, c := range [][2]string{
		{"Visit", `field = "visit_id"`},
		{"Serial", `field = "serial"`},
		{"Date", `field = "day"`},
		{"Why", `field = "reason"`},
		{"Tech", `field = "technician"`},
		{"Meter", `field = "analyzer"`},
		{"Fire", `field = "fire"`},
		{"Taken", `field = "condition"` + "\n" + `codes = { "found-so" = "as found", "left-so" = "as left" }`},
		{"CO2", `field = "co2"`},
		{"O2", `field = "o2"`},
		{"CO", "field = \"co\"\nbasis = \"as measured\""},
		{"Flue", "field = \"flue_temp\"\nunit = \"degC\""},
		{"Air", "field = \"air_temp\"\nunit = \"degC\""},
	} {
		fmt.Fprintf(&b, "[[column]]\nheader = %q\n%s\n", c[0], c[1])
	}
	return b.String()
}

// asLines joins lines with line ends.
func asLines(l ...string) string { return strings.Join(l, "\n") + "\n" }

// readingsFile is an export that readingsLayout reads.
func readingsFile(rows ...string) string {
	return asLines(append([]string{readingsHeader}, rows...)...)
}

// readingsFolder is an export beside a layout with keys for it.
func readingsFolder(t *testing.T, keys fileKeys, text string) Options {
	return folder(t, map[string]string{"tests.toml": readingsLayout(keys), "tests.csv": text})
}

// fate lists what became of a file: "refused reason", or its lines, each with
// "read COLUMNS", with the cells set aside behind it, or "aside reason"; lines that are neither are left out.
func fate(f File, w fakeWarehouse, table string, columns ...string) []string {
	if f.Outcome != WasRead {
		return []string{f.Outcome + " " + f.Reason}
	}
	byLine := map[int]string{}
	key := fmt.Sprint(f.Key)
	at := func(r rowMap) (n int) { _, _ = fmt.Sscan(r["line"], &n); return n }
	for _, r := range w[table] {
		if r["file_key"] == key {
			byLine[at(r)] += "read " + r.show(columns...)
		}
	}
	for _, r := range w["source.set_aside"] {
		if r["file_key"] == key {
			byLine[at(r)] += "aside " + r["reason"]
		}
	}
	for _, r := range w["source.cells_set_aside"] {
		if r["file_key"] == key {
			byLine[at(r)] += " cell " + r["reason"]
		}
	}
	var numbers []int
	for n := range byLine {
		numbers = append(numbers, n)
	}
	sort.Ints(numbers)
	var out []string
	for _, n := range numbers {
		out = append(out, fmt.Sprintf("%d %s", n, strings.ReplaceAll(strings.TrimSpace(byLine[n]), "  ", " ")))
	}
	return out
}

// TestKindsOfFault has a case or more for each kind of fault an export can
// have. What is right follows from the layout in the case and the grammar of
// package parse.
func TestKindsOfFault(t *testing.T) {
	second, incomplete := goodRowWith("A1", "A2"), []string{"incomplete incomplete-file"}
	otherHeader := "serial,VISIT,date,why,tech,meter,fire,taken,co2,o2,co,flue,air"
	anyEnd := fileKeys{"last_line": `"any"`}
	for _, c := range []struct {
		name    string
		keys    fileKeys
		text    string
		columns []string
		want    []string
	}{
		{
			"gases and temperatures", nil, readingsFile(goodRowWith(",181", ",181.5")),
			[]string{"fire", "condition", "co2_percent", "o2_percent", "co_ppm", "co_basis", "flue_temp_c", "air_temp_c"},
			[]string{
				"2 read fire=high condition=as found co2_percent=9.1 o2_percent=4.9 co_ppm=17 co_basis=as measured " +
					"flue_temp_c=181.5 air_temp_c=19",
			},
		},
		{
			"decimals of gases and temperatures", nil, readingsFile(goodRowWith(",181", ",181.5")),
			[]string{"co2_decimals", "flue_decimals", "air_decimals"},
			[]string{"2 read co2_decimals=1 flue_decimals=1 air_decimals=0"},
		},

		{
			"identifier damaged", nil, readingsFile(
				"A1,007310,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A2,7310,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A3,7.31E+03,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"1.2E+05,7310,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A5,31E2,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A6,2019-03-04 00:00:00,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A7,#REF!,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"),
			[]string{"visit_row"},
			[]string{
				"2 read visit_row=0", "3 read visit_row=1",
				"4 aside identifier-damaged", "5 aside identifier-damaged",
				"6 read visit_row=2",
				"7 aside identifier-damaged", "8 aside formula-error-cell",
			},
		},

		{
			"decimal comma",
			fileKeys{"delimiter": `";"`, "decimal": `","`, "thousands": `"."`},
			asLines(strings.ReplaceAll(readingsHeader, ",", ";"),
				"A1;BX-7;2023-02-06;annual;T1;M1;high;found-so;9,1;4,9;1.150;181,5;19",
				"A2;BX-7;2023-02-06;annual;T1;M1;high;found-so;9.1;4,9;17;181,5;19",
				"A3;BX-7;2023-02-06;annual;T1;M1;high;found-so;9,1;4,9;1.15;181,5;19"),
			[]string{"co2_percent", "co_ppm"},
			[]string{
				"2 read co2_percent=9.1 co_ppm=1150", "3 read co_ppm=17 cell unreadable-number",
				"4 read co2_percent=9.1 cell unreadable-number",
			},
		},

		{
			"day first",
			fileKeys{"dates": `"dd/mm/yyyy"`},
			readingsFile(
				"A1,BX-7,05/06/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A2,BX-7,25/06/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A3,BX-7,06/25/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A4,BX-7,31/06/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"),
			[]string{"visit_row"},
			[]string{"2 read visit_row=0", "3 read visit_row=1", "4 aside impossible-date", "5 aside impossible-date"},
		},

		{
			"month first, declared day first",
			fileKeys{"dates": `"dd/mm/yyyy"`},
			readingsFile(
				"A1,BX-7,06/25/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A2,BX-7,06/26/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A3,BX-7,06/07/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"),
			nil,
			[]string{"refused convention-contradicted"},
		},
		{
			"half of the days fail: no contradiction",
			fileKeys{"dates": `"dd/mm/yyyy"`},
			readingsFile(
				"A1,BX-7,06/25/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A2,BX-7,06/07/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"),
			[]string{"visit_row"},
			[]string{"2 aside impossible-date", "3 read visit_row=0"},
		},
		{
			"a day that fails either way: no contradiction",
			fileKeys{"dates": `"dd/mm/yyyy"`},
			readingsFile(
				"A1,BX-7,06/25/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A2,BX-7,31/31/2023,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"),
			nil,
			[]string{"2 aside impossible-date", "3 aside impossible-date"},
		},

		{
			"invisible characters", nil, readingsFile(
				"A1, BX-7\u00a0,2023-02-06,annual,T1,M1,high,found-so,\u00a09.1,4.9\t,17,181,\u22124.5",
				"A2,BX-7,2023-02-06,annual,T1,M1,high,found-so,９.１,4.9,17,181,19",
				"A3,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,1\u00a0150,181,19",
				"A4,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,–4"),
			[]string{"co2_percent", "o2_percent", "air_temp_c"},
			[]string{
				"2 read co2_percent=9.1 o2_percent=4.9 air_temp_c=-4.5",
				"3 read co2_percent=9.1 o2_percent=4.9 air_temp_c=19",
				"4 read co2_percent=9.1 o2_percent=4.9 air_temp_c=19 cell unreadable-number",
				"5 read co2_percent=9.1 o2_percent=4.9 cell unreadable-number",
			},
		},

		{
			"missing and limits",
			fileKeys{"missing": `["n/a", "-"]`},
			readingsFile(
				"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,N/A,181,19",
				"A2,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,<3,181,19",
				"A3,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,>4000,181,19",
				"A4,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,OL,181,-",
				"A5,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,5-10,181,19",
				"A6,BX-7,2023-02-06,annual,T1,M1,high,found-so,#N/A,4.9,17,181,19",
				"A7,BX-7,2023-02-06,annual,T1,M1,high,found-so,,4.9,0,181,19",
				"A8,BX-7,2023-02-06,annual,T1,M1,high,found-so,,-,17,181,19",
				"A9,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,none,181,19"),
			[]string{"co2_percent", "co_ppm", "co_limit", "co_basis", "marks"},
			[]string{
				"2 read co2_percent=9.1 marks=co:missing",
				"3 read co2_percent=9.1 co_ppm=3 co_limit=below co_basis=as measured marks=co:below-limit",
				"4 read co2_percent=9.1 co_ppm=4000 co_limit=above co_basis=as measured marks=co:above-limit",
				"5 read co2_percent=9.1 co_limit=above co_basis=as measured marks=co:above-limit air_temp:missing",
				"6 read co2_percent=9.1 marks=co:unreadable cell unreadable-number",
				"7 read co_ppm=17 co_basis=as measured marks=co2:unreadable cell formula-error-cell",
				"8 read co_ppm=0 co_basis=as measured marks=co2:missing",
				"9 read co_ppm=17 co_basis=as measured marks=co2:missing o2:missing",
				"10 read co2_percent=9.1 marks=co:unreadable cell unreadable-number",
			},
		},

		{
			"unit marks", nil, readingsFile(
				"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1 %,4.9%,17ppm,181°C,19 C",
				"A2,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,358 F,19",
				"A3,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,0.002 %,181,19",
				"A4,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1 ppm,4.9,17,181,19"),
			[]string{"co2_percent", "flue_temp_c"},
			[]string{
				"2 read co2_percent=9.1 flue_temp_c=181", "3 read co2_percent=9.1 cell unit-mark-mismatch",
				"4 read co2_percent=9.1 flue_temp_c=181 cell unit-mark-mismatch", "5 read flue_temp_c=181 cell unit-mark-mismatch",
			},
		},

		{
			"two columns of one name", nil, asLines(readingsHeader+",co2", goodRow+",8.8"),
			nil,
			[]string{"refused duplicate-column"},
		},
		{
			"two columns of one name that nobody maps", nil, asLines(readingsHeader+",Note,Note", goodRow+",x,y"),
			[]string{"co2_percent"},
			[]string{"2 read co2_percent=9.1"},
		},
		{
			"column missing", nil, asLines(strings.Replace(readingsHeader, "O2,CO,", "O2,", 1), goodRowWith(",17", "")),
			nil,
			[]string{"refused missing-column"},
		},
		{
			"header in other letters and order", nil, asLines(otherHeader, goodRowWith("A1,BX-7", "BX-7,A1")),
			[]string{"co2_percent"},
			[]string{"2 read co2_percent=9.1"},
		},
		{"no header", nil, asLines("A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"), nil, []string{"refused no-header"}},
		{
			"header further down",
			fileKeys{"header": "3"},
			asLines("Mill,tests", "", readingsHeader, "A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"),
			[]string{"co2_percent"},
			[]string{"4 read co2_percent=9.1"},
		},

		{
			"totals, header again, blank",
			fileKeys{"footer": `["^Printed"]`},
			readingsFile(
				"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"Sum,,,,,,,,9.1,4.9,17,,", strings.ToUpper(readingsHeader), " ,,,,,,,,,,,,\t", "", "Rows: 1", "Printed 2023-03-01",
				"A2,BX-7,2023-02-06,annual,T1,M1,low,found-so,9.1,4.9,17,181,19"),
			[]string{"fire"},
			[]string{"2 read fire=high", "3 aside footer-line", "7 aside footer-line", "9 read fire=low"},
		},
		{
			"wrong width", nil, readingsFile(
				"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9,1,4.9,17,181,19",
				"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181",
				"Totalfina,BX-7"),
			nil,
			[]string{"2 aside wrong-field-count", "3 aside wrong-field-count", "4 aside wrong-field-count"},
		},

		{"cut copy", nil, strings.TrimSuffix(readingsFile(goodRow), "9\n"), nil, incomplete},
		{"cut in a character", nil, readingsHeader + "\nA1,BX-7,2023-02-06,annual,\xc3", nil, incomplete},
		{"cut in a character, no line end declared", anyEnd, readingsFile() + "A1,BX-7,2023-02-06,annual,T\xc3", nil, incomplete},
		{
			"no line end, declared",
			anyEnd,
			readingsHeader + "\nA1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
			[]string{"co2_percent"},
			[]string{"2 read co2_percent=9.1"},
		},

		{
			"mark and CR LF", nil, "\xef\xbb\xbf" + strings.ReplaceAll(readingsFile(goodRow), "\n", "\r\n"),
			[]string{"air_temp_c"},
			[]string{"2 read air_temp_c=19"},
		},
		{
			"CR alone", nil, strings.ReplaceAll(readingsFile(goodRow), "\n", "\r"),
			[]string{"air_temp_c"},
			[]string{"2 read air_temp_c=19"},
		},

		{
			"open quote", nil, readingsFile(goodRowWith("T1", `"T1`), second),
			[]string{"visit_row"},
			[]string{"2 aside unterminated-quote", "3 read visit_row=0"},
		},
		{
			"open quote, closed far below", nil,
			readingsFile(goodRowWith("T1", `"T1`), second, goodRowWith("A1", "A3", "T1", `"T1, jr"`)),
			[]string{"visit_row"},
			[]string{"2 aside unterminated-quote", "3 read visit_row=0", "4 read visit_row=1"},
		},
		{
			"quote that swallows one row of the right width", nil,
			readingsFile(goodRowWith("T1", `"T1`), goodRowWith("A1", "A2", "T1", `T1"`), goodRowWith("A1", "A3")),
			[]string{"visit_row"},
			[]string{"2 aside unterminated-quote", "3 aside wrong-field-count", "4 read visit_row=0"},
		},
		{
			"open quotes in most lines", nil, readingsFile(strings.Repeat(goodRowWith("T1", `"T1`)+"\n", 6) + second),
			nil,
			[]string{"refused unterminated-quote"},
		},
		{
			"open quote in the header", nil, strings.Replace(readingsFile(goodRow), "Tech", `"Tech`, 1),
			nil,
			[]string{"refused no-header"},
		},
		{
			"open quote above the header",
			fileKeys{"header": "3"},
			"\"Mill\n\"2023\n" + readingsFile(goodRow),
			[]string{"visit_row"},
			[]string{"4 read visit_row=0"},
		},
		{
			"a cell of two lines", nil, readingsFile(goodRowWith("T1", "\"T1\nand T2\""), second),
			[]string{"visit_row"},
			[]string{"2 read visit_row=0", "4 read visit_row=1"},
		},
		{
			"quote inside a cell", nil, readingsFile(goodRowWith("T1", `T"1`), second),
			[]string{"visit_row"},
			[]string{"2 aside wrong-field-count", "3 read visit_row=0"},
		},
		{
			"quotes are letters",
			fileKeys{"quote": `""`},
			readingsFile(goodRowWith("T1", `"T1`)),
			[]string{"visit_row"},
			[]string{"2 read visit_row=0"},
		},
		{
			"another quote",
			fileKeys{"quote": `"'"`},
			readingsFile(goodRowWith("T1", "'T1, jr'")),
			[]string{"visit_row"},
			[]string{"2 read visit_row=0"},
		},

		{
			"times and offsets", nil, readingsFile(
				"A1,BX-7,2023-02-06 00:00:00,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A2,BX-7,2023-02-06T23:45:00-05:00,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A3,BX-7,2023-02-06T00:15:00Z,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"),
			[]string{"minute"},
			[]string{"2 read", "3 read minute=1425", "4 read minute=15"},
		},

		{
			"texts that other readers take for numbers", nil, readingsFile(
				"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,NAN,4.9,17,181,19",
				"A2,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,-inf,17,181,19",
				"A3,BX-7,2023-02-06,annual,T1,M1,high,found-so,0x9,4.9,17,181,19",
				"A4,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,1_100,181,19",
				"A5,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,1.1E+03,181,19",
				"A6,BX-7,2023-02-06,annual,T1,M1,high,found-so,1e400,4.9,17,181,19",
				"A7,BX-7,2023-02-06,annual,T1,M1,high,found-so,1E400,4.9,17,181,19"),
			[]string{"co_ppm", "marks"},
			[]string{
				"2 read co_ppm=17 marks=co2:unreadable cell not-finite", "3 read co_ppm=17 marks=o2:unreadable cell not-finite",
				"4 read co_ppm=17 marks=co2:unreadable cell unreadable-number", "5 read marks=co:unreadable cell unreadable-number",
				"6 read co_ppm=1100 marks=co:scientific-notation",
				"7 read co_ppm=17 marks=co2:unreadable cell unreadable-number", "8 read co_ppm=17 marks=co2:unreadable cell out-of-physical-range",
			},
		},

		{
			"code words", nil, readingsFile(
				"A1,BX-7,2023-02-06,annual,T1,M1, HIGH,Found-So ,9.1,4.9,17,181,19",
				"A2,BX-7,2023-02-06,annual,T1,M1,pilot,found-so,9.1,4.9,17,181,19",
				"A3,BX-7,2023-02-06,annual,T1,M1,high,as found,9.1,4.9,17,181,19",
				"A4,BX-7,2023-02-06,yearly,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A5,BX-7,2023-02-06,annual,T1,M1,high,,9.1,4.9,17,181,19",
				"A6,BX-7,2023-02-06,,T1,M1,high,left-so,9.1,4.9,17,181,19"),
			[]string{"fire", "condition"},
			[]string{
				"2 read fire=high condition=as found",
				"3 aside unknown-code", "4 aside unknown-code", "5 read fire=high condition=as found cell unknown-code",
				"6 aside blank-required",
				"7 read fire=high condition=as left",
			},
		},

		{
			"a reading at a point needs its rate", nil, readingsFile("A1,BX-7,2023-02-06,annual,T1,M1,point,found-so,9.1,4.9,17,181,19"),
			nil,
			[]string{"2 aside blank-required"},
		},
		{
			"bounds", nil, readingsFile(
				"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,20,0,50000,800,60",
				"A2,BX-7,2023-02-06,annual,T1,M1,high,found-so,20.1,0,50000,800,60",
				"A3,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,-0.1,50000,800,60",
				"A4,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,50001,800,60",
				"A5,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,801,60",
				"A6,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,-51"),
			[]string{"co2_percent"},
			append([]string{"2 read co2_percent=20", "3 read cell out-of-physical-range"},
				onLines(4, 7, "read co2_percent=9.1 cell out-of-physical-range")...),
		},
		{
			"byte 0 in a row", nil, readingsFile(strings.Repeat(goodRowWith("A1", "A0")+"\n", 20) + goodRowWith("T1", "T\x001")),
			[]string{"visit_row"},
			append(onLines(2, 21, "read visit_row=0"), "22 aside control-char"),
		},
		{"bytes 0 from the start", nil, "\x00\x00" + readingsFile(), nil, []string{"refused not-a-text-file"}},
		{"header only", nil, readingsFile(), nil, nil},
		{"zero bytes", nil, "", nil, []string{"refused empty-file"}},
		{"a mark and nothing else", nil, "\xef\xbb\xbf", nil, []string{"refused empty-file"}},
		{"a packed file", nil, "PK\x03\x04rest", nil, []string{"refused not-a-text-file"}},
		{"another encoding", nil, readingsFile(goodRowWith("T1", "J\xfcrg")), nil, []string{"refused wrong-encoding"}},
		{"UTF-16 declared UTF-8", nil, "\xff\xfeV\x00", nil, []string{"refused wrong-encoding"}},
		{
			"future day, export day declared",
			fileKeys{"export": "from = \"declared\"\nday = \"2023-02-10\""},
			readingsFile(
				"A1,BX-7,2023-02-10,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
				"A2,BX-7,2023-02-11,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"),
			[]string{"visit_row"},
			[]string{"2 read visit_row=0", "3 aside future-date"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, w := readInto(t, readingsFolder(t, c.keys, c.text))
			assert.Equal(t, c.want, fate(r.Files[0], w, "record.readings", c.columns...), r.Files[0].Message)
		})
	}
}

// onLines is one fate of each line from the first to the last.
func onLines(first, last int, fate string) []string {
	var all []string
	for n := first; n <= last; n++ {
		all = append(all, fmt.Sprintf("%d %s", n, fate))
	}
	return all
}

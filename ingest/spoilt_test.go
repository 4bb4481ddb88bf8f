package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
)

// twoFires is a layout of the wide form with both gases and CO at high and low fire.
const twoFires = `name = "tests"
record = "readings"
form = "wide"
source = "mill"
[match]
names = ["tests*.csv"]
[[column]]
header = "Boiler"
field = "serial"
[[column]]
header = "Date"
field = "day"
[[column]]
header = "Kind"
field = "reason"
[[column]]
header = "HF O2"
field = "o2"
fire = "high"
condition = "as found"
[[column]]
header = "HF CO"
field = "co"
fire = "high"
condition = "as found"
basis = "as measured"
[[column]]
header = "LF O2"
field = "o2"
fire = "low"
condition = "as found"
[[column]]
header = "LF CO"
field = "co"
fire = "low"
condition = "as found"
basis = "as measured"
[[column]]
header = "Flue"
field = "flue_temp"
unit = "degC"
`

const twoFiresHeader = "Boiler,Date,Kind,HF O2,HF CO,LF O2,LF CO,Flue"

// What a cell that cannot be read costs, in a row of two readings: itself, its
// reading, or the row. No other reading, and no CO.
func TestWhatACellCosts(t *testing.T) {
	for name, c := range map[string]struct{ line, readings, cells, co string }{
		"nothing": {"B1,2024-02-01,annual,5,20,6,30,160", "high 20, low 30", "", ""},
		"the reason of a visit": {
			"B1,2024-02-01,semi,5,20,6,30,160", "high 20, low 30", "Kind unknown-code false", "",
		},
		"the gas of one fire": {
			"B1,2024-02-01,annual,46,900,6,30,160", "low 30", "HF O2 out-of-physical-range true", "high 900",
		},
		"the CO of one fire": {
			"B1,2024-02-01,annual,5,9OO,6,30,160", "high , low 30", "HF CO unreadable-number false", "high 900",
		},
		"a shared temperature": {
			"B1,2024-02-01,annual,5,20,6,30,hot", "high 20, low 30", "Flue unreadable-number false", "",
		},
		"both gases": {
			"B1,2024-02-01,annual,4 6,900,x,30,160", "", "HF O2 unreadable-number true, LF O2 unreadable-number true", "high 900, low 30",
		},
		"the row: more cells cannot be read than can": {
			"B1,2024-02-01,HF,seen,by,me,30,160", "", "", "high , low 30",
		},
		"the row: its day": {"B1,31.2.2024,annual,5,20,6,30,160", "", "", "high 20, low 30"},
	} {
		r, w := readInto(t, folder(t, map[string]string{"l.toml": twoFires, "tests.csv": asLines(twoFiresHeader, c.line)}))
		list := func(table string, show func(rowMap) string) string {
			var all []string
			for _, row := range w[table] {
				all = append(all, show(row))
			}
			return strings.Join(all, ", ")
		}
		fireAndCO := func(r rowMap) string { return r["fire"] + " " + r["co_ppm"] }
		assert.Equal(t, c.readings, list("record.readings", fireAndCO), name)
		assert.Equal(t, c.cells, list("source.cells_set_aside", func(r rowMap) string {
			return r["column_name"] + " " + r["reason"] + " " + r["costs_reading"]
		}), name)
		assert.Equal(t, c.co, list("source.unused_co", fireAndCO), name)
		stands := int64(1)
		if strings.HasPrefix(name, "the row") {
			stands = 0
		}
		assert.Equal(t, [2]int64{stands, 1 - stands}, [2]int64{r.Files[0].Parsed, r.Files[0].SetAside}, name)
	}
}

// A cell of which a line's meaning hangs takes the line with it, though it may be
// blank: a target that holds from nobody knows when would hold always.
func TestCellsThatTakeTheirLine(t *testing.T) {
	head := "name = \"l\"\nsource = \"s\"\n[match]\nnames = [\"l.csv\"]\nrecord = "
	column := func(header, field string) string {
		return fmt.Sprintf("[[column]]\nheader = %q\nfield = %q\n", header, field)
	}
	for _, c := range []struct{ record, columns, text, want string }{
		{
			"model_lines", column("Line", "model_line") + column("Fuel", "fuel") + column("Fire", "fire") + column("From", "valid_from") +
				column("CO2", "target_co2") + column("Plus", "set_rich"),
			"Line,Fuel,Fire,From,CO2,Plus\nA,propane,high,soon,9.1,.3\nB,propane,high,,9.l,0.3\nC,propane,high,,9.1,.3\nD,propane,high,,9.1,0.3\n",
			"2 aside, 3 aside, 4 read, 5 read",
		},
		{
			"analyzers", column("Id", "analyzer") + column("Day", "calibrated") + column("Off", "found_error"),
			"Id,Day,Off\nA1,soon,0.1\nA1,2024-01-02,none\n", "2 aside, 3 read",
		},
		{
			"answers", column("Boiler", "serial") + column("Day", "day") + column("What", "answer") + column("Until", "until"),
			"Boiler,Day,What,Until\nB1,2024-01-02,refused,soon\nB1,2024-01-03,refused,\n", "2 aside, 3 read",
		},
	} {
		l := strings.Replace(head, "[match]\nnames = [\"l.csv\"]\nrecord = ",
			fmt.Sprintf("record = %q\n[match]\nnames = [\"l.csv\"]\n", c.record), 1) + c.columns
		r, w := readInto(t, folder(t, map[string]string{"l.toml": l, "l.csv": c.text}))
		var got []string
		for _, one := range fate(r.Files[0], w, "record."+c.record) {
			got = append(got, strings.Join(strings.Fields(one)[:2], " "))
		}
		assert.Equal(t, c.want, strings.Join(got, ", "), "%s: %s", c.record, r.Files[0].Message)
	}
}

// Whatever stands in the cells of a row, every line and every CO is accounted for: a
// CO that somebody wrote stands on a reading or among those that could not be used.
func TestNothingIsLostWithACell(t *testing.T) {
	cell := rapid.SampledFrom([]string{"", "5", "5.2", "46", "x", "900", "<5", ">2000", "5 ppm", "9,1", "-1", "#REF!"})
	rapid.Check(t, func(q *rapid.T) {
		var rows []string
		written := map[string]int{}
		for i := range rapid.IntRange(1, 6).Draw(q, "rows") {
			cells := []string{
				fmt.Sprintf("B%d", i), rapid.SampledFrom([]string{"2024-02-01", "soon", ""}).Draw(q, "day"),
				rapid.SampledFrom([]string{"annual", "semi"}).Draw(q, "kind"),
			}
			for k := range 5 {
				cells = append(cells, `"`+cell.Draw(q, "cell")+`"`)
				if text := strings.Trim(cells[len(cells)-1], `"`); text != "" && (k == 1 || k == 3) {
					written[fmt.Sprint(i+2)]++
				}
			}
			rows = append(rows, strings.Join(cells, ","))
		}
		r, w := readInto(t, folder(t, map[string]string{"l.toml": twoFires, "tests.csv": asLines(append([]string{twoFiresHeader}, rows...)...)}))
		f := r.Files[0]
		require.Equal(q, f.Lines, f.Header+f.Blank+f.Skipped+f.SetAside+f.Parsed)
		require.Len(q, w["source.cells_set_aside"], int(f.CellsSetAside))
		require.Len(q, w["source.set_aside"], int(f.SetAside))
		kept := map[string]int{}
		for _, row := range w["record.readings"] {
			if row["co_ppm"] != "" || row["co_limit"] != "" {
				kept[row["line"]]++
			}
		}
		for _, row := range w["source.unused_co"] {
			kept[row["line"]]++
		}
		require.Equal(q, written, kept)
	})
}

// A corrected copy of a line replaces it, whatever is known of the days of the
// exports, and so does the copy of the copy; an uncorrected one replaces nothing.
func TestACorrectedCellComesBack(t *testing.T) {
	bad := goodRowWith("181", "18l")
	head := readingsHeader + ",to fix"
	files := map[string]string{
		"tests.toml": readingsLayout(nil), "tests.csv": readingsFile(goodRowWith("A1", "A0"), bad),
		"tests_to-fix.csv": asLines(head, goodRowWith("181", "182")+",tests.csv:3: unreadable-number: Flue"),
	}
	var flue []string
	look := func() (texts []string) {
		r, w := build(t, folder(t, files), mustDay(t, "2024-01-15"))
		got := fatesOf(t, r, w)
		flue = nil
		for _, at := range []string{"tests.csv:3", "tests_to-fix.csv:2", "tests_to-fix-2.csv:2"} {
			flue = append(flue, got.values[at]["flue"])
			texts = append(texts, got.said[at]+got.cells[at])
		}
		checks, err := w.Checks(t.Context())
		require.NoError(t, err)
		for _, c := range checks {
			require.Zero(t, c.Wrong, "%s: %v", c.Name, c.First)
		}
		return texts
	}
	assert.Equal(t, []string{"superseded tests_to-fix.csv:2", "", ""}, look())
	assert.Equal(t, []string{"", "182", ""}, flue)
	files["tests_to-fix-2.csv"] = asLines(head, goodRowWith("181", "183")+",tests_to-fix.csv:2: reading: wrong")
	assert.Equal(t, []string{"superseded tests_to-fix.csv:2", "superseded tests_to-fix-2.csv:2", ""}, look())
	assert.Equal(t, []string{"", "", "183"}, flue)
	delete(files, "tests_to-fix-2.csv")
	files["tests_to-fix.csv"] = asLines(head, bad+",tests.csv:3: unreadable-number: Flue")
	assert.Equal(t, []string{"Flue:unreadable-number", "duplicate tests.csv:3", ""}, look())
	assert.Equal(t, []string{"null", "", ""}, flue)
}

// A log of calibrations: a CO2 of 10.2 read of a gas of 10.0 is .2 high. An error that no
// analyzer has is set aside as a cell, and the calibration stands.
func TestSpanAndFound(t *testing.T) {
	var l strings.Builder
	l.WriteString("name = \"l\"\nrecord = \"analyzers\"\nsource = \"s\"\n[match]\nnames = [\"l.csv\"]\n")
	for _, c := range [][2]string{
		{"Id", "analyzer"},
		{"Day", "calibrated"},
		{"Span CO2", "span_co2"},
		{"Found CO2", "found_co2"},
		{"Adj", "adjusted"},
	} {
		fmt.Fprintf(&l, "[[column]]\nheader = %q\nfield = %q\n", c[0], c[1])
	}
	r, w := readInto(t, folder(t, map[string]string{"l.toml": l.String(), "l.csv": asLines("Id,Day,Span CO2,Found CO2,Adj",
		"A1,2024-01-02,10.0,10.2,yes", "A1,2024-06-02,10.0,9.9,no", "A1,2025-01-02,10.0,1.2,yes", "A1,2025-06-02,10.0,,")}))
	assert.Equal(t, []string{
		"2 read found_error=0.2 adjusted=yes", "3 read found_error=-0.1 adjusted=no", "4 read adjusted=yes cell out-of-physical-range", "5 read",
	}, fate(r.Files[0], w, "record.analyzers", "found_error", "adjusted"))
	_, err := layout.Parse("l.toml", strings.Replace(l.String(), "[[column]]\nheader = \"Span CO2\"\nfield = \"span_co2\"\n", "", 1))
	assert.ErrorContains(t, err, "span_co2 and found_co2 belong together")
}

// A calibration that left an analyzer as found starts no new period.
func TestLeftAsFound(t *testing.T) {
	var l strings.Builder
	l.WriteString("name = \"l\"\nrecord = \"analyzers\"\nsource = \"s\"\n[match]\nnames = [\"l.csv\"]\n")
	for _, c := range [][2]string{{"Id", "analyzer"}, {"Day", "calibrated"}, {"Off", "found_error"}, {"Adj", "adjusted"}} {
		fmt.Fprintf(&l, "[[column]]\nheader = %q\nfield = %q\n", c[0], c[1])
	}
	_, w := build(t, folder(t, map[string]string{"l.toml": l.String(), "l.csv": asLines("Id,Day,Off,Adj",
		"A1,2022-01-02,0.2,yes", "A1,2022-06-02,0.1,no", "A1,2023-01-02,0.1,")}), mustDay(t, "2024-01-15"))
	all, err := w.Calibrations(t.Context())
	require.NoError(t, err)
	var days []string
	for _, c := range all {
		days = append(days, iso(c.Calibrated))
	}
	assert.Equal(t, []string{"2022-01-02", "2023-01-02"}, days)
}

// The draft of a log of calibrations reads span and found of CO2, not those of O2 and CO.
func TestDraftOfACalibrationLog(t *testing.T) {
	text := asLines("Analyzer,Cal Date,Span O2,Found O2,Span CO2,Found CO2,Adjusted?", "A-1,2024-01-02,5.0,5.1,10.0,10.2,Y",
		"A-2,2024-01-03,5.0,5.0,10.0,9.9,N")
	all, err := Propose(t.Context(), folder(t, map[string]string{"cal_log.csv": text}), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	r, w := readInto(t, folder(t, map[string]string{"cal_log.csv": text, "x.toml": all[0].Text}))
	assert.Equal(t, []string{"2 read analyzer=A-1 found_error=0.2 adjusted=yes", "3 read analyzer=A-2 found_error=-0.1 adjusted=no"},
		fate(r.Files[0], w, "record.analyzers", "analyzer", "found_error", "adjusted"), all[0].Text)
}

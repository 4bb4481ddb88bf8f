package ingest

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
	"fluedrift/model/judge"
)

// ventSteps is a register whose layout cuts a cell into straight vent and elbows.
func ventSteps(t *testing.T, more string) string {
	t.Helper()
	return exampleOf(t, layout.Separate).Layout + more
}

// Every line of a file read through steps has one outcome, a cell that steps could not
// use is counted in the file's message, and the column that they read is no column that
// nobody declares.
func TestStepsAreCounted(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{"fleet.toml": ventSteps(t, ""), "fleet_1.csv": "Boiler,Line,Vent\n" +
		"7310,T40,35 ft + 3 el\n7311,T40,\n\n7312,T40,see drawing\n7313,T40\n,T40,4 ft\nBoiler,line,VENT\n7314,T40,\n"}))
	f := r.Files[0]
	assert.Equal(t, WasRead, f.Outcome)
	assert.Equal(t, []int64{9, 2, 1, 2, 4}, []int64{f.Lines, f.Header, f.Blank, f.SetAside, f.Parsed})
	assert.Equal(t, `1 cell of column "Vent" fit no pattern of its step: the first "see drawing" in line 5`, f.Message)
	require.Len(t, w["record.units"], 4, "a bad line costs no line below it")
	assert.Equal(t, "serial=7310 vent_length_m=10.668 elbows_90=3", w["record.units"][0].show("serial", "vent_length_m", "elbows_90"))
	assert.Equal(t, "line=6 message=the line has 2 cells and the header 3 reason=wrong-field-count",
		w["source.set_aside"][0].show("line", "message", "reason"))
}

// A fault in a part of a cell names the column of the file.
func TestFaultOfAPart(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{
		"fleet.toml": ventSteps(t, ""), "fleet_1.csv": "Boiler,Line,Vent\n7310,T40,35 ft + 3333 el\n",
	}))
	assert.EqualValues(t, 1, r.Files[0].CellsSetAside)
	aside := w["source.cells_set_aside"][0]
	assert.Equal(t, "column_name=Vent line=2 value=3333", aside.show("column_name", "line", "value"))
	assert.Contains(t, aside["message"], `(read as "vent_elbows")`)
}

// A file that lacks a column of a step is refused with the remedy.
func TestColumnOfAStepIsMissing(t *testing.T) {
	r, _ := readInto(t, folder(t, map[string]string{"fleet.toml": ventSteps(t, ""), "fleet_1.csv": "Boiler,Line\n7310,T40\n"}))
	assert.Equal(t, Refused, r.Files[0].Outcome)
	assert.Contains(t, r.Files[0].Message, `"Vent", which the step separate reads`)
}

// In a file to mend the apostrophes that keep a spreadsheet from computing a cell are
// taken away before steps see it.
func TestStepsOnAFileToMend(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{
		"fleet.toml": ventSteps(t, "") +
			"[[column]]\nheader = \"Site\"\nfield = \"site\"\n", "fleet_1.csv": "Boiler,Line,Vent,Site,to fix\n7310,T40,35 ft + 3 el,'=Oak,\n",
	}))
	assert.True(t, r.Files[0].ToMend)
	assert.Equal(t, "=Oak", w["record.units"][0]["site"])
}

// Inspect shows what becomes of the column that a step takes into others.
func TestInspectSteps(t *testing.T) {
	all, err := Inspect(context.Background(), nil, folder(t, map[string]string{
		"fleet.toml": ventSteps(t, ""), "fleet_1.csv": "Boiler,Line,Vent\n7310,T40,35 ft + 3 el\n",
	}), func(string) bool { return true })
	require.NoError(t, err)
	require.Len(t, all[0].Columns, 5)
	assert.Equal(t, Use{Header: "Vent", Field: "read by a step"}, all[0].Columns[2])
	assert.Equal(t, "elbows_90", all[0].Columns[4].Field)
	require.Len(t, all[0].Samples, 1)
	assert.Equal(t, "10.668 m", all[0].Samples[0].Cells[2].Stored)
	assert.Empty(t, all[0].Hints[1:], "but that the day of the export is not known")
}

// Rows that steps leave out are skipped, and the message says why, and how many.
func TestRowsLeftOut(t *testing.T) {
	r, _ := readInto(t, folder(t, map[string]string{
		"x.toml": exampleOf(t, layout.LeaveOut).Layout,
		"tickets_1.csv": "Boiler,Date,Sheet,CO2 high\n" +
			"7310,2024-03-25,void,9.4\n7310,2024-03-25,Void,9.9\n7311,2024-03-26,draft,9.1\n7312,2024-03-26,,9.1\n",
	}))
	f := r.Files[0]
	assert.Equal(t, []int64{5, 3, 1}, []int64{f.Lines, f.Skipped, f.Parsed})
	assert.Equal(t, `left out, Sheet is "draft": 1 line; left out, Sheet is "void": 2 lines`, f.Message)
}

// A day outside the period that the file's name tells is marked, and counted in the
// file's message; the row is read.
func TestDaysOutsideTheName(t *testing.T) {
	text := strings.Replace(exampleOf(t, layout.LeaveOut).Layout,
		"do = \"leave_out\"\ncolumn = \"Sheet\"\nvalues = [\"draft\", \"void\", \"template\"]",
		"do = \"from_name\"\npatterns = '(?P<year>\\d{4})'\nchecks = \"Date\"", 1)
	r, w := readInto(t, folder(t, map[string]string{
		"x.toml":           text,
		"tickets_2023.csv": "Boiler,Date,CO2 high\n7310,2024-03-25,9.4\n7311,2023-03-25,9.4\n",
	}))
	assert.EqualValues(t, 2, r.Files[0].Parsed, r.Files[0].Message)
	assert.Contains(t, r.Files[0].Message, `1 day of column "Date" outside the period in the name: the first "2024-03-25" in line 2`)
	require.Len(t, w["record.visits"], 2)
	assert.Equal(t, judge.OutsidePeriod, w["record.visits"][0]["marks"], "by which it is judged")
	assert.Empty(t, w["record.visits"][1]["marks"])

	r, _ = readInto(t, folder(t, map[string]string{"x.toml": text, "tickets_new.csv": "Boiler,Date,CO2 high\n7310,2024-03-25,9.4\n"}))
	assert.Equal(t, Refused, r.Files[0].Outcome)
}

// What stands for no value does so in carried columns too.
func TestMissingInCarriedColumns(t *testing.T) {
	text := exampleOf(t, layout.FirstFilled).Layout +
		"[file]\nmissing = [\"n/a\"]\n[[column]]\nheader = \"Desk\"\ncarry = \"desk\"\nmissing = [\"none\"]\n"
	_, w := readInto(t, folder(t, map[string]string{
		"x.toml":         text,
		"contacts_1.csv": "Boiler,Line,Mobile,Desk\n7310,T40,n/a,none\n7311,T40,n/a,5\n",
	}))
	assert.Equal(t, `{"contact_phone":"none"}`, w["record.units"][0]["carry"])
	assert.Equal(t, `{"contact_phone":"5","desk":"5"}`, w["record.units"][1]["carry"])
}

// Rows of one value each become visits; what is set aside is set aside with all lines
// of its visit, and the lines of the file add up.
func TestPivotIsCounted(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{"x.toml": exampleOf(t, layout.PivotWider).Layout, "measured_1.csv": asLines(
		"Visit,Boiler,Date,Measured,Value,Unit", "V1,7310,2024-03-25,High O2,4.4,%", "V2,7311,2024-03-26,High O2,4.7,%",
		"V1,7310,2024-03-25,High CO,18,ppm", "", "V3,7312,2024-03-26,High O2,5", "V2,7311,2024-03-26,High O2,5.7,%",
		"V4,7313,someday,High CO,9,ppm")}))
	f := r.Files[0]
	assert.Equal(t, WasRead, f.Outcome, f.Message)
	assert.Equal(t, []int64{8, 1, 1, 4, 1, 1}, []int64{f.Lines, f.Header, f.Blank, f.SetAside, f.Parsed, f.Joined})
	require.Len(t, w["record.readings"], 1)
	assert.Equal(t, "line=2 o2_percent=4.4 co_ppm=18", w["record.readings"][0].show("line", "o2_percent", "co_ppm"))
	var aside []string
	for _, row := range w["source.set_aside"] {
		aside = append(aside, row.show("line", "column_name", "serial", "reason"))
	}
	assert.Equal(t, []string{
		"line=6 reason=wrong-field-count", "line=3 column_name=Value serial=7311 reason=value-given-twice",
		"line=7 column_name=Value serial=7311 reason=value-given-twice", "line=8 column_name=Date serial=7313 reason=unreadable-date",
	}, aside)
}

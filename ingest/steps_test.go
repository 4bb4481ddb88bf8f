package ingest

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// ventSteps is a register whose layout cuts a cell into straight vent and elbows.
func ventSteps(t *testing.T, more string) string {
	t.Helper()
	for _, e := range layout.Examples() {
		if e.Form == layout.Separate {
			return e.Layout + more
		}
	}
	t.Fatal("no example of separate")
	return ""
}

// Every line of a file read through steps has one outcome, a cell that steps could not
// use is counted in the file's message, and the column that they read is no column that
// nobody declares.
func TestStepsAreCounted(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{"fleet.toml": ventSteps(t, ""), "fleet_1.csv": "Boiler,Line,Vent\n" +
		"7310,T40,35 ft + 3 el\n7311,T40,\n\n7312,T40,see drawing\n7313,T40\n,T40,4 ft\nBoiler,line,VENT\n"}))
	f := r.Files[0]
	assert.Equal(t, WasRead, f.Outcome)
	assert.Equal(t, []int64{8, 2, 1, 2, 3}, []int64{f.Lines, f.Header, f.Blank, f.SetAside, f.Parsed})
	assert.Equal(t, `1 cell of column "Vent" fit no pattern of its step: the first "see drawing" in line 5`, f.Message)
	require.Len(t, w["record.units"], 3)
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
		"fleet.toml": ventSteps(t, "") + "[[column]]\nheader = \"Site\"\nfield = \"site\"\n", "fleet_1.csv": "Boiler,Line,Vent,Site,to fix\n7310,T40,35 ft + 3 el,'=Oak,\n",
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
	assert.Equal(t, Use{Header: "Vent", Field: "taken into others by a step"}, all[0].Columns[2])
	assert.Equal(t, "elbows_90", all[0].Columns[4].Field)
	require.Len(t, all[0].Samples, 1)
	assert.Equal(t, "10.668 m", all[0].Samples[0].Cells[2].Stored)
	assert.Empty(t, all[0].Hints[1:], "but that the day of the export is not known")
}

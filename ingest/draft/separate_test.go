package draft

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// separated proposes a step for a column of a record and gives what it makes of each
// cell, in the order of its columns.
func separated(t *testing.T, record, header string, cells ...string) (makes []string, parts [][]string) {
	t.Helper()
	k := &Kind{names: []string{"x.csv"}}
	k.file.Type, k.header = "csv", []string{header}
	for i, c := range cells {
		k.rows = append(k.rows, sniffedRow{file: "x.csv", line: i + 2, cells: []string{c}})
	}
	d := &drafter{Kind: k, record: record}
	d.cutColumns()
	proposeSteps(d, separations)
	if len(d.steps) == 0 {
		return nil, nil
	}
	require.Empty(t, d.notes)
	require.Len(t, d.steps, 1)
	for _, r := range d.rows {
		parts = append(parts, r.cells[1:])
	}
	for _, c := range d.columns {
		assert.NotEqual(t, header, c.header, "it is taken into the others")
	}
	return d.steps[0].Makes(), parts
}

func TestSeparationsOfVentRuns(t *testing.T) {
	makes, parts := separated(t, layout.Units, "Vent Run", "35 ft + 3 el", "70ft/5 90s", "12' 2 elbows", "20 ft, 2 x 90°, 1 45", "8 ft",
		"9 feet and 4 90 bends")
	assert.Equal(t, []string{"vent_length", "elbows_90", "elbows_45"}, makes)
	assert.Equal(t, [][]string{
		{"35 ft", "3", ""}, {"70ft", "5", ""}, {"12'", "2", ""}, {"20 ft", "2", "1"}, {"8 ft", "", ""}, {"9 feet", "4", ""},
	}, parts)

	makes, parts = separated(t, layout.Units, "Intake run", "3 m + 2 coudes", "4,5 m + 1 coude", "2 Bögen, 3 m")
	assert.Equal(t, []string{"intake_length", "intake_elbows_90"}, makes)
	assert.Equal(t, [][]string{{"3 m", "2"}, {"4,5 m", "1"}, {"3 m", "2"}}, parts)
}

func TestSeparationsOfGases(t *testing.T) {
	makes, parts := separated(t, layout.Readings, "HF CO2/O2", "9.1/4.9", "9,3 / 4,6", "8.8/")
	assert.Equal(t, []string{"hf_co2", "hf_o2"}, makes)
	assert.Equal(t, [][]string{{"9.1", "4.9"}, {"9,3", "4,6"}, {"8.8", ""}}, parts)
	makes, _ = separated(t, layout.Readings, "O2 | CO2 | CO", "4.9 % | 9.1 % | 12 ppm", "5.0 % | 9.0 % | 8 ppm")
	assert.Equal(t, []string{"o2", "co2", "co"}, makes)
}

func TestSeparationsOfFires(t *testing.T) {
	makes, parts := separated(t, layout.Readings, "Point", "HF-AF", "LF-AF", "HF-AL", "LF-AL")
	assert.Equal(t, []string{"fire", "condition"}, makes)
	assert.Equal(t, [][]string{{"HF", "AF"}, {"LF", "AF"}, {"HF", "AL"}, {"LF", "AL"}}, parts)
	_, parts = separated(t, layout.Readings, "Taken", "as found, high fire", "as left / low", "as found low fire")
	assert.Equal(t, [][]string{{"as found", "high fire"}, {"as left", "low"}, {"as found", "low fire"}}, parts)
	makes, parts = separated(t, layout.Readings, "Load", "High 100%", "Low (25 %)", "High 100%")
	assert.Equal(t, []string{"fire", "rate"}, makes)
	assert.Equal(t, [][]string{{"High", "100%"}, {"Low", "25 %"}, {"High", "100%"}}, parts)
}

// What only looks like several values stays as it is.
func TestNoSeparations(t *testing.T) {
	for header, cells := range map[string]string{
		"Vent run": "35|70|12", "CO @ 3% O2": "12|15|20", "Comments": "high fire left alone|cleaned|ok|ok", "Tech": "Max|Lo|H. Post",
		"Date": "10/04/2024|10/05/2024|10/06/2024", "Fire": "high|low|high", "O2/CO2": "see sheet|see sheet|9.1/4.9", "Model": "T40-HF|T60-LF",
	} {
		record := layout.Readings
		if header == "Vent run" || header == "Model" {
			record = layout.Units
		}
		makes, _ := separated(t, record, header, strings.Split(cells, "|")...)
		assert.Empty(t, makes, header)
	}
}

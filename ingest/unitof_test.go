package ingest

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
)

// abroad reads lines of the example whose cells have units of their own.
func abroad(t *testing.T, rows ...string) (Result, fakeWarehouse) {
	t.Helper()
	e := exampleOf(t, "units_of_cells")
	head, _, _ := strings.Cut(e.File, "\n")
	return readInto(t, folder(t, map[string]string{"x.toml": e.Layout, e.Named: head + "\n" + strings.Join(rows, "\n") + "\n"}))
}

// numberOf is a stored number.
func numberOf(t *testing.T, stored string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(stored, 64)
	require.NoError(t, err, "%q", stored)
	return v
}

// TestUnitsOfCells: each cell is read in its own unit, letter case of a code aside.
func TestUnitsOfCells(t *testing.T) {
	_, w := abroad(t, "7310,2024-03-25,high,as left,4.4,358 °F,68,f", "7310,2024-03-25,low,as left,5.1,142,20,C",
		"7311,2024-03-25,low,as left,5.1,142degC,,", "7312,2024-03-25,low,as left,5.1,,68,F")
	var got []string
	for _, r := range w["record.readings"] {
		got = append(got, r.show("flue_temp_c", "air_temp_c"))
	}
	require.Len(t, got, 4)
	assert.Contains(t, got[0], "flue_temp_c=181.1")
	assert.Contains(t, got[0], "air_temp_c=20")
	assert.Equal(t, "flue_temp_c=142 air_temp_c=20", got[1])
	assert.Contains(t, got[2], "flue_temp_c=142")
	assert.Contains(t, got[3], "air_temp_c=20")
	columns := map[string]string{}
	for _, c := range w["source.columns"] {
		columns[fmt.Sprint(c["header"])] = fmt.Sprint(c["unit"])
	}
	assert.Equal(t, "degC or degF", columns["Flue"], "%v", w["source.columns"][0])
	assert.Equal(t, "degC or degF", columns["Air"])
}

// TestUnitNotDeclared: a unit outside the list, a blank one and an unknown one cost the
// cell, named by file, line and column with what to do; the line stands.
func TestUnitNotDeclared(t *testing.T) {
	r, w := abroad(t, "7310,2024-03-25,high,as left,4.4,454 K,68,", "7311,2024-03-25,low,as left,5.1,142 Pa,20,R",
		"7312,2024-03-25,low,as left,5.1,9999 °F,999,F")
	assert.EqualValues(t, 3, r.Files[0].Parsed)
	var got, said []string
	for _, c := range w["source.cells_set_aside"] {
		got = append(got, c.show("line", "column_name", "reason"))
		said = append(said, fmt.Sprint(c["message"]))
	}
	assert.Equal(t, []string{
		"line=2 column_name=Flue reason=unit-mark-mismatch", "line=2 column_name=Air reason=unknown-unit",
		"line=3 column_name=Flue reason=unit-mark-mismatch", "line=3 column_name=Air reason=unknown-unit",
		"line=4 column_name=Flue reason=out-of-physical-range", "line=4 column_name=Air reason=out-of-physical-range",
	}, got)
	assert.Contains(t, said[0], `"454 K" carries the unit "K"; the column is declared in degC or degF`)
	assert.Contains(t, said[1], `column "Temp unit", and it is blank; correct it there`)
	assert.Contains(t, said[3], `"R" is none of its unit_codes`)
	assert.Contains(t, said[4], "9999 degF is outside", "bounds are said in the unit of the cell")
}

// TestUnitColumnIsMissing: a file without the column of units is refused by its name.
func TestUnitColumnIsMissing(t *testing.T) {
	e := exampleOf(t, "units_of_cells")
	r, _ := readInto(t, folder(t, map[string]string{"x.toml": e.Layout, e.Named: strings.ReplaceAll(e.File, "Temp unit", "T")}))
	assert.Equal(t, Refused, r.Files[0].Outcome)
	assert.Contains(t, r.Files[0].Message, `"Temp unit", which says in which unit "Air" is measured`)
}

// TestEitherUnitGivesTheSame: the same temperatures and CO, written in one unit or the
// other, behind the number or by a column, are the same records.
func TestEitherUnitGivesTheSame(t *testing.T) {
	e := exampleOf(t, "units_of_cells")
	toml := e.Layout + "[[column]]\nheader = \"CO\"\nfield = \"co\"\nunits = [\"ppm\", \"%\"]\n"
	rapid.Check(t, func(p *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(p, "rows")
		rows := []string{"Boiler,Date,Fire,Condition,O2 %,Flue,Air,Temp unit,CO"}
		var flue, air, co []float64
		for i := range n {
			f, a, c := rapid.IntRange(60, 250).Draw(p, "flue"), rapid.IntRange(0, 35).Draw(p, "air"), rapid.IntRange(1, 2000).Draw(p, "co")
			flue, air, co = append(flue, float64(f)), append(air, float64(a)), append(co, float64(c))
			one := func(of ...string) string { return rapid.SampledFrom(of).Draw(p, "written") }
			cells := []string{one(fmt.Sprint(f), fmt.Sprintf("%d °C", f), fmt.Sprintf("%.1fdegF", float64(f)*1.8+32))}
			cells = append(cells, one(fmt.Sprintf("%d,c", a), fmt.Sprintf("%.1f,F", float64(a)*1.8+32)))
			cells = append(cells, one(fmt.Sprint(c), fmt.Sprintf("%d ppm", c), fmt.Sprintf("%.4f %%", float64(c)/1e4)))
			rows = append(rows, fmt.Sprintf("K%d,2024-03-25,high,as left,4.4,%s", i, strings.Join(cells, ",")))
		}
		r, w := readInto(t, folder(t, map[string]string{"x.toml": toml, e.Named: strings.Join(rows, "\n") + "\n"}))
		require.EqualValues(p, n, r.Files[0].Parsed)
		require.Zero(p, r.Files[0].CellsSetAside)
		for i, row := range w["record.readings"] {
			require.InDelta(p, flue[i], numberOf(t, row["flue_temp_c"]), 1e-6)
			require.InDelta(p, air[i], numberOf(t, row["air_temp_c"]), 1e-6)
			require.InDelta(p, co[i], numberOf(t, row["co_ppm"]), 1e-6)
		}
	})
}

// TestDraftOfUnits: units are proposed by the marks in cells and by a column of them, and
// the draft reads every cell.
func TestDraftOfUnits(t *testing.T) {
	rows := []string{"Boiler,Date,Fire,Condition,O2 %,Flue temp,temp_unit,Air temp"}
	for i := range 12 {
		flue, air, unit := fmt.Sprintf("%d °C", 140+i), 20+i%4, "C"
		if i%3 == 0 {
			flue, air, unit = fmt.Sprintf("%d °F", 280+i), 68+i%4, "F"
		}
		rows = append(rows, fmt.Sprintf("K-%03d,2024-03-%02d,high,as left,4.%d,%s,%s,%d", i, i+1, i%9, flue, unit, air))
	}
	text := asLines(rows...)
	o := folder(t, map[string]string{"x.csv": text})
	all, err := Propose(context.Background(), o, nil, func(string, string) string { return "" })
	require.NoError(t, err)
	draft := all[0].Text
	assert.Contains(t, draft, "units = [\"degC\", \"degF\"]", draft)
	assert.Contains(t, draft, "unit_from = \"temp_unit\" # guess\nunit_codes = { \"C\" = \"degC\", \"F\" = \"degF\" }", draft)
	r, w := readInto(t, folder(t, map[string]string{"x.toml": draft, "x.csv": text}))
	assert.EqualValues(t, 12, r.Files[0].Parsed, r.Files[0].Message)
	assert.Zero(t, r.Files[0].CellsSetAside)
	assert.InDelta(t, 137.78, numberOf(t, w["record.readings"][0]["flue_temp_c"]), 0.01)
	assert.InDelta(t, 20, numberOf(t, w["record.readings"][0]["air_temp_c"]), 0.01)
}

// TestUnitsDeclaredWrongly: each mistake has an error with its remedy.
func TestUnitsDeclaredWrongly(t *testing.T) {
	e := exampleOf(t, "units_of_cells")
	list, codes := `units = ["degC", "degF"]`, `unit_codes = { "F" = "degF", "C" = "degC" }`
	for _, c := range [][3]string{
		{list, `units = ["degC"]`, "two units or more"},
		{list, `units = ["degC", "degC"]`, "twice"},
		{list, `units = ["degC", "Pa"]`, "cannot be measured"},
		{list, list + "\nunit = \"degF\"", "that one"},
		{list, list + "\nunit_from = \"x\"", "one of them"},
		{codes, "", "belong together"},
		{codes, codes + "\nunit = \"Pa\"", "cannot be measured"},
		{codes, `unit_codes = { "" = "degF" }`, "blank text"},
		{codes, `unit_codes = { "F" = "degF", "f" = "degC" }`, "means both"},
		{`unit_from = "Temp unit"`, `unit_from = "air"`, "the column itself"},
		{`field = "fire"`, "field = \"fire\"\n" + list, "no unit of measure"},
	} {
		_, err := layout.Parse("x.toml", strings.Replace(e.Layout, c[0], c[1], 1))
		assert.ErrorContains(t, err, c[2], c[1])
		assert.ErrorContains(t, err, "x.toml", c[1])
	}
}

// TestBlankUnit: where the column of units is blank, the unit of the column itself holds,
// and a text that is no code is none.
func TestBlankUnit(t *testing.T) {
	var head strings.Builder
	head.WriteString("name = \"x\"\nrecord = \"readings\"\nsource = \"x\"\n[match]\nnames = [\"x.csv\"]\n")
	for _, c := range []struct{ header, field string }{
		{"Boiler", "serial"},
		{"Date", "day"},
		{"Fire", "fire"},
		{"Taken", "condition"},
		{"O2", "o2"},
	} {
		head.WriteString(fmt.Sprintf("[[column]]\nheader = %q\nfield = %q\n", c.header, c.field))
	}
	flue := "[[column]]\nheader = \"Flue\"\nfield = \"flue_temp\"\nunit_from = \"Scale\"\nunit_codes = { \"F\" = \"degF\" }\n"
	text := asLines("Boiler,Date,Fire,Taken,O2,Flue,Scale", "K1,2024-03-25,high,as left,4.4,140,", "K2,2024-03-25,high,as left,4.4,284,f",
		"K3,2024-03-25,high,as left,4.4,140,R")
	for unit, aside := range map[string]int{"": 2, "unit = \"degC\"\n": 1} {
		r, w := readInto(t, folder(t, map[string]string{"x.toml": head.String() + flue + unit, "x.csv": text}))
		require.EqualValues(t, 3, r.Files[0].Parsed, r.Files[0].Message)
		rows := w["record.readings"]
		require.InDelta(t, 140, numberOf(t, rows[1]["flue_temp_c"]), 1e-9)
		require.EqualValues(t, aside, r.Files[0].CellsSetAside)
		if unit != "" {
			require.InDelta(t, 140, numberOf(t, rows[0]["flue_temp_c"]), 1e-9)
		}
	}
}

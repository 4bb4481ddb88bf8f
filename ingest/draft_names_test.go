package ingest

import (
	"context"
	"fmt"
	"maps"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// someRows are a header and rows of readings, each made of a number.
func someRows(header string, n int, row func(i int) string) string {
	rows := []string{header}
	for i := range n {
		rows = append(rows, row(i))
	}
	return asLines(rows...)
}

// stepsOf are the steps proposed for files of a record, and what reading by the layouts
// that are proposed for all files gives.
func stepsOf(t *testing.T, record string, files map[string]string) (steps []string, w fakeWarehouse) {
	t.Helper()
	all, err := Propose(context.Background(), folder(t, files), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	whole := map[string]string{}
	maps.Copy(whole, files)
	for i, p := range all {
		if p.Record == record && p.Sure {
			steps = append(steps, p.Steps...)
		}
		if p.Sure && p.Text != "" {
			whole[fmt.Sprintf("%d.toml", i)] = p.Text
		}
	}
	_, w = readInto(t, folder(t, whole))
	return steps, w
}

var register = someRows("Serial,Model,Input kW,Fuel,Site", 12, func(i int) string { return fmt.Sprintf("K-%03d,T40,200,NG,Quay", i) })

// What no column says stands in the names of files: the boiler that each is of, the day, and
// the office of a register.
func TestDraftOfNames(t *testing.T) {
	files := map[string]string{"boilers.csv": register}
	for k := range 4 {
		files[fmt.Sprintf("tests_K-%03d.csv", k)] = someRows("Date,Fire,Condition,CO2", 4,
			func(i int) string { return fmt.Sprintf("2024-03-%02d,high,as found,9.%d", 4*k+i+1, i) })
	}
	steps, w := stepsOf(t, "readings", files)
	require.Equal(t, []string{
		"from_name of the file: no column is an id of a boiler, and the names of 4 of 4 files hold one of another file",
	}, steps)
	require.Len(t, w["record.visits"], 16)
	require.Equal(t, "K-000", w["record.visits"][0]["serial"])
	require.Equal(t, "K-003", w["record.visits"][15]["serial"])

	files = map[string]string{"boilers.csv": register}
	for k := range 3 {
		files[fmt.Sprintf("round 2024-03-%02d.csv", k+1)] = someRows("Boiler,Fire,Condition,CO2", 4,
			func(i int) string { return fmt.Sprintf("K-%03d,high,as found,9.%d", 4*k+i, i) })
	}
	steps, w = stepsOf(t, "readings", files)
	require.Len(t, steps, 1)
	require.Len(t, w["record.visits"], 12)
	require.Equal(t, "2024-03-03", w["record.visits"][11]["day"])

	files = map[string]string{}
	for _, office := range []string{"north", "harbour side"} {
		files[office+"_boilers.csv"] = strings.ReplaceAll(register, "K-", office[:1])
	}
	steps, w = stepsOf(t, "units", files)
	require.Len(t, steps, 1)
	require.Len(t, w["record.units"], 24)
	require.Equal(t, "harbour side", w["record.units"][0]["area"])
}

// Nothing is taken from names that tell something else: other exports of one register,
// states, and readings that have their boilers and days in columns.
func TestDraftLeavesNames(t *testing.T) {
	other := strings.ReplaceAll(register, "K-", "M-")
	for name, files := range map[string]map[string]string{
		"one register twice": {"north_boilers.csv": register, "south_boilers.csv": strings.Replace(register, "K-003", "M-003", 1)},
		"states":             {"active_boilers.csv": register, "removed_boilers.csv": other},
		"copies":             {"boilers_old.csv": register, "boilers_new.csv": other},
		"years":              {"boilers_2024.csv": register, "boilers_2025.csv": other},
		"readings": {
			"boilers.csv": register,
			"K-001 2024-01-01.csv": someRows("Boiler,Date,Fire,Condition,CO2", 4, func(i int) string {
				return fmt.Sprintf("K-%03d,2024-03-%02d,high,as found,9.%d", i, i+1, i)
			}),
		},
	} {
		for _, record := range []string{"units", "readings"} {
			steps, _ := stepsOf(t, record, files)
			assert.Empty(t, steps, name)
		}
	}
}

// Rows of one cell that head the rows below give them what no column has; a line below the
// rows is no heading, and neither is a label of which a column has the field.
func TestDraftOfHeadings(t *testing.T) {
	row := func(i int) string { return fmt.Sprintf("K-%03d,2024-03-%02d,high,as found,9.%d", i, i+1, i) }
	head := "Boiler,Date,Fire,Condition,CO2"
	headed := asLines(head, "Site: Oak Hill", row(0), row(1), "Site: Elm", row(2), row(3))
	steps, w := stepsOf(t, "readings", map[string]string{"x.csv": headed})
	require.Equal(t, []string{`heading_rows: 2 rows of one cell head the rows below, as "Site: Oak Hill" does`}, steps)
	require.Len(t, w["record.visits"], 4)
	require.Equal(t, "Elm", w["record.visits"][2]["site"])
	for _, rows := range [][]string{
		{head, row(0), row(1), "Site: Elm", row(2), "Site: Oak Hill"},
		{head + ",Site", row(0) + ",Elm", "Site: Elm", row(1) + ",Elm", "Site: Elm"},
		{head, "Printed by: A. Lind", row(0), "Printed by: A. Lind", row(1)},
		{head, "Site: Elm", row(0), row(1)},
	} {
		steps, _ = stepsOf(t, "readings", map[string]string{"x.csv": asLines(rows...)})
		require.Empty(t, steps, rows)
	}
}

// A column of revisions decides which record stands, where records of one id have several.
func TestDraftOfRevisions(t *testing.T) {
	row := func(i, revision int) string {
		return fmt.Sprintf("R%d,%d,K-%03d,2024-03-%02d,high,as found,9.%d", i, revision, i, i+1, revision)
	}
	head := "Report,Rev,Boiler,Date,Fire,Condition,CO2"
	steps, w := stepsOf(t, "readings", map[string]string{"x.csv": asLines(head, row(0, 1), row(1, 2), row(1, 1), row(2, 1), row(2, 2))})
	require.Equal(t, []string{`keep_latest "Report": 2 records of column "Report" have several of column "Rev"`}, steps)
	require.Len(t, w["record.readings"], 3)
	require.InDelta(t, 9.2, numberOf(t, w["record.readings"][1]["co2_percent"]), 1e-9)
	for _, rows := range [][]string{
		{head, row(0, 1), row(1, 1), row(2, 1)},
		{head, row(0, 3), row(1, 2), row(2, 1), row(2, 2)},
		{strings.Replace(head, "Rev", "App rev", 1), row(0, 1), row(1, 1), row(1, 2)},
	} {
		steps, _ = stepsOf(t, "readings", map[string]string{"x.csv": asLines(rows...)})
		require.Empty(t, steps, rows)
	}
}

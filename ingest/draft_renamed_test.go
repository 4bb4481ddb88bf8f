package ingest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// renamedRows are readings of an export that renamed its columns after so many rows.
func renamedRows(older, newer int) []string {
	rows := []string{"Boiler,Test Date,CO2,Flue temp,Tech,When tested,CO2 %,Stack temp (F),Technician name,Technician id,Fire,State"}
	fires, states := []string{"high", "low"}, []string{"as found", "as left"}
	for i := range older {
		rows = append(rows, fmt.Sprintf("K-%03d,03/%02d/2023,9.%d,140,R. Lind,,,,,,%s,%s", i/2, 1+i%28, i%5, fires[i%2], states[i/40%2]))
	}
	for i := range newer {
		rows = append(rows, fmt.Sprintf("K-%03d,,,,,2024-03-%02d,9.%d,284,R. Lind,7,%s,%s", i/2, 1+i%28, i%5, fires[i%2], states[i/40%2]))
	}
	return rows
}

// Columns that an update renamed are one, where no row has both. A column in another unit
// of measure, or of other texts, is left.
func TestDraftOfRenamedColumns(t *testing.T) {
	text := asLines(renamedRows(12, 20)...)
	all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": text}), nil, func(string, string) string { return "" })
	require.NoError(t, err)
	draft := all[0].Text
	for _, columns := range []string{`["Test Date", "When tested"]`, `["CO2", "CO2 %"]`, `["Tech", "Technician name"]`} {
		assert.Contains(t, draft, "columns = "+columns, draft)
	}
	assert.NotContains(t, draft, "Stack temp (F)\"]", "degF and degC are not one column")
	r, w := readInto(t, folder(t, map[string]string{"x.toml": draft, "x.csv": text}))
	assert.EqualValues(t, 32, r.Files[0].Parsed, r.Files[0].Message)
	assert.Len(t, w["record.readings"], 32)
	assert.Contains(t, all[0].Steps,
		`first_filled "CO2", "CO2 %": one thing under several names: of 32 rows, 12 have "CO2", 20 have "CO2 %", `+
			"and none has two that differ")
}

// Columns are left as they are where a row has two that differ, where few rows are filled,
// and where headers tell fires or conditions apart.
func TestDraftLeavesColumnsThatAreNotRenamed(t *testing.T) {
	both := renamedRows(12, 20)
	both[3] = strings.Replace(both[3], ",,,,,", ",2024-01-01,8.8,300,R. Lind,7,", 1)
	turns := []string{"Boiler,Date,O2 before,O2 after,Fire,Condition"}
	for i := range 20 {
		o2 := []string{"4.1,", ",4.4"}[i%2]
		turns = append(turns, fmt.Sprintf("K-%03d,2024-03-%02d,%s,high,%s", i, i+1, o2, []string{"as found", "as left"}[i%2]))
	}
	for name, rows := range map[string][]string{"both": both, "few": renamedRows(2, 2), "turns": turns} {
		t.Run(name, func(t *testing.T) {
			o := folder(t, map[string]string{"x.csv": asLines(rows...)})
			all, err := Propose(context.Background(), o, nil, func(string, string) string { return "" })
			require.NoError(t, err)
			assert.NotContains(t, all[0].Text, "CO2\", \"CO2 %", all[0].Text)
			assert.NotContains(t, all[0].Text, "O2 before\", \"O2 after", all[0].Text)
		})
	}
}

// A file reads the same whether its columns were renamed or not, wherever that was and
// whatever the order of columns.
func TestRenamedColumnsReadAsOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 12 {
		const n = 30
		at, order := 8+rng.IntN(15), rng.Perm(7)
		heads := []string{"Boiler", "Fire", "Condition", "Date", "Visit date", "O2", "Oxygen %"}
		twice, once := []string{inOrder(heads, order)}, []string{"Boiler,Fire,Condition,Date,O2"}
		for i := range n {
			cells := []string{fmt.Sprintf("K-%03d", i), "high", "as found", fmt.Sprintf("2024-03-%02d", 1+i%28), "", fmt.Sprintf("4.%d", i%7), ""}
			once = append(once, strings.Join([]string{cells[0], cells[1], cells[2], cells[3], cells[5]}, ","))
			if i >= at {
				cells[3], cells[4], cells[5], cells[6] = "", cells[3], "", cells[5]
			}
			twice = append(twice, inOrder(cells, order))
		}
		var read [2]string
		for k, rows := range [][]string{twice, once} {
			text := asLines(rows...)
			all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": text}), nil, func(string, string) string { return "" })
			require.NoError(t, err)
			_, w := readInto(t, folder(t, map[string]string{"x.toml": all[0].Text, "x.csv": text}))
			require.Len(t, w["record.readings"], n)
			for i, row := range w["record.readings"] {
				read[k] += row.show("serial", "o2_percent", "fire", "condition") + " " + w["record.visits"][i].show("day") + "\n"
			}
		}
		require.Equal(t, read[1], read[0], order)
	}
}

func inOrder(cells []string, order []int) string {
	out := make([]string, len(cells))
	for i, at := range order {
		out[at] = cells[i]
	}
	return strings.Join(out, ",")
}

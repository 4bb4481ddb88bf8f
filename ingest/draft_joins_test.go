package ingest

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dump are tables of a database: visits, and the readings taken at them.
func dump(visits, readings string, visit func(i int) string) map[string]string {
	return map[string]string{
		"visits.csv": someRows(visits, 12, visit),
		"readings.csv": someRows(readings, 24, func(i int) string {
			return fmt.Sprintf("%d,%d,%s,as found,9.%d,%d", i+1, 100+i/2, []string{"high", "low"}[i%2], i%5, 20+i)
		}),
	}
}

// Readings without a boiler or a day take them from the visits that they name, whatever
// either table calls the id of a visit.
func TestDraftOfJoins(t *testing.T) {
	visit := func(i int) string { return fmt.Sprintf("%d,K-%03d,2024-03-%02d,R. Lind,gate %d", 100+i, i, i+1, i) }
	for _, heads := range [][2]string{
		{"id,boiler,visited_on,technician,note", "id,visit_id,fire,state,co2,co ppm"},
		{"visit_id,boiler,visited_on,technician,note", "id,visit_id,fire,state,co2,co ppm"},
		{"visit no,boiler,date,technician,note", "id,visit id,fire,state,co2,co ppm"},
		{"order,boiler,date,technician,note", "id,Order,fire,state,co2,co ppm"},
	} {
		steps, w := stepsOf(t, "readings", dump(heads[0], heads[1], visit))
		require.Len(t, steps, 1, heads)
		require.Contains(t, steps[0], "join \"boiler\", ")
		require.Len(t, w["record.readings"], 24)
		require.Len(t, w["record.visits"], 12)
		assert.Equal(t, "serial=K-011 day=2024-03-12 technician=R. Lind", w["record.visits"][11].show("serial", "day", "technician"))
	}
}

// Nothing is joined where readings name boiler and day themselves, where most name no row, or
// where an id stands in several.
func TestDraftLeavesTables(t *testing.T) {
	visits, readings := "visit_id,boiler,visited_on,technician,note", "id,visit_id,fire,state,co2,co ppm"
	for name, files := range map[string]map[string]string{
		"ids twice": dump(visits, readings, func(i int) string { return fmt.Sprintf("%d,K-%03d,2024-03-%02d,,", 100+i/2, i, i+1) }),
		"others":    dump(visits, readings, func(i int) string { return fmt.Sprintf("%d,K-%03d,2024-03-%02d,,", 106+i, i, i+1) }),
		"no day":    dump("visit_id,boiler,note,technician,x", readings, func(i int) string { return fmt.Sprintf("%d,K-%03d,a,b,c", 100+i, i) }),
		"complete": {
			"boilers.csv": register,
			"readings.csv": someRows("visit_id,boiler,date,fire,state,co2", 12, func(i int) string {
				return fmt.Sprintf("%d,K-%03d,2024-03-%02d,high,as found,9.1", 100+i, i, i+1)
			}),
			"visits.csv": someRows(visits, 12, func(i int) string { return fmt.Sprintf("%d,K-%03d,2024-03-%02d,,", 100+i, i, i+1) }),
		},
	} {
		all, err := Propose(context.Background(), folder(t, files), nil, func(string, string) string { return "" })
		require.NoError(t, err)
		for _, p := range all {
			assert.Empty(t, p.Steps, name)
			assert.NotEqual(t, "table", p.Record, name)
		}
	}
}

package reshape

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/model/day"
)

// TestTablesAreBounded: a table of more than may be held is refused, by what its wanted
// columns take.
func TestTablesAreBounded(t *testing.T) {
	l := &layout.Layout{Steps: []layout.Step{{Do: layout.Join, Table: "v", By: []string{"id"}, Take: []string{"day"}}}}
	table := NewTable(&layout.Layout{Name: "v"}, []*layout.Layout{l})
	table.limit = 1000
	row := &lines.Line{Cells: []string{"1", "2024-03-25", "a note that nobody wants, however long it is"}}
	var err error
	n := 0
	for ; err == nil; n++ {
		err = table.Add([]string{"ID", "Day", "note"}, row, "v.csv", day.None)
	}
	require.ErrorContains(t, err, "export shorter ones")
	assert.Equal(t, 5, n) // 203 bytes each
}

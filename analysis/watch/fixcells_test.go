package watch

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

// Cells without which a line stands are listed below whole lines, unless they hold a CO
// that nothing has settled.
func TestCellsAreListedBelowLines(t *testing.T) {
	line := Fix{File: "a.csv", Line: 9, Serial: "", Day: day.None, Reason: "unreadable-date"}
	cell := Fix{File: "a.csv", Line: 2, Serial: "B1", Day: 20000, Reason: "unknown-code", OfCell: true}
	co := Fix{File: "a.csv", Line: 5, Serial: "B1", Day: 20000, Reason: "unreadable-number", OfCell: true, co: &UnusedCO{}}
	fixes := []Fix{cell, line, co}
	OrderFixes(fixes, nil)
	require.Equal(t, []int{5, 9, 2}, []int{fixes[0].Line, fixes[1].Line, fixes[2].Line})
	require.False(t, fixes[2].Decides)
}

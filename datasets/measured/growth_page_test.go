package measured

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A night whose time grows in proportion and whose memory grows with the square ends by its
// memory; the figures of ten and a hundred times follow
// from the power, and for the disk from a fixed part of 10 MiB and 1 MiB in a hundred units.
func TestGrowthPage(t *testing.T) {
	row := func(name, figure, value string) Row {
		return Row{Figure: Figure{Case: name, Figure: figure, Value: value}}
	}
	rows := []Row{
		row("writing the demo's exports, CPU s", "at 100 units", "9"), row("writing the demo's exports, CPU s", "at 1,000 units", "90"),
		row("floor: wc -l, CPU s", "at 1,000 units", "1"),
		row("reading, CPU s", "at 100 units", "3"), row("reading, CPU s", "at 1,000 units", "30"),
		row("reading, CPU s", "slope from 100 to 1,000 units", "1"),
		row("fitting, CPU s", "at 100 units", "1"), row("fitting, CPU s", "at 1,000 units", "10"),
		row(nightRow, "at 100 units", "4"), row(nightRow, "at 1,000 units", "40"),
		row("command list, CPU s", "at 1,000 units", "500"),
		row(memoryRow, "at 100 units", "1"), row(memoryRow, "at 1,000 units", "100"),
		row(diskRow, "at 100 units", "11"), row(diskRow, "at 1,000 units", "20"),
	}
	page := growthPage(rows)
	require.Contains(t, page, "| 1,000 | 40 | reading 75 %, fitting 25 % | 100 | 20 |\n")
	require.Contains(t, page, "| 10,000 | 400 | reading 75 %, fitting 25 % | 10000 | 110 |\n")
	require.Contains(t, page, "| 100,000 | 4000 | reading 75 %, fitting 25 % | 1000000 | 1010 |\n")
	require.Contains(t, page, "Memory ends first, at about 13,000 units", "1,000 times the root of 16 GiB over 100 MiB")
	require.Contains(t, page, "time for 1,400,000", "8 hours of 2 cores over 40 CPU s")
	require.Empty(t, growthPage(rows[:3]), "one size has no growth")
}

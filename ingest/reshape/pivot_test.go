package reshape

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

func wider(more ...string) layout.Step {
	return layout.Step{
		Do: layout.PivotWider, Ids: []string{"Visit", "Unit"}, NamesFrom: "What", ValuesFrom: "Value", Names: append([]string{"O2", "CO"},
			more...),
	}
}

func TestPivotWider(t *testing.T) {
	out, notes, err := reshaped(t, wantCells(`
		Visit | Unit | What | Value | By
		V1 | 7 | O2 | 4.9 | T1
		V2 | 8 | co | 12 |
		V1 | 7 | CO | 30 | T2
		V2 | 8 | Draft | -5 | T9
		V1 | 7 | O2 | 4.9 |
		V2 | 8 | O2 | |
		| | O2 | 5 |`), wider())
	require.NoError(t, err)
	assert.Equal(t, wantCells(`
		Visit | Unit | By | O2 | CO
		| | | 5 |
		V1 | 7 | T1 | 4.9 | 30
		V2 | 8 | T9 | | 12`), cellsOf(out))
	assert.Equal(t, []int{1, 2, 3, 4, 5, 6, 7, 8}, numbersOf(out), "each line of the file is in one row")
	assert.Equal(t, blankID, out[1].Wrong.Reason)
	assert.Equal(t, []string{
		`1 cell of column "What" hold "Draft", which is none of the names of the step`,
		`1 cell of other columns differ within a visit, where the first counts: the first "T2" in line 4`,
	}, notes)
}

// Two values under one name set the visit aside; nobody knows which one holds.
func TestPivotGivenTwice(t *testing.T) {
	out, _, err := reshaped(t, wantCells(`
		Visit | Unit | What | Value
		V1 | 7 | O2 | 4.9
		V1 | 7 | O2 | 5.3
		V1 | 7 | CO | 20`), wider())
	require.NoError(t, err)
	assert.Equal(t, &lines.Fault{
		Column: "Value", Value: "5.3", Reason: GivenTwice, Message: `O2 of this visit is "4.9" in line 2, and "5.3" in line 3`,
	}, out[1].Wrong)
	assert.Len(t, out[1].Joined, 2)
}

func TestPivotUnits(t *testing.T) {
	step := wider()
	step.UnitsFrom = "Unit of measure"
	out, _, err := reshaped(t, wantCells(`
		Visit | Unit | What | Value | Unit of measure
		V1 | 7 | O2 | 4.9 | %
		V1 | 7 | CO | 20 |`), step)
	require.NoError(t, err)
	assert.Equal(t, []string{"V1", "7", "4.9 %", "20"}, out[1].Cells)
}

// Where the rows of a visit stand together, only one visit is held.
func TestPivotHoldsLittle(t *testing.T) {
	defer func(before int) { heldBytes = before }(heldBytes)
	heldBytes = 1 << 10
	in := table{{"Visit", "Unit", "What", "Value"}}
	for i := range 40 {
		in = append(in, []string{fmt.Sprint(i / 2), "7", []string{"O2", "CO"}[i%2], "5"})
	}
	_, _, err := reshaped(t, in, wider())
	assert.Equal(t, lines.TooLarge, refusal(t, err).Reason)
	assert.ErrorContains(t, err, `sort the export by "Visit", "Unit" and declare adjacent = true`)
	step := wider()
	step.Adjacent = true
	out, _, err := reshaped(t, in, step)
	require.NoError(t, err)
	assert.Len(t, out, 21)
}

// A line that is no row keeps none of its cells, which would stand in other columns.
func TestPivotBesideBadLines(t *testing.T) {
	out, _, err := reshaped(t, table{
		{"Visit", "Unit", "What", "Value"}, {"V1", "7"}, {"V1", "7", "O2", "4\x00"}, {"V1", "7", "O2", "4.9"}, {"Visit", "Unit", "What", "Value"},
	}, wider())
	require.NoError(t, err)
	assert.Equal(t, []string{WrongFieldCount, controlChar}, []string{out[1].Wrong.Reason, out[2].Wrong.Reason})
	assert.Empty(t, out[1].Cells)
	assert.Empty(t, out[2].Cells)
	assert.Equal(t, out[0].Cells, out[3].Cells, "a header that is repeated is one after the step as well")
	assert.Equal(t, []string{"V1", "7", "4.9", ""}, out[4].Cells)
}

// longer takes a table apart as pivot_wider puts it together: a row a filled cell.
func longer(wide table) table {
	long := table{{"Visit", "Unit", "What", "Value"}}
	for _, row := range wide[1:] {
		for i, cell := range row[2:] {
			long = append(long, []string{row[0], row[1], wide[0][2+i], cell})
		}
	}
	return long
}

// TestPivotIsUndone: visits taken apart, in whatever order their rows then stand, are
// put together as they were, and every row is in one of them.
func TestPivotIsUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.SampledFrom([]string{"", "4.9", "12", "x"})
		wide := table{{"Visit", "Unit", "O2", "CO", "Temp"}}
		for i := range rapid.IntRange(0, 5).Draw(t, "visits") {
			wide = append(wide, []string{"V" + strconv.Itoa(i), "7", cell.Draw(t, "o2"), cell.Draw(t, "co"), cell.Draw(t, "temp")})
		}
		long := longer(wide)
		rows := rapid.Permutation([][]string(long[1:])).Draw(t, "order")
		out, notes, err := reshaped(t, append(table{long[0]}, rows...), wider("Temp"))
		require.NoError(t, err)
		require.Empty(t, notes)
		require.Len(t, numbersOf(out), len(long))
		back := cellsOf(out)
		slices.SortFunc(back[1:], func(x, y []string) int { return strings.Compare(x[0], y[0]) })
		require.Equal(t, wide, back)
	})
}

// FuzzPivot: whatever the rows are, each line of the file comes out in one row.
func FuzzPivot(f *testing.F) {
	f.Add("V1,7,O2,4.9\nV1,7,CO,20\n", false)
	f.Add("V1,7,O2,4.9\nV2,7,O2,\n\n,,,\nV1,7,O2,5\nVisit,Unit,What,Value\nV1", true)
	f.Fuzz(func(t *testing.T, text string, adjacent bool) {
		in := table{{"Visit", "Unit", "What", "Value"}}
		for line := range strings.SplitSeq(text, "\n") {
			in = append(in, strings.Split(line, ","))
		}
		step := wider()
		step.Adjacent = adjacent
		out, _, err := reshaped(t, in, step)
		require.NoError(t, err)
		numbers := numbersOf(out)
		require.Len(t, numbers, len(in))
		for i, n := range numbers {
			require.Equal(t, i+1, n)
		}
	})
}

package reshape

import (
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

var latestOf = layout.Step{Do: layout.KeepLatest, Ids: []string{"Report"}, Revision: "Rev"}

// standing are the numbers of the lines that are not left out.
func standing(all []lines.Line) (numbers []int) {
	for _, ln := range all {
		if ln.Left == "" {
			numbers = append(numbers, ln.Number)
		}
	}
	return numbers
}

func TestKeepLatest(t *testing.T) {
	out, _, err := reshaped(t, wantCells(`
		Report | Rev | O2
		R1 | 2 | 4.4
		R2 | | 5
		R1 | 10 | 4.5
		R2 | A | 6
		| 1 | 7
		R3 | 1 | 8
		R1 | 10 | 4.6
		R2 | AA | 5`), latestOf)
	require.NoError(t, err)
	require.Len(t, numbersOf(out), 9)
	assert.ElementsMatch(t, []int{1, 4, 6, 7, 8, 9}, standing(out), "rows of one revision all stand, and so does one without ids")
	i := slices.IndexFunc(out, func(ln lines.Line) bool { return ln.Number == 2 })
	assert.Equal(t, `an earlier "Rev" of the same record`, out[i].Left)
}

func TestRevisionsAreOrdered(t *testing.T) {
	days, err := parse.NewDays("dd/mm/yyyy", 0)
	require.NoError(t, err)
	s := &keepLatest{days: days}
	order := []string{"", "2", "10", "01/03/2024", "02/02/2025", "A", "z", "AA"}
	for i, x := range order {
		for j, y := range order {
			assert.Equal(t, i < j, s.compare(x, y) < 0, "%q, %q", x, y)
		}
	}
}

// TestLatestWhateverTheOrder: the order of the rows does not matter to which stand, and
// every row is kept or left out.
func TestLatestWhateverTheOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := [][]string{}
		for i := range rapid.IntRange(0, 8).Draw(t, "rows") {
			in = append(in, []string{
				rapid.SampledFrom([]string{"R1", "R2"}).Draw(t, "id"),
				rapid.SampledFrom([]string{"", "1", "2", "B"}).Draw(t, "rev"), strconv.Itoa(i),
			})
		}
		kept := func(rows [][]string) (names []string) {
			out, _, err := reshaped(t, append(table{{"Report", "Rev", "n"}}, rows...), latestOf)
			require.NoError(t, err)
			require.Len(t, numbersOf(out), len(rows)+1)
			for _, ln := range out[1:] {
				if ln.Left == "" {
					names = append(names, ln.Cells[2])
				}
			}
			slices.Sort(names)
			return names
		}
		require.Equal(t, kept(in), kept(rapid.Permutation(in).Draw(t, "order")))
	})
}

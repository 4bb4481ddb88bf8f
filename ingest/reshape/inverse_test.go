package reshape

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
)

// word is a cell that is neither blank nor a heading.
var word = rapid.StringMatching(`[a-z0-9]{1,5}`)

// TestHeadingsAreUndone: rows that were put below headings come back with what stood in
// their column, each heading is left out and counted, and a row in between keeps its place.
func TestHeadingsAreUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in, want, headings := table{{"Unit", "CO2"}}, table{{"Unit", "CO2", "office"}}, 0
		for range rapid.IntRange(0, 4).Draw(t, "offices") {
			office := word.Draw(t, "office")
			in, headings = append(in, []string{"Office: " + office}), headings+1
			for range rapid.IntRange(0, 3).Draw(t, "rows") {
				unit, co2 := word.Draw(t, "unit"), word.Draw(t, "co2")
				in, want = append(in, []string{unit, co2}), append(want, []string{unit, co2, office})
			}
		}
		out, _, err := reshaped(t, in, layout.Step{Do: layout.HeadingRows, Patterns: []string{`Office: (?P<office>.+)`}})
		require.NoError(t, err)
		require.Len(t, out, len(in))
		var kept table
		for _, ln := range out {
			if ln.Left == "" {
				kept = append(kept, slices.Clone(ln.Cells))
			}
		}
		require.Equal(t, want, kept)
		require.Equal(t, headings, len(out)-len(kept))
	})
}

// TestRenamedColumnsAreUndone: a column that was spread over several, one a row, comes
// back, whichever of them held it.
func TestRenamedColumnsAreUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in, want := table{{"A", "B", "C"}}, []string{"Phone"}
		for range rapid.IntRange(0, 9).Draw(t, "rows") {
			row, cell := []string{"", "", ""}, word.Draw(t, "cell")
			row[rapid.IntRange(0, 2).Draw(t, "column")] = cell
			in, want = append(in, row), append(want, cell)
		}
		out, notes, err := reshaped(t, in, layout.Step{Do: layout.FirstFilled, Columns: []string{"A", "B", "C"}, Into: "Phone"})
		require.NoError(t, err)
		require.Empty(t, notes, "nothing is not used")
		var got []string
		for _, ln := range out {
			got = append(got, ln.Cells[3])
		}
		require.Equal(t, want, got)
	})
}

// TestMissingIsWhatTheOtherColumnSays: a cell becomes blank where it has one of the values
// and the other column says so, and no other cell changes.
func TestMissingIsWhatTheOtherColumnSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in, want := table{{"O2", "Tested"}}, table{{"O2", "Tested"}}
		taken := 0
		for range rapid.IntRange(0, 9).Draw(t, "rows") {
			row := []string{
				rapid.SampledFrom([]string{"0", "0.0", "4.9", ""}).Draw(t, "o2"), rapid.SampledFrom([]string{"N", "n", "Y", ""}).Draw(t, "tested"),
			}
			in, want = append(in, row), append(want, slices.Clone(row))
			if row[0] == "0" && (row[1] == "N" || row[1] == "n") {
				want[len(want)-1][0] = ""
				taken++
			}
		}
		out, notes, err := reshaped(t, in, layout.Step{
			Do: layout.MissingWhere, Columns: []string{"O2"}, Values: []string{"0"}, Where: "Tested", Is: []string{"N"},
		})
		require.NoError(t, err)
		require.Equal(t, want, cellsOf(out))
		require.Equal(t, taken > 0, len(notes) > 0)
	})
}

// TestNamesAreUndone: what a name was made of stands in each row, and no row is lost.
func TestNamesAreUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		office, year := rapid.StringMatching(`[a-z]{1,5}`).Draw(t, "office"), rapid.IntRange(1990, 2030).Draw(t, "year")
		in, want := table{{"Unit"}}, table{{"Unit", "office", "year"}}
		for range rapid.IntRange(0, 5).Draw(t, "rows") {
			unit := word.Draw(t, "unit")
			in, want = append(in, []string{unit}), append(want, []string{unit, office, fmt.Sprint(year)})
		}
		step := layout.Step{Do: layout.PartsOfName, Patterns: []string{`^(?P<office>[a-z]+)_(?P<year>\d{4})\.csv$`}}
		src := Rows(&tableRows{table: in}, layoutOf(t, step), fmt.Sprintf("%s_%d.csv", office, year), nil)
		var got table
		for range in {
			ln, err := src.Next()
			require.NoError(t, err)
			got = append(got, slices.Clone(ln.Cells))
		}
		require.Equal(t, want, got)
	})
}

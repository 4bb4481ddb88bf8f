package reshape

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
)

func lookupOf(unknown string) layout.Step {
	return layout.Step{
		Do: layout.LookupIn, Column: "Model", Table: "lines.csv", Unknown: unknown,
		Found: &layout.Lookup{Names: []string{"line"}, Rows: map[string][]string{"t-40": {"T40"}}},
	}
}

func TestLookup(t *testing.T) {
	in := wantCells(`
		Unit | Model
		1 | T-40
		2 | t-40
		3 | T60
		4 |`)
	want := func(third string) table {
		return table{{"1", "T-40", "T40"}, {"2", "t-40", "T40"}, {"3", "T60", third}, {"4", "", ""}}
	}
	out, notes, err := reshaped(t, in, lookupOf("keep"))
	require.NoError(t, err)
	assert.Equal(t, want("T60"), cellsOf(out)[1:])
	assert.Equal(t, []string{`1 cell of column "Model" not in lines.csv: the first "T60" in line 4`}, notes)
	out, notes, err = reshaped(t, in, lookupOf("missing"))
	require.NoError(t, err)
	assert.Equal(t, want(""), cellsOf(out)[1:])
	assert.Len(t, notes, 1)
	out, notes, err = reshaped(t, in, lookupOf("wrong"))
	require.NoError(t, err)
	assert.Empty(t, notes)
	assert.Equal(t, NotInTable, out[3].Wrong.Reason)
	assert.Nil(t, out[4].Wrong, "a blank cell is none that the table lacks")
}

// TestLookupKeepsAll: every row comes out, known or not, and a table that writes texts as
// they are changes none.
func TestLookupKeepsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in, same := table{{"Model"}}, lookupOf("keep")
		for _, m := range rapid.SliceOfN(rapid.SampledFrom([]string{"T40", "T60", "x"}), 0, 9).Draw(t, "models") {
			in = append(in, []string{m})
		}
		same.Found = &layout.Lookup{Names: []string{"line"}, Rows: map[string][]string{"t40": {"T40"}, "t60": {"T60"}}}
		out, _, err := reshaped(t, in, same)
		require.NoError(t, err)
		require.Len(t, out, len(in))
		for i, ln := range out[1:] {
			require.Equal(t, []string{in[i+1][0], in[i+1][0]}, ln.Cells)
		}
	})
}

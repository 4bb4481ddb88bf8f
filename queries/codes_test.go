package queries

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/judge"
)

// The warehouse stores the words that the model knows, and a column with any other
// is an error, never a value that nothing compares with.
func TestCodesAreTheWordsOfTheModel(t *testing.T) {
	ctx := context.Background()
	w, err := Create(ctx, filepath.Join(t.TempDir(), "w.duckdb"), Options{Threads: 1})
	require.NoError(t, err)
	defer w.Close()
	require.NoError(t, w.Build(ctx, 20000))
	require.Equal(t, asRows(judge.Fires()), stored(t, w, "record.fire"))
	require.Equal(t, asRows(judge.Conditions()), stored(t, w, "record.condition"))

	require.NoError(t, LoadRows(ctx, w, "result.fits", FitFields, []Fit{{Fire: judge.High, How: "given"}, {Fire: "hihg", How: "given"}}))
	_, err = w.Fits(ctx)
	require.ErrorContains(t, err, `column "fire" has the word "hihg"`)
}

// stored gives the words of a type of the warehouse, in its order.
func stored(t *testing.T, w *Warehouse, name string) [][]string {
	return ask(t, w, block{relation: "(select unnest(enum_range(null::" + name + "))::varchar as word)", columns: []string{"word"}})
}

// asRows gives words as rows of one column.
func asRows[W ~string](words []W) (rows [][]string) {
	for _, w := range words {
		rows = append(rows, []string{string(w)})
	}
	return rows
}

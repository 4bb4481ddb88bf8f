package queries

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

// TestFieldsBothWays: what is loaded by a table of fields is read back by it,
// lists and their rows included.
func TestFieldsBothWays(t *testing.T) {
	ctx := context.Background()
	w, err := Create(ctx, filepath.Join(t.TempDir(), "w.duckdb"), Options{Threads: 1})
	require.NoError(t, err)
	defer w.Close()
	require.NoError(t, w.Build(ctx, 20000))
	rows := []Prediction{
		{
			UnitKey: 1, Fire: "high", CO2Percent: 9.1 + 1e-15, PlannedDay: 20100, WorstDay: day.None,
			Parts: []Part{{"last reading | as left", 9.1}, {"drift", -0.05}},
			Marks: []Mark{{"a|b", 0.07, day.None}, {"c", 0, 20000}},
			Path:  []PathPoint{{20000, 9.1, 8.9, 9.3}, {20030, 9.05, 8.8, 9.3}, {day.None, 1.0 / 3, 0, 1}},
		},
		{UnitKey: 1, Fire: "low", Marks: []Mark{{"only this", 0, day.None}}},
		{UnitKey: 2, Fire: "high", Path: []PathPoint{{20000, 8, 7, 9}}},
	}
	require.NoError(t, LoadRows(ctx, w, "result.predictions", PredictionFields, rows))
	got, err := w.Predictions(ctx, Slice{0, 9})
	require.NoError(t, err)
	assert.Equal(t, rows, got)
	fits := []Fit{{Fire: "high", How: "estimated", Units: 3, Notes: []string{"one", "two | three"}}, {Fire: "low", How: "given"}}
	require.NoError(t, LoadRows(ctx, w, "result.fits", FitFields, fits))
	gotFits, err := w.Fits(ctx)
	require.NoError(t, err)
	assert.Equal(t, fits, gotFits)
	text := ask(t, w, block{
		relation: "result.predictions, unnest(parts) as t(part) where unit_key = 1 and fire = 'high'",
		columns:  []string{"part.kind as kind"},
	})
	assert.Equal(t, [][]string{{"last reading | as left"}, {"drift"}}, text)
}

package queries

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestEmptyWarehouse(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "w.duckdb")
	o := Options{Version: "1"}
	w, err := Create(ctx, path, o)
	require.NoError(t, err)
	require.NoError(t, w.Build(ctx, 20000))
	require.NoError(t, w.Close())
	w, err = Open(ctx, path, o)
	require.NoError(t, err)
	require.Equal(t, int32(20000), w.AsOf())
	require.NoError(t, w.Close())
}

func TestReadsOfEmptyWarehouse(t *testing.T) {
	ctx := context.Background()
	w, err := Create(ctx, filepath.Join(t.TempDir(), "w.duckdb"), Options{Version: "1"})
	require.NoError(t, err)
	require.NoError(t, w.Build(ctx, 20000))
	_, err = w.Files(ctx)
	require.NoError(t, err)
	_, err = w.SetAside(ctx)
	require.NoError(t, err)
	_, err = w.Units(ctx, "")
	require.NoError(t, err)
	s := Slice{0, 10}
	for _, f := range []func() error{
		func() error { _, err := w.UnitsIn(ctx, s); return err },
		func() error { _, err := w.Targets(ctx, s); return err },
		func() error { _, err := w.VentRuns(ctx, s); return err },
		func() error { _, err := w.Fuels(ctx, s); return err },
		func() error { _, err := w.Answers(ctx, s); return err },
		func() error { _, err := w.Calibrations(ctx); return err },
		func() error { return w.Visits(ctx, s, func(*Visit) error { return nil }) },
		func() error { return w.Readings(ctx, s, func(*Reading) error { return nil }) },
	} {
		require.NoError(t, f())
	}
	checks, err := w.Checks(ctx)
	require.NoError(t, err)
	for _, c := range checks {
		require.Zero(t, c.Wrong, c)
	}
	require.NoError(t, w.Close())
}

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

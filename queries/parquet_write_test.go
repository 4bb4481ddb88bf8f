package queries

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// threeRows is a few rows of each type, missing values and awkward text among them.
func threeRows() arrow.Record {
	b := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema([]arrow.Field{
		{Name: "serial", Type: arrow.BinaryTypes.String, Nullable: true},
		{Name: "change, points", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
		{Name: "day", Type: arrow.FixedWidthTypes.Date32, Nullable: true},
	}, nil))
	defer b.Release()
	b.Field(0).(*array.StringBuilder).AppendValues([]string{"007310", "", "a 'b' \"c\", d"}, []bool{true, false, true})
	b.Field(1).(*array.Float64Builder).AppendValues([]float64{-0.125, 0, 0.3}, []bool{true, false, true})
	b.Field(2).(*array.Date32Builder).AppendValues([]arrow.Date32{20514, 0, -1}, []bool{true, false, true})
	return b.NewRecord()
}

// What is written as Parquet is read back as it was, twice the same bytes, and
// nothing is left in the folder for temporary files.
func TestParquetWrittenIsReadBack(t *testing.T) {
	ctx := context.Background()
	t.Setenv("TMPDIR", t.TempDir())
	w, err := NewParquetWriter(ctx)
	require.NoError(t, err)
	first, err := w.File(ctx, threeRows())
	require.NoError(t, err)
	again, err := w.File(ctx, threeRows())
	require.NoError(t, err)
	require.NoError(t, w.Close())
	assert.True(t, bytes.Equal(first, again))

	path := filepath.Join(t.TempDir(), "rows.parquet")
	require.NoError(t, os.WriteFile(path, first, 0o600))
	p, err := OpenParquet(ctx, path)
	require.NoError(t, err)
	assert.Equal(t, []ParquetColumn{{"serial", "VARCHAR"}, {"change, points", "DOUBLE"}, {"day", "DATE"}}, p.Columns())
	var rows [][]string
	_, err = p.Rows(ctx, func(cells []string, _ []bool) error {
		rows = append(rows, append([]string(nil), cells...))
		return nil
	})
	require.NoError(t, err)
	require.NoError(t, p.Close())
	assert.Equal(t, [][]string{{"007310", "-0.125", "2026-03-02"}, {"", "", ""}, {"a 'b' \"c\", d", "0.3", "1969-12-31"}}, rows)
	left, err := os.ReadDir(os.Getenv("TMPDIR"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

// No rows make a file of none, with its columns.
func TestParquetOfNoRows(t *testing.T) {
	none := threeRows().NewSlice(0, 0)
	w, err := NewParquetWriter(context.Background())
	require.NoError(t, err)
	defer w.Close()
	b, err := w.File(context.Background(), none)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "rows.parquet")
	require.NoError(t, os.WriteFile(path, b, 0o600))
	p, err := OpenParquet(context.Background(), path)
	require.NoError(t, err)
	defer p.Close()
	assert.Len(t, p.Columns(), 3)
}

package queries

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/apache/arrow/go/v17/arrow"
)

// ParquetFile gives the bytes of a Parquet file with the rows of a batch, in
// their order, each column under its name. The same batch gives the same bytes:
// one thread writes. The engine works in a session and a folder of its own,
// which are gone afterwards; nothing else is touched.
func ParquetFile(ctx context.Context, rec arrow.Record) (_ []byte, err error) {
	folder, err := os.MkdirTemp("", "fluedrift-")
	if err != nil {
		return nil, fmt.Errorf("write parquet file: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	if err := copyOut(ctx, folder, rec); err != nil {
		return nil, fmt.Errorf("write parquet file of %d rows: %w", rec.NumRows(), err)
	}
	b, err := os.ReadFile(filepath.Join(folder, "rows.parquet"))
	if err != nil {
		return nil, fmt.Errorf("write parquet file: %w", err)
	}
	return b, nil
}

// copyOut lets the engine write the batch to the file rows.parquet of a folder.
func copyOut(ctx context.Context, folder string, rec arrow.Record) (err error) {
	w, err := aside(ctx, folder, filepath.Join(folder, "spill"), "1")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, w.Close()) }()
	return w.insert(ctx, statement("read", "parquet_file.sql"), rec)
}

package queries

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/apache/arrow/go/v17/arrow"
)

// A ParquetWriter writes Parquet files by the engine, in a session and a folder of its
// own, which are gone after Close; nothing else is touched.
type ParquetWriter struct {
	session *session
	folder  string
}

// NewParquetWriter opens one.
func NewParquetWriter(ctx context.Context) (*ParquetWriter, error) {
	folder, err := os.MkdirTemp("", "fluedrift-")
	if err != nil {
		return nil, fmt.Errorf("write parquet files: %w", err)
	}
	s, err := aside(ctx, folder, filepath.Join(folder, "spill"), "1")
	if err != nil {
		return nil, fmt.Errorf("write parquet files: %w", errors.Join(err, os.RemoveAll(folder)))
	}
	return &ParquetWriter{s, folder}, nil
}

// File gives the bytes of a Parquet file with the rows of a batch, in their order,
// each column under its name. The same batch gives the same bytes: one thread writes.
func (p *ParquetWriter) File(ctx context.Context, rec arrow.Record) ([]byte, error) {
	if err := p.session.insert(ctx, statement("read", "parquet_file.sql"), rec); err != nil {
		return nil, fmt.Errorf("write parquet file of %d rows: %w", rec.NumRows(), err)
	}
	b, err := os.ReadFile(filepath.Join(p.folder, "rows.parquet"))
	if err != nil {
		return nil, fmt.Errorf("write parquet file: %w", err)
	}
	return b, nil
}

// Close ends the session and removes its folder.
func (p *ParquetWriter) Close() error {
	return errors.Join(p.session.Close(), os.RemoveAll(p.folder))
}

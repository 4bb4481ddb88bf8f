package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
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
	settings := url.Values{
		"threads": {"1"}, "memory_limit": {"512MiB"}, "temp_directory": {filepath.Join(folder, "spill")},
		"autoinstall_known_extensions": {"false"}, "autoload_known_extensions": {"false"}, "allow_community_extensions": {"false"},
		"preserve_insertion_order": {"true"},
	}
	db, err := sql.Open("duckdb", "?"+settings.Encode())
	if err != nil {
		return err
	}
	conn, err := db.Conn(ctx)
	if err != nil {
		return errors.Join(err, db.Close())
	}
	w := &Warehouse{db: db, conn: conn}
	defer func() { err = errors.Join(err, w.Close()) }()
	if _, err := conn.ExecContext(ctx, "set home_directory = ?", folder); err != nil {
		return err
	}
	if _, err := conn.ExecContext(ctx, "set lock_configuration = true"); err != nil {
		return err
	}
	return w.insert(ctx, statement("read", "parquet_file.sql"), rec)
}

package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// verify compares what the file says of itself with what it holds.
func (w *Warehouse) verify(ctx context.Context) error {
	var version sql.NullString
	var asOf time.Time
	err := w.conn.QueryRowContext(ctx, statement("read", "build.sql")).Scan(&version, &asOf)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return fmt.Errorf("%w: its building did not end: %w", ErrIncomplete, err)
	}
	if version.String != w.opts.Version {
		return fmt.Errorf("%w: it was made by version %q, this is %q\nbuild it again", ErrOtherVersion, version.String, w.opts.Version)
	}
	if err := w.rowsLost(ctx); err != nil {
		return err
	}
	w.asOf = int32(asOf.Unix() / 86400)
	return nil
}

// rowsLost names the first table that does not hold the rows stored in it.
func (w *Warehouse) rowsLost(ctx context.Context) (err error) {
	rows, err := w.conn.QueryContext(ctx, statement("check", "rows_lost.sql"))
	if err != nil {
		return fmt.Errorf("%w: its row counts cannot be read: %w", ErrIncomplete, err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	if rows.Next() {
		var table string
		var stored, found int64
		if err := rows.Scan(&table, &stored, &found); err != nil {
			return err
		}
		return fmt.Errorf("%w: %s holds %d rows, %d were stored\nbuild it again", ErrIncomplete, table, found, stored)
	}
	return rows.Err()
}

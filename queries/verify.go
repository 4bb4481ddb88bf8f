package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"github.com/marcboeker/go-duckdb"

	"fluedrift/model/day"
)

// verification holds a warehouse just opened to what it says of itself.
type verification struct{ *Warehouse }

// verify compares what the file says of itself with what it holds.
func (w verification) verify(ctx context.Context) error {
	ended, err := w.ended(ctx)
	if err := unreadable(ctx, err); err != nil {
		return err
	}
	if !ended {
		return fmt.Errorf("%w: its building did not end", ErrIncomplete)
	}
	var version, settings, publication sql.NullString
	var asOf time.Time
	if err := unreadable(ctx, w.conn.QueryRowContext(ctx, statement("read", "build.sql")).Scan(&version, &asOf)); err != nil {
		return err
	}
	if err := w.sameSchema(ctx, version.String); err != nil {
		return err
	}
	if err := unreadable(ctx, w.conn.QueryRowContext(ctx, statement("read", "origin.sql")).Scan(&settings, &publication)); err != nil {
		return err
	}
	w.origin = Origin{settings.String, publication.String}
	if err := w.rowsLost(ctx); err != nil {
		return err
	}
	w.asOf = day.In(asOf)
	return nil
}

// unreadable says of the error of a read, where there is one, what is wrong with the
// warehouse.
func unreadable(ctx context.Context, err error) error {
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return ctx.Err()
	case Damaged(err):
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return fmt.Errorf("%w: %w", ErrIncomplete, err)
}

// sameSchema compares the schema of the tables with the one this program makes.
// A warehouse from before schemas had names has no column for it.
func (w verification) sameSchema(ctx context.Context, version string) error {
	var schema sql.NullString
	err := w.conn.QueryRowContext(ctx, statement("read", "schema.sql")).Scan(&schema)
	failed, ok := errors.AsType[*duckdb.Error](err)
	switch {
	case ok && failed.Type == duckdb.ErrorTypeBinder:
		return fmt.Errorf("%w: version %s, whose tables have no schema on record; version %s makes schema %s", ErrOtherVersion,
			version, w.opts.Version, w.opts.schema())
	case err != nil:
		return unreadable(ctx, fmt.Errorf("its schema cannot be read: %w", err))
	case schema.String != w.opts.schema():
		return fmt.Errorf("%w: version %s made tables of schema %s, version %s makes schema %s", ErrOtherVersion, version,
			schema.String, w.opts.Version, w.opts.schema())
	}
	return nil
}

// ended says whether the table with which a build ends is there. It is asked for by
// its name: the engine's list of all tables makes every view of its own first.
func (s *session) ended(ctx context.Context) (there bool, err error) {
	err = s.conn.QueryRowContext(ctx, statement("read", "is_warehouse.sql")).Scan(&there)
	var failed *duckdb.Error
	if errors.As(err, &failed) && failed.Type == duckdb.ErrorTypeCatalog {
		return false, nil // nothing of that name, or no table
	}
	return there, err
}

// rowsLost names the first table that does not hold the rows stored in it.
func (s *session) rowsLost(ctx context.Context) (err error) {
	rows, err := s.conn.QueryContext(ctx, statement("check", "rows_lost.sql"))
	if err != nil {
		return unreadable(ctx, fmt.Errorf("its row counts cannot be read: %w", err))
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	if rows.Next() {
		var table string
		var stored, found int64
		if err := rows.Scan(&table, &stored, &found); err != nil {
			return err
		}
		return fmt.Errorf("%w: %s holds %d rows, %d were stored", ErrIncomplete, table, found, stored)
	}
	return rows.Err()
}

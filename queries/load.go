package queries

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"github.com/apache/arrow/go/v17/arrow"

	"fluedrift/model/day"
)

// Load appends the rows of a record batch to a table, named with its schema
// ("record.readings"). The batch has a column for each column of the table,
// under the same name. Tables of the schemas source and record are loaded
// before Build, those of the schema result after it.
func (w *Warehouse) Load(ctx context.Context, table string, rec arrow.Record) error {
	text, err := statements.ReadFile("load/" + table + ".sql")
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("load %q: there is no such table to load", table)
	}
	if err != nil {
		return fmt.Errorf("load %q: %w", table, err)
	}
	if rec.NumRows() == 0 {
		return nil
	}
	if err := w.insert(ctx, string(text), rec); err != nil {
		return fmt.Errorf("load %q (%d rows): %w", table, rec.NumRows(), err)
	}
	if w.asOf == day.None {
		return nil
	}
	if _, err := w.conn.ExecContext(ctx, statement("load", "about.counts.sql"), table, rec.NumRows()); err != nil {
		return fmt.Errorf("load %q: %w", table, err)
	}
	return nil
}

// Discard takes back the loaded rows of a file, by its key: the file proved to be
// one that must not be read. It is used before Build.
func (w *Warehouse) Discard(ctx context.Context, file int32) error {
	if _, err := w.conn.ExecContext(ctx, "set variable discarded = cast(? as integer)", file); err != nil {
		return fmt.Errorf("discard rows: %w", err)
	}
	if err := w.run(ctx, steps("discard")); err != nil {
		return fmt.Errorf("discard rows: %w", err)
	}
	return nil
}

package queries

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io/fs"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/marcboeker/go-duckdb"
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
	if w.asOf == NoDay {
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

// insert shows the batch to the database as the view main.incoming for the time
// of one statement, which scans it once.
func (w *Warehouse) insert(ctx context.Context, text string, rec arrow.Record) error {
	reader := &once{schema: rec.Schema(), next: rec}
	defer reader.drop()
	var release func()
	err := w.conn.Raw(func(c any) error {
		a, err := duckdb.NewArrowFromConn(c.(driver.Conn))
		if err != nil {
			return err
		}
		release, err = a.RegisterView(reader, "incoming")
		return err
	})
	if err != nil {
		return err
	}
	defer release()
	_, err = w.conn.ExecContext(ctx, text)
	_, dropped := w.conn.ExecContext(context.WithoutCancel(ctx), "drop view main.incoming")
	return errors.Join(err, dropped)
}

// once gives one record batch. The engine never hands a registered reader back,
// so a reader that counted its users would keep every batch in memory for good;
// this one lets go of the batch when told to, and what stays is a few bytes.
type once struct {
	schema  *arrow.Schema
	next    arrow.Record
	current arrow.Record
}

func (o *once) Retain()               {}
func (o *once) Release()              {}
func (o *once) Schema() *arrow.Schema { return o.schema }
func (o *once) Record() arrow.Record  { return o.current }
func (o *once) Err() error            { return nil }

func (o *once) Next() bool {
	o.current, o.next = o.next, nil
	return o.current != nil
}

func (o *once) drop() { o.current, o.next = nil, nil }

package queries

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"iter"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/marcboeker/go-duckdb"
)

// rows answers the question of a file in the folder read, row by row, or ends with
// the error that stopped it. The value is the same for all rows, filled anew through
// its fields. The result comes in batches; ctx is looked at between them.
func rows[T any](ctx context.Context, s *session, name string, fields func(*T) []Field, args ...any) iter.Seq2[*T, error] {
	return func(yield func(*T, error) bool) {
		var one T
		if err := s.fetch(ctx, name, fields(&one), func() bool { return yield(&one, nil) }, args); err != nil {
			yield(nil, fmt.Errorf("read/%s: %w", name, err))
		}
	}
}

// fetch fills the places of the fields for each row, until each says that no more
// are wanted.
func (s *session) fetch(ctx context.Context, name string, fields []Field, each func() bool, args []any) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	reader, err := s.query(ctx, statement("read", name), args)
	if err != nil {
		return err
	}
	defer reader.Release()
	known := texts{}
	for reader.Next() {
		if err := ctx.Err(); err != nil {
			return err
		}
		moves, err := openFields(fields, reader.Record(), known)
		if err != nil {
			return err
		}
		for i := range int(reader.Record().NumRows()) {
			for _, move := range moves {
				move(i)
			}
			if !each() {
				return nil
			}
		}
	}
	return reader.Err()
}

// query runs one statement and gives its result as record batches.
func (s *session) query(ctx context.Context, text string, args []any) (array.RecordReader, error) {
	var reader array.RecordReader
	err := s.conn.Raw(func(c any) error {
		a, err := duckdb.NewArrowFromConn(c.(driver.Conn))
		if err != nil {
			return err
		}
		reader, err = a.QueryContext(ctx, text, args...)
		return err
	})
	return reader, err
}

// openFields finds each field's column by name. A column nobody takes, a field
// without a column and a column of another type are faults of the program.
func openFields(fields []Field, rec arrow.Record, known texts) (moves []func(int), err error) {
	if int(rec.NumCols()) != len(fields) {
		return nil, fmt.Errorf("the query gives %d columns, %d are expected", rec.NumCols(), len(fields))
	}
	for _, f := range fields {
		at := rec.Schema().FieldIndices(f.Name)
		if len(at) != 1 {
			return nil, fmt.Errorf("the query gives %d columns %q, one is expected", len(at), f.Name)
		}
		move, err := f.open(rec.Column(at[0]), known)
		if err != nil {
			return nil, err
		}
		moves = append(moves, move)
	}
	return moves, nil
}

// collect answers a question whose rows are kept: fields names the places of
// one value, which is copied for each row.
func collect[T any](ctx context.Context, s *session, name string, fields func(*T) []Field, args ...any) ([]T, error) {
	var all []T
	for one, err := range rows(ctx, s, name, fields, args...) {
		if err != nil {
			return all, err
		}
		all = append(all, *one)
	}
	return all, nil
}

// insert shows the batch to the database as the view main.incoming for the time
// of one statement, which scans it once.
func (s *session) insert(ctx context.Context, text string, rec arrow.Record) error {
	reader := &once{schema: rec.Schema(), next: rec}
	defer reader.drop()
	var release func()
	err := s.conn.Raw(func(c any) error {
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
	_, err = s.conn.ExecContext(ctx, text)
	_, dropped := s.conn.ExecContext(context.WithoutCancel(ctx), "drop view main.incoming")
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

package queries

import (
	"context"
	"database/sql/driver"
	"fmt"
	"math"
	"strings"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/marcboeker/go-duckdb"
)

// field joins a column of a result with a place in a Go value: open looks at
// the column of one batch and gives the function that moves row i.
type field struct {
	name string
	open func(arrow.Array) func(i int)
}

// fetch answers the question of a file in the folder read: for each row it
// fills the places of the fields and calls each. The result comes in batches;
// ctx is looked at between them.
func (w *Warehouse) fetch(ctx context.Context, name string, fields []field, each func() error, args ...any) error {
	return w.fetchText(ctx, "read/"+name, statement("read", name), fields, each, args...)
}

func (w *Warehouse) fetchText(ctx context.Context, name, text string, fields []field, each func() error, args ...any) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	reader, err := w.query(ctx, text, args)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	defer reader.Release()
	for reader.Next() {
		if err := ctx.Err(); err != nil {
			return err
		}
		moves, err := openFields(fields, reader.Record())
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if err := eachRow(int(reader.Record().NumRows()), moves, each); err != nil {
			return err
		}
	}
	if err := reader.Err(); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

func eachRow(rows int, moves []func(int), each func() error) error {
	for i := range rows {
		for _, move := range moves {
			move(i)
		}
		if err := each(); err != nil {
			return err
		}
	}
	return nil
}

// query runs one statement and gives its result as record batches.
func (w *Warehouse) query(ctx context.Context, text string, args []any) (array.RecordReader, error) {
	var reader array.RecordReader
	err := w.conn.Raw(func(c any) error {
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
func openFields(fields []field, rec arrow.Record) (moves []func(int), err error) {
	if int(rec.NumCols()) != len(fields) {
		return nil, fmt.Errorf("the query gives %d columns, %d are expected", rec.NumCols(), len(fields))
	}
	for _, f := range fields {
		at := rec.Schema().FieldIndices(f.name)
		if len(at) != 1 {
			return nil, fmt.Errorf("the query gives %d columns %q, one is expected", len(at), f.name)
		}
		move := f.open(rec.Column(at[0]))
		if move == nil {
			return nil, fmt.Errorf("column %q is of type %s, which its place cannot take", f.name, rec.Column(at[0]).DataType())
		}
		moves = append(moves, move)
	}
	return moves, nil
}

// number takes a float64, NaN where there is none.
func number(name string, to *float64) field {
	return field{name, func(a arrow.Array) func(int) {
		col, ok := a.(*array.Float64)
		if !ok {
			return nil
		}
		return func(i int) {
			*to = math.NaN()
			if col.IsValid(i) {
				*to = col.Value(i)
			}
		}
	}}
}

// whole takes an integer of any width, missing where there is none.
func whole[T int8 | int16 | int32 | int64 | int](name string, to *T, missing T) field {
	return field{name, func(a arrow.Array) func(int) {
		var get func(int) T
		switch col := a.(type) {
		case *array.Int8:
			get = func(i int) T { return T(col.Value(i)) }
		case *array.Int16:
			get = func(i int) T { return T(col.Value(i)) }
		case *array.Int32:
			get = func(i int) T { return T(col.Value(i)) }
		case *array.Int64:
			get = func(i int) T { return T(col.Value(i)) }
		default:
			return nil
		}
		return func(i int) {
			*to = missing
			if a.IsValid(i) {
				*to = get(i)
			}
		}
	}}
}

// day takes a date, NoDay where there is none.
func day(name string, to *int32) field {
	return field{name, func(a arrow.Array) func(int) {
		col, ok := a.(*array.Date32)
		if !ok {
			return nil
		}
		return func(i int) {
			*to = NoDay
			if col.IsValid(i) {
				*to = int32(col.Value(i))
			}
		}
	}}
}

// truth takes a boolean, false where there is none.
func truth(name string, to *bool) field {
	return field{name, func(a arrow.Array) func(int) {
		col, ok := a.(*array.Boolean)
		if !ok {
			return nil
		}
		return func(i int) { *to = col.IsValid(i) && col.Value(i) }
	}}
}

// text takes a string of its own, "" where there is none: the batch's bytes
// live no longer than the batch.
func text(name string, to *string) field {
	return field{name, func(a arrow.Array) func(int) {
		col, ok := a.(*array.String)
		if !ok {
			return nil
		}
		return func(i int) {
			*to = ""
			if col.IsValid(i) {
				*to = strings.Clone(col.Value(i))
			}
		}
	}}
}

// words keeps one copy of each text that many rows repeat.
type words map[string]string

// word takes a text that many rows repeat, "" where there is none.
func (w words) word(name string, to *string) field {
	return field{name, func(a arrow.Array) func(int) {
		col, ok := a.(*array.String)
		if !ok {
			return nil
		}
		return func(i int) {
			if !col.IsValid(i) {
				*to = ""
				return
			}
			seen, ok := w[col.Value(i)]
			if !ok {
				seen = strings.Clone(col.Value(i))
				w[seen] = seen
			}
			*to = seen
		}
	}}
}

// collect answers a question whose rows are kept: fields names the places of
// one value, which is copied for each row.
func collect[T any](ctx context.Context, w *Warehouse, name string, fields func(*T) []field, args ...any) ([]T, error) {
	var one T
	var all []T
	err := w.fetch(ctx, name, fields(&one), func() error {
		all = append(all, one)
		return nil
	}, args...)
	return all, err
}

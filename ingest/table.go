package ingest

import (
	"context"
	"math"
	"strings"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"

	"fluedrift/ingest/parse"
)

// batchRows is how many rows a table gathers before they are loaded: one row
// group of the engine, which is written to its place at once, where a smaller
// batch is written twice. A variable for the tests, which look at what grows
// beside it.
var batchRows = 120 << 10

// batchText is how many bytes of text a column gathers before they are loaded,
// so that cells of megabytes do not gather in memory.
const batchText = 16 << 20

// sink takes what is read.
type sink interface {
	// Load takes a record of rows of a table.
	Load(ctx context.Context, table string, rec arrow.Record) error
	// Discard takes back all loaded rows of a file.
	Discard(ctx context.Context, file int32) error
}

// column is one column of a table and how a row fills it.
type column[T any] struct {
	name string
	typ  arrow.DataType
	put  func(b array.Builder, row *T)
}

// table gathers rows in Arrow columns and loads them in batches.
type table[T any] struct {
	name    string
	columns []column[T]
	builder *array.RecordBuilder
	texts   []*array.StringBuilder // of builder
	sink    sink
	rows    int // in the builder

	before int  // of those rows, those of files before the one that is read
	loaded bool // rows of the file that is read have been loaded
}

func newTable[T any](name string, columns []column[T], to sink) *table[T] {
	fields := make([]arrow.Field, len(columns))
	for i, c := range columns {
		fields[i] = arrow.Field{Name: c.name, Type: c.typ, Nullable: true}
	}
	b := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	t := &table[T]{name: name, columns: columns, builder: b, sink: to}
	for _, f := range b.Fields() {
		if text, ok := f.(*array.StringBuilder); ok {
			t.texts = append(t.texts, text)
		}
	}
	return t
}

func (t *table[T]) add(ctx context.Context, row *T) error {
	for i := range t.columns {
		t.columns[i].put(t.builder.Field(i), row)
	}
	t.rows++
	if t.rows < batchRows && !t.wordy() {
		return nil
	}
	return t.flush(ctx)
}

// wordy reports a column that holds as much text as a batch may.
func (t *table[T]) wordy() bool {
	for _, b := range t.texts {
		if b.DataLen() >= batchText {
			return true
		}
	}
	return false
}

func (t *table[T]) flush(ctx context.Context) error {
	if t.rows == 0 {
		return nil
	}
	rec := t.builder.NewRecord()
	defer rec.Release()
	t.loaded = t.loaded || t.rows > t.before
	t.rows, t.before = 0, 0
	return t.sink.Load(ctx, t.name, rec)
}

// begin notes that a file begins.
func (t *table[T]) begin() { t.before, t.loaded = t.rows, false }

// undo drops the rows of the file that have not been loaded; it reports whether
// others have.
func (t *table[T]) undo(ctx context.Context) (loaded bool, err error) {
	if t.rows == t.before {
		return t.loaded, nil
	}
	rec := t.builder.NewRecord()
	defer rec.Release()
	kept := rec.NewSlice(0, int64(t.before))
	defer kept.Release()
	t.rows, t.before = 0, 0
	if kept.NumRows() == 0 {
		return t.loaded, nil
	}
	return t.loaded, t.sink.Load(ctx, t.name, kept)
}

func (t *table[T]) release() { t.builder.Release() }

// The functions below append one cell; a missing one becomes null.

func putText(b array.Builder, s string) {
	if s == "" {
		b.AppendNull()
		return
	}
	if strings.IndexByte(s, 0) >= 0 {
		s = strings.ReplaceAll(s, "\x00", "\u2400") // bound strings are cut at NUL
	}
	b.(*array.StringBuilder).Append(s)
}

func putFloat(b array.Builder, v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		b.AppendNull()
		return
	}
	b.(*array.Float64Builder).Append(v)
}

func putDay(b array.Builder, day int32) {
	if day == parse.NoDay {
		b.AppendNull()
		return
	}
	b.(*array.Date32Builder).Append(arrow.Date32(day))
}

func putHash(b array.Builder, h uint64, known bool) {
	if !known {
		b.AppendNull()
		return
	}
	b.(*array.Uint64Builder).Append(h)
}

func textColumn[T any](name string, get func(*T) string) column[T] {
	return column[T]{name, arrow.BinaryTypes.String, func(b array.Builder, r *T) { putText(b, get(r)) }}
}

func intColumn[T any](name string, get func(*T) int32) column[T] {
	return column[T]{name, arrow.PrimitiveTypes.Int32, func(b array.Builder, r *T) { b.(*array.Int32Builder).Append(get(r)) }}
}

func longColumn[T any](name string, get func(*T) int64) column[T] {
	return column[T]{name, arrow.PrimitiveTypes.Int64, func(b array.Builder, r *T) { b.(*array.Int64Builder).Append(get(r)) }}
}

func floatColumn[T any](name string, get func(*T) float64) column[T] {
	return column[T]{name, arrow.PrimitiveTypes.Float64, func(b array.Builder, r *T) { putFloat(b, get(r)) }}
}

func dayColumn[T any](name string, get func(*T) int32) column[T] {
	return column[T]{name, arrow.FixedWidthTypes.Date32, func(b array.Builder, r *T) { putDay(b, get(r)) }}
}

func hashColumn[T any](name string, get func(*T) (uint64, bool)) column[T] {
	return column[T]{name, arrow.PrimitiveTypes.Uint64, func(b array.Builder, r *T) {
		h, known := get(r)
		putHash(b, h, known)
	}}
}

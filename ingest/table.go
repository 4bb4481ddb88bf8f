package ingest

import (
	"context"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"

	"fluedrift/queries"
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

// table gathers rows and loads them in batches.
type table[T any] struct {
	name    string
	builder *queries.Builder[T]
	texts   []*array.StringBuilder // of builder
	sink    sink
	rows    int // in the builder

	before int  // of those rows, those of files before the one that is read
	loaded bool // rows of the file that is read have been loaded
}

func newTable[T any](name string, fields func(*T) []queries.Field, to sink) *table[T] {
	t := &table[T]{name: name, builder: queries.NewBuilder(fields), sink: to}
	for _, f := range t.builder.Fields() {
		if text, ok := f.(*array.StringBuilder); ok {
			t.texts = append(t.texts, text)
		}
	}
	return t
}

func (t *table[T]) add(ctx context.Context, row *T) error {
	t.builder.Add(row)
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

package queries

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"

	"fluedrift/model/day"
)

// A Field joins a column of a relation with a place in a Go value, both ways: a
// query fills the place from each row of its result, and a row is stored from it.
// A relation has one table of fields, a function from a value to its fields, and
// every read and load goes by it.
//
// A missing value (NaN, "", day.None, or what the field names) is NULL.
type Field struct {
	Name  string
	Type  arrow.DataType                                         // as it is stored
	write func(array.Builder)                                    // appends what the place holds
	open  func(arrow.Array, texts) (read func(i int), err error) // nil: the field is only stored
}

// kind is how the values of a Go type stand in a column.
type kind[V any] struct {
	stored arrow.DataType
	write  func(array.Builder, V)
	// open gives what reads the rows of a column; nil where it is of another type.
	open func(arrow.Array, texts) func(i int) V
}

// at is the field of a place.
func at[V any](name string, k kind[V], place *V) Field {
	return Field{
		Name: name, Type: k.stored,
		write: func(b array.Builder) { k.write(b, *place) },
		open: func(a arrow.Array, known texts) (func(int), error) {
			get := k.open(a, known)
			if get == nil {
				return nil, fmt.Errorf("column %q is of type %s, which its place cannot take", name, a.DataType())
			}
			return func(i int) { *place = get(i) }, nil
		},
	}
}

// given is a field that is stored from a computed value and never read.
func given[V any](name string, k kind[V], value func() V) Field {
	return Field{Name: name, Type: k.stored, write: func(b array.Builder) { k.write(b, value()) }}
}

// Number is a field of a float64, NaN where there is none. No infinity is stored.
func Number(name string, place *float64) Field { return at(name, numbers, place) }

// NumberOf is a Number stored from a computed value.
func NumberOf(name string, value func() float64) Field { return given(name, numbers, value) }

// Day is a field of a day, day.None where there is none.
func Day(name string, place *day.Day) Field { return at(name, days, place) }

// DayOf is a Day stored from a computed value.
func DayOf(name string, value func() day.Day) Field { return given(name, days, value) }

// Truth is a field of a boolean, false where there is none.
func Truth(name string, place *bool) Field { return at(name, truths, place) }

// Text is a field of a text of its own, "" where there is none.
func Text(name string, place *string) Field { return at(name, textsOf[string](false), place) }

// TextOf is a Text stored from a computed value.
func TextOf(name string, value func() string) Field {
	return given(name, textsOf[string](false), value)
}

// Word is a field of a text that many rows repeat: one copy of each is kept.
func Word(name string, place *string) Field { return at(name, textsOf[string](true), place) }

// Code is a field of one of the words that its type knows, "" where there is none.
// A column that has any other is an error.
func Code[C code](name string, place *C) Field {
	f := at(name, textsOf[C](true), place)
	open := f.open
	f.open = func(a arrow.Array, known texts) (func(int), error) {
		if word := unknownWord[C](a); word != "" {
			return nil, fmt.Errorf("column %q has the word %q, which its place does not know", name, word)
		}
		return open(a, known)
	}
	return f
}

// code is a type of text with a known set of words.
type code interface {
	~string
	Valid() bool
}

// unknownWord is the first word of a column that its type does not know; "" where
// it knows all.
func unknownWord[C code](a arrow.Array) string {
	col, ok := a.(*array.String)
	if !ok {
		return ""
	}
	valid := map[string]bool{}
	for i := range col.Len() {
		if !col.IsValid(i) || valid[col.Value(i)] {
			continue
		}
		if !C(col.Value(i)).Valid() {
			return strings.Clone(col.Value(i))
		}
		valid[col.Value(i)] = true
	}
	return ""
}

// Whole is a field of an integer that every row has; 0 where it is missing.
func Whole[V integer](name string, place *V) Field { return at(name, wholes[V](nil), place) }

// WholeOr is a field of an integer with a value that stands for a missing one.
func WholeOr[V integer](name string, place *V, missing V) Field {
	return at(name, wholes(&missing), place)
}

// WholeOf is a WholeOr stored from a computed value.
func WholeOf[V integer](name string, missing V, value func() V) Field {
	return given(name, wholes(&missing), value)
}

// Hash is a field of 64 bits, stored from a computed value where it is known.
func Hash(name string, value func() (hash uint64, known bool)) Field {
	return Field{Name: name, Type: arrow.PrimitiveTypes.Uint64, write: func(b array.Builder) {
		if h, known := value(); known {
			b.(*array.Uint64Builder).Append(h)
			return
		}
		b.AppendNull()
	}}
}

// Texts is a field of a list of texts; nil where it is empty.
func Texts(name string, place *[]string) Field { return at(name, listOf(textsOf[string](true)), place) }

// Rows is a field of a list of values, each with fields of its own; nil where
// it is empty.
func Rows[V any](name string, place *[]V, fields func(*V) []Field) Field {
	return at(name, listOf(structOf(fields)), place)
}

var numbers = kind[float64]{
	stored: arrow.PrimitiveTypes.Float64,
	write: func(b array.Builder, v float64) {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			b.AppendNull()
			return
		}
		b.(*array.Float64Builder).Append(v)
	},
	open: func(a arrow.Array, _ texts) func(int) float64 {
		col, ok := a.(*array.Float64)
		if !ok {
			return nil
		}
		return func(i int) float64 {
			if col.IsValid(i) {
				return col.Value(i)
			}
			return math.NaN()
		}
	},
}

var days = kind[day.Day]{
	stored: arrow.FixedWidthTypes.Date32,
	write: func(b array.Builder, d day.Day) {
		if d == day.None {
			b.AppendNull()
			return
		}
		b.(*array.Date32Builder).Append(arrow.Date32(d))
	},
	open: func(a arrow.Array, _ texts) func(int) day.Day {
		col, ok := a.(*array.Date32)
		if !ok {
			return nil
		}
		return func(i int) day.Day {
			if col.IsValid(i) {
				return day.Day(col.Value(i))
			}
			return day.None
		}
	},
}

var truths = kind[bool]{
	stored: arrow.FixedWidthTypes.Boolean,
	write:  func(b array.Builder, v bool) { b.(*array.BooleanBuilder).Append(v) },
	open: func(a arrow.Array, _ texts) func(int) bool {
		col, ok := a.(*array.Boolean)
		if !ok {
			return nil
		}
		return func(i int) bool { return col.IsValid(i) && col.Value(i) }
	},
}

// texts keeps one copy of each text that many rows repeat.
type texts map[string]string

// copyOf is a text that lives longer than the batch it stands in.
func (t texts) copyOf(text string) string {
	if t == nil {
		return strings.Clone(text)
	}
	seen, ok := t[text]
	if !ok {
		seen = strings.Clone(text)
		t[seen] = seen
	}
	return seen
}

// textsOf are texts, with one copy of each where many rows repeat them.
func textsOf[S ~string](repeated bool) kind[S] {
	return kind[S]{
		stored: arrow.BinaryTypes.String,
		write: func(b array.Builder, v S) {
			text := string(v)
			if text == "" {
				b.AppendNull()
				return
			}
			if strings.IndexByte(text, 0) >= 0 {
				text = strings.ReplaceAll(text, "\x00", "\u2400") // the driver cuts texts at NUL
			}
			b.(*array.StringBuilder).Append(text)
		},
		open: func(a arrow.Array, known texts) func(int) S {
			col, ok := a.(*array.String)
			if !ok {
				return nil
			}
			if !repeated {
				known = nil
			}
			return func(i int) S {
				if !col.IsValid(i) {
					return ""
				}
				return S(known.copyOf(col.Value(i)))
			}
		},
	}
}

type integer interface {
	int8 | int16 | int32 | int64 | int
}

// wholes are integers, missing where one stands for a missing value.
func wholes[V integer](missing *V) kind[V] {
	var none V
	if missing != nil {
		none = *missing
	}
	stored, write := wholeAs[V]()
	return kind[V]{
		stored: stored,
		write: func(b array.Builder, v V) {
			if missing != nil && v == none {
				b.AppendNull()
				return
			}
			write(b, v)
		},
		open: func(a arrow.Array, _ texts) func(int) V {
			var get func(int) V
			switch col := a.(type) {
			case *array.Int8:
				get = func(i int) V { return V(col.Value(i)) }
			case *array.Int16:
				get = func(i int) V { return V(col.Value(i)) }
			case *array.Int32:
				get = func(i int) V { return V(col.Value(i)) }
			case *array.Int64:
				get = func(i int) V { return V(col.Value(i)) }
			default:
				return nil
			}
			return func(i int) V {
				if a.IsValid(i) {
					return get(i)
				}
				return none
			}
		},
	}
}

// wholeAs is how integers of a Go type are stored.
func wholeAs[V integer]() (arrow.DataType, func(array.Builder, V)) {
	switch any(V(0)).(type) {
	case int8:
		return arrow.PrimitiveTypes.Int8, func(b array.Builder, v V) { b.(*array.Int8Builder).Append(int8(v)) }
	case int16:
		return arrow.PrimitiveTypes.Int16, func(b array.Builder, v V) { b.(*array.Int16Builder).Append(int16(v)) }
	case int64:
		return arrow.PrimitiveTypes.Int64, func(b array.Builder, v V) { b.(*array.Int64Builder).Append(int64(v)) }
	}
	return arrow.PrimitiveTypes.Int32, func(b array.Builder, v V) { b.(*array.Int32Builder).Append(int32(v)) }
}

// listOf are lists of values of a kind; an empty one is NULL.
func listOf[V any](of kind[V]) kind[[]V] {
	return kind[[]V]{
		stored: arrow.ListOf(of.stored),
		write: func(b array.Builder, list []V) {
			if len(list) == 0 {
				b.AppendNull()
				return
			}
			into := b.(*array.ListBuilder)
			into.Append(true)
			for _, v := range list {
				of.write(into.ValueBuilder(), v)
			}
		},
		open: func(a arrow.Array, known texts) func(int) []V {
			col, ok := a.(*array.List)
			if !ok {
				return nil
			}
			get := of.open(col.ListValues(), known)
			if get == nil {
				return nil
			}
			return func(i int) (list []V) {
				if !col.IsValid(i) {
					return nil
				}
				from, until := col.ValueOffsets(i)
				list = make([]V, 0, until-from)
				for k := from; k < until; k++ {
					list = append(list, get(int(k)))
				}
				return list
			}
		},
	}
}

// structOf are values with fields of their own.
func structOf[V any](fields func(*V) []Field) kind[V] {
	var types []arrow.Field
	var one V
	table := fields(&one)
	for _, f := range table {
		types = append(types, arrow.Field{Name: f.Name, Type: f.Type, Nullable: true})
	}
	return kind[V]{
		stored: arrow.StructOf(types...),
		write: func(b array.Builder, v V) {
			into := b.(*array.StructBuilder)
			into.Append(true)
			one = v
			for i, f := range table {
				f.write(into.FieldBuilder(i))
			}
		},
		open: func(a arrow.Array, known texts) func(int) V {
			col, ok := a.(*array.Struct)
			if !ok || col.NumField() != len(table) {
				return nil
			}
			var reads []func(int)
			for i, f := range table {
				read, err := f.open(col.Field(i), known)
				if err != nil || col.DataType().(*arrow.StructType).Field(i).Name != f.Name {
					return nil
				}
				reads = append(reads, read)
			}
			return func(i int) V {
				for _, read := range reads {
					read(i)
				}
				return one
			}
		},
	}
}

// A Builder gathers rows of a value for Load.
type Builder[T any] struct {
	*array.RecordBuilder
	row    T
	fields []Field
}

// NewBuilder makes a builder by a table of fields. It is the caller's to Release.
func NewBuilder[T any](table func(*T) []Field) *Builder[T] {
	b := &Builder[T]{}
	b.fields = table(&b.row)
	types := make([]arrow.Field, len(b.fields))
	for i, f := range b.fields {
		types[i] = arrow.Field{Name: f.Name, Type: f.Type, Nullable: true}
	}
	b.RecordBuilder = array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(types, nil))
	return b
}

// Add appends a row.
func (b *Builder[T]) Add(row *T) {
	b.row = *row
	for i := range b.fields {
		b.fields[i].write(b.Field(i))
	}
}

// LoadRows loads rows into a table by its fields.
func LoadRows[T any](ctx context.Context, w *Warehouse, name string, table func(*T) []Field, rows []T) error {
	b := NewBuilder(table)
	defer b.Release()
	for i := range rows {
		b.Add(&rows[i])
	}
	rec := b.NewRecord()
	defer rec.Release()
	return w.Load(ctx, name, rec)
}

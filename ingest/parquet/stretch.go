package parquet

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"fluedrift/queries"
)

// checkEnd compares what the end of a file says in several places: the rows of its
// stretches with all rows, the values of a column with the rows, the names of columns
// with each other, and where the pages stand with the room there is for them
// (parquet.thrift: FileMetaData, RowGroup, ColumnMetaData).
func checkEnd(file io.ReaderAt, size int64, table *queries.Parquet, chunks []queries.ParquetChunk) error {
	columns := table.Columns()
	flat := !slices.ContainsFunc(columns, nested)
	if flat && len(columns) > 0 && len(chunks)%len(columns) != 0 {
		return fmt.Errorf("its end describes %d columns %d times", len(columns), len(chunks))
	}
	var rows int64
	for i, c := range chunks {
		if i == 0 || c.Group != chunks[i-1].Group {
			rows += c.Rows
		}
		if c.Values < c.Rows || flat && c.Values != c.Rows {
			return fmt.Errorf("its end says that %d rows have %d values of column %q", c.Rows, c.Values, c.Column)
		}
		if !flat {
			continue
		}
		if name := columns[i%len(columns)].Name; c.Column != name {
			return fmt.Errorf("its end calls one column %q and %q", name, c.Column)
		}
	}
	if all := table.Count(); rows != all && len(columns) > 0 {
		return fmt.Errorf("its end says that it has %d rows, and %d", all, rows)
	}
	return checkRoom(file, size, chunks)
}

// checkRoom refuses pages that would stand where others do, or outside of the file's
// data.
func checkRoom(file io.ReaderAt, size int64, chunks []queries.ParquetChunk) error {
	var told [4]byte
	if _, err := file.ReadAt(told[:], size-8); err != nil {
		return err
	}
	chunks = slices.SortedFunc(slices.Values(chunks), func(a, b queries.ParquetChunk) int { return cmp.Compare(a.Offset, b.Offset) })
	free, end := int64(4), size-8-int64(binary.LittleEndian.Uint32(told[:]))
	for _, c := range chunks {
		if c.Offset < free || c.Bytes < 0 || c.Bytes > end-c.Offset {
			return fmt.Errorf("the values of column %q are not where the end of the file says", c.Column)
		}
		free = c.Offset + c.Bytes
	}
	return nil
}

func nested(c queries.ParquetColumn) bool { return strings.ContainsAny(c.Type, "[(") && !isDecimal(c) }

func isDecimal(c queries.ParquetColumn) bool { return strings.HasPrefix(c.Type, "DECIMAL(") }

// stretches compares the values of a file, as they come, with what the end of the
// file says of them: how many of each stretch of rows are missing, the least and the
// greatest.
type stretches struct {
	left    []queries.ParquetChunk // of the stretch and those behind it
	columns []tally
	row     int64 // of the stretch
	line    int64
	wanted  int64 // rows of the file
}

func newStretches(table *queries.Parquet, chunks []queries.ParquetChunk) *stretches {
	s := &stretches{wanted: table.Count(), line: 1}
	for _, c := range table.Columns() {
		s.columns = append(s.columns, tally{name: c.Name, order: orderOf(c)})
	}
	if !slices.ContainsFunc(table.Columns(), nested) { // there a value is no cell
		s.left = slices.DeleteFunc(slices.Clone(chunks), func(c queries.ParquetChunk) bool { return c.Rows == 0 })
	}
	return s
}

// add takes the next row.
func (s *stretches) add(cells []string, missing []bool) error {
	s.line++
	if len(s.left) == 0 {
		return nil
	}
	for i := range s.columns {
		s.columns[i].add(cells[i], missing[i])
	}
	if s.row++; s.row < s.left[0].Rows {
		return nil
	}
	for i := range s.columns {
		if err := s.columns[i].agrees(s.left[i]); err != nil {
			return fmt.Errorf("lines %d to %d: %w", s.line-s.row+1, s.line, err)
		}
		s.columns[i].forget()
	}
	s.left, s.row = s.left[len(s.columns):], 0
	return nil
}

// end is asked behind the last row.
func (s *stretches) end() error {
	if rows := s.line - 1; rows != s.wanted {
		return fmt.Errorf("its end says that it has %d rows, and %d can be read", s.wanted, rows)
	}
	return nil
}

// order is how the values of a column are compared.
type order int

const (
	noOrder  order = iota
	byText         // the least and the greatest may be cut short: they are bounds then
	byNumber       // and days and times as numbers
)

func orderOf(c queries.ParquetColumn) order {
	switch c.Type {
	case "VARCHAR":
		return byText
	case "TINYINT", "SMALLINT", "INTEGER", "BIGINT", "UTINYINT", "USMALLINT", "UINTEGER", "UBIGINT", "FLOAT", "DOUBLE",
		"DATE", "TIMESTAMP", "TIMESTAMP WITH TIME ZONE":
		return byNumber
	}
	if isDecimal(c) {
		return byNumber
	}
	return noOrder
}

// numberOf is a number, a day or a time as the engine writes it, so that greater ones
// are greater; NaN for what has no place in the order.
func numberOf(text string) float64 {
	if v, err := strconv.ParseFloat(text, 64); err == nil || v != 0 { // the infinities too
		return v
	}
	era := strings.Index(text, " (BC)")
	if era >= 0 {
		text = text[:era] + text[era+len(" (BC)"):]
	}
	day, clock, timed := strings.Cut(text, " ")
	year, day, _ := strings.Cut(day, "-")
	month, of, _ := strings.Cut(day, "-")
	y, m, d := partOf(year), partOf(month), partOf(of)
	if era >= 0 {
		y = 1 - y
	}
	days := ((y-1970)*12+m)*31 + d // near 1970 microseconds count
	if !timed {
		return days
	}
	hour, clock, _ := strings.Cut(clock, ":")
	minute, second, _ := strings.Cut(clock, ":")
	second, _, _ = strings.Cut(second, "+")
	return days*86400 + partOf(hour)*3600 + partOf(minute)*60 + partOf(second)
}

// partOf is a number of a part of a day or a time; NaN for what is none.
func partOf(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// tally is what is seen of a column in a stretch.
type tally struct {
	name            string
	order           order
	missing         int64
	seen, unordered bool // a value; one that has no place in the order
	least, greatest value
}

// value is one of a column.
type value struct {
	text   string
	number float64 // byNumber
}

func (t *tally) forget() { *t = tally{name: t.name, order: t.order} }

func (t *tally) add(cell string, missing bool) {
	if missing {
		t.missing++
		return
	}
	v := value{text: cell}
	switch t.order {
	case noOrder:
		return
	case byNumber:
		if v.number = numberOf(cell); math.IsNaN(v.number) {
			t.unordered = true
			return
		}
	case byText:
	}
	if !t.seen || t.before(v, t.least) {
		t.least = v
	}
	if !t.seen || t.before(t.greatest, v) {
		t.greatest = v
	}
	t.seen = true
}

func (t *tally) before(a, b value) bool {
	if t.order == byNumber {
		return a.number < b.number
	}
	return a.text < b.text
}

// agrees compares the tally with what the end of the file says.
func (t *tally) agrees(c queries.ParquetChunk) error {
	if c.Missing >= 0 && c.Missing != t.missing {
		return fmt.Errorf("%d values of column %q are missing, and its end says %d", t.missing, t.name, c.Missing)
	}
	if !t.seen {
		return nil
	}
	if told, ok := t.told(c.Least); ok && (t.before(t.least, told) || t.exact(told) && t.before(told, t.least)) {
		return fmt.Errorf("the least value of column %q is %q, and its end says %q", t.name, t.least.text, c.Least)
	}
	if told, ok := t.told(c.Greatest); ok && (t.before(told, t.greatest) || t.exact(told) && t.before(t.greatest, told)) {
		return fmt.Errorf("the greatest value of column %q is %q, and its end says %q", t.name, t.greatest.text, c.Greatest)
	}
	return nil
}

// told is a bound of the file's end; false where there is none.
func (t *tally) told(text string) (value, bool) {
	v := value{text: text}
	if t.order == byNumber {
		v.number = numberOf(text)
	}
	return v, text != "" && !math.IsNaN(v.number)
}

// cutFrom is the length in bytes from which writers may cut the text of a bound (parquet.thrift,
// Statistics; the shortest known to be used, from memory).
const cutFrom = 16

// exact reports whether a bound is a value of the column: one that nobody had a reason
// to cut short, where no value is without a place in the order.
func (t *tally) exact(told value) bool {
	return !t.unordered && (t.order == byNumber || len(told.text) < cutFrom)
}

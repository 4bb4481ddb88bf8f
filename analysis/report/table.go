// Package report writes lists for people and for programs: CSV by RFC 4180,
// JSON, and aligned text for a terminal. It computes nothing: every value comes
// from the row it is given.
//
// Each list has one table of columns (Lists) with name, meaning, unit and
// source; it drives the writers and the help alike.
//
// Text that comes from foreign files is made harmless on the way out: a
// spreadsheet must not run it and a terminal must not obey it.
package report

import (
	"math"
	"strconv"
	"strings"
	"time"

	"fluedrift/model/judge"
)

// Column describes one column of a list.
type Column struct {
	Name    string // as in the file's header
	Meaning string
	Unit    string // "" where it has none
	Source  string // where the value comes from: register, readings, targets, plan, judged, forecast, answers, carry, dictionary
	Kind    Kind
	// Short is the header on a terminal; a column without one is left out there.
	Short string
}

// Kind is what a column's cells hold.
type Kind string

// The kinds of cells.
const (
	Text   Kind = "text"
	Number Kind = "number"
	Day    Kind = "day"
)

// Cell is one value. The zero Cell is a missing one.
type Cell struct {
	kind     Kind
	text     string
	number   float64
	decimals int
}

// TextCell holds foreign or own text; "" is missing.
func TextCell(s string) Cell {
	if s == "" {
		return Cell{}
	}
	return Cell{kind: Text, text: s}
}

// NumberCell holds a number to be shown with so many decimals; NaN and the
// infinities are missing.
func NumberCell(v float64, decimals int) Cell {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Cell{}
	}
	return Cell{kind: Number, number: v, decimals: decimals}
}

// CountCell holds a whole number.
func CountCell(n int) Cell { return NumberCell(float64(n), 0) }

// DayCell holds a day; judge.NoDay is missing.
func DayCell(day int32) Cell {
	if day == judge.NoDay {
		return Cell{}
	}
	return Cell{kind: Day, text: time.Unix(int64(day)*86400, 0).UTC().Format(time.DateOnly)}
}

// Missing reports whether there is no value.
func (c Cell) Missing() bool { return c.kind == "" }

// String returns the value as it is, without any care for where it goes; ""
// where it is missing.
func (c Cell) String() string {
	if c.kind != Number {
		return c.text
	}
	s := strconv.FormatFloat(c.number, 'f', c.decimals, 64)
	if strings.Trim(s, "-0.") == "" { // no negative zero
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// Table is a list ready to be written.
type Table struct {
	Name    string   // of the list, as its file is called
	AsOf    int32    // the day it speaks for
	Head    []string // sentences above it
	Columns []Column
	Rows    [][]Cell // each as long as Columns
}

// column is a column with the way to its value in a row.
type column[T any] struct {
	Column
	value func(*T) Cell
}

// fill makes a table of rows.
func fill[T any](name string, columns []column[T], rows []T) Table {
	t := Table{Name: name, AsOf: judge.NoDay, Columns: described(columns), Rows: make([][]Cell, len(rows))}
	for i := range rows {
		t.Rows[i] = make([]Cell, len(columns))
		for j, c := range columns {
			t.Rows[i][j] = c.value(&rows[i])
		}
	}
	return t
}

// described returns the descriptions of columns.
func described[T any](columns []column[T]) []Column {
	out := make([]Column, len(columns))
	for i, c := range columns {
		out[i] = c.Column
	}
	return out
}

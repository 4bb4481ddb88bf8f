// Package table holds columns, cells and lists of them, and writes them for people
// and for programs: CSV by RFC 4180, JSON, XLSX, Parquet, aligned text for a
// terminal, and the descriptions of columns. It computes nothing: every value comes
// from the row it is given.
//
// Text that comes from foreign files is made harmless on the way out: a
// spreadsheet must not run it and a terminal must not obey it.
package table

import (
	"math"
	"slices"

	"fluedrift/analysis/report/words"
	"fluedrift/model/day"
)

func ColumnAt(t Table, name string) int {
	return slices.IndexFunc(t.Columns, func(c Column) bool { return c.Name == name })
}

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

// DayCell holds a day; day.None is missing.
func DayCell(d day.Day) Cell {
	if d == day.None {
		return Cell{}
	}
	return Cell{kind: Day, text: words.ISODay(d)}
}

// Missing reports whether there is no value.
func (c Cell) Missing() bool { return c.kind == "" }

// String returns the value as it is, without any care for where it goes; ""
// where it is missing.
func (c Cell) String() string {
	if c.kind != Number {
		return c.text
	}
	return words.Decimal(c.number, c.decimals)
}

// Float returns the value of a number, 0 of every other cell.
func (c Cell) Float() float64 { return c.number }

// Table is a list ready to be written.
type Table struct {
	Name    string   // of the list, as its file is called
	AsOf    day.Day  // the day it speaks for
	Lost    []string // what was lost before any unit was judged; a page with more lists says it once
	Opening string   // what the list is, in a sentence; a page says it beside the name
	Head    []string // sentences above it
	Columns []Column
	Rows    [][]Cell // each as long as Columns
}

// Lines are what stands above the rows of a list by itself: what was lost, what the
// list is, and its head.
func (t *Table) Lines() []string {
	lines := slices.Concat(t.Lost, t.Head)
	switch at := len(t.Lost); {
	case t.Opening == "":
	case at < len(lines):
		lines[at] = t.Opening + " " + lines[at]
	default:
		lines = append(lines, t.Opening)
	}
	return lines
}

// TextColumn describes a column of texts; "" is missing.
func TextColumn[T any](name, short, source, meaning string, value func(*T) string) ColumnOf[T] {
	return CellColumn(Text, name, short, "", source, meaning, func(row *T) Cell { return TextCell(value(row)) })
}

// YesColumn describes a column that says yes or nothing.
func YesColumn[T any](name, short, source, meaning string, value func(*T) bool) ColumnOf[T] {
	return CellColumn(Text, name, short, "", source, meaning, func(row *T) Cell {
		if value(row) {
			return TextCell("yes")
		}
		return Cell{}
	})
}

// DayColumn describes a column of days; day.None is missing.
func DayColumn[T any](name, short, source, meaning string, value func(*T) day.Day) ColumnOf[T] {
	return CellColumn(Day, name, short, "day", source, meaning, func(row *T) Cell { return DayCell(value(row)) })
}

// CountColumn describes a column of whole numbers.
func CountColumn[T any](name, short, unit, source, meaning string, value func(*T) int) ColumnOf[T] {
	return CellColumn(Number, name, short, unit, source, meaning, func(row *T) Cell { return CountCell(value(row)) })
}

// NumberColumn describes a column of numbers, shown with so many decimals; NaN and
// the infinities are missing.
func NumberColumn[T any](name, short, unit, source, meaning string, decimals int, value func(*T) float64) ColumnOf[T] {
	return CellColumn(Number, name, short, unit, source, meaning, func(row *T) Cell { return NumberCell(value(row), decimals) })
}

// CellColumn describes a column whose cells are made one by one.
func CellColumn[T any](kind Kind, name, short, unit, source, meaning string, value func(*T) Cell) ColumnOf[T] {
	return ColumnOf[T]{Column: Column{Name: name, Meaning: meaning, Unit: unit, Source: source, Kind: kind, Short: short}, Value: value}
}

// ColumnOf is a column with the way to its value in a row.
type ColumnOf[T any] struct {
	Column
	Value func(*T) Cell
}

// Fill makes a table of rows.
func Fill[T any](name string, columns []ColumnOf[T], rows []T) Table {
	t := Table{Name: name, AsOf: day.None, Columns: Describe(columns), Rows: make([][]Cell, len(rows))}
	for i := range rows {
		t.Rows[i] = make([]Cell, len(columns))
		for j, c := range columns {
			t.Rows[i][j] = c.Value(&rows[i])
		}
	}
	return t
}

// Describe returns the descriptions of columns.
func Describe[T any](columns []ColumnOf[T]) []Column {
	out := make([]Column, len(columns))
	for i, c := range columns {
		out[i] = c.Column
	}
	return out
}

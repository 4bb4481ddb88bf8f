// Package lines cuts exports into logical lines and cells, whatever they are
// stored as, and says what is wrong with a file of which that cannot be done.
//
// Here are what every format gives (Line, Rows, Stored, Refusal), the reader of
// text (Reader, Text) with its encodings, and compression. Workbooks are read by
// package book. What the cells mean is not looked at here.
package lines

import (
	"fmt"
	"strings"

	"fluedrift/ingest/parse"
)

// Limit is the most bytes of a line: a line of more, or a quoted cell that runs
// over more, is not read, so that the memory for a file stays bounded.
const Limit = 16 << 20

// Rows gives the logical lines of a file one by one, whatever its format.
type Rows interface {
	Next() (*Line, error) // io.EOF after the last, *Refusal where the file is to be refused; valid until the next call
	SetWidth(cells int)   // cells of the header
	Close() error
}

// Line is one logical line of an export: a quoted cell with line ends in it
// belongs to the line in which it opens.
type Line struct {
	Number int      // physical line in the file, from 1, in which it begins
	Text   string   // raw text without the line end
	Cells  []string // reused by the next line
	Stored []Stored // how the cells are stored, where that is not as text; else nil
	Fault  string   // why the cells cannot be told apart; "" if they can
	Ended  bool     // a line end follows
	Cut    bool     // the file ends within its last character
	Sheet  string   // of a workbook, the sheet it stands in
	Top    Top      // whether it stands above the rows of a further sheet
	Spans  []Span   // its cells that are merged with those below; reused by the next line

	// What steps did with the row (package reshape).
	Left   string // why the row is left out; "" where it is not
	Joined []Part // further lines of the file that were read into this one
	Wrong  *Fault // what is wrong with a cell, or with the row; nil: nothing
	Doubt  string // what speaks against the row, which is read all the same; "": nothing
}

// Part is a further line of a file that was read into another.
type Part struct {
	Number int
	Text   string
}

// Fault is what a step found wrong in a row.
type Fault struct {
	Column, Value, Reason, Message string
}

// Counts is how many lines of the file a line stands for.
func (l *Line) Counts() int64 { return int64(1 + len(l.Joined)) }

// StoredAs tells how a cell is stored.
func (l *Line) StoredAs(cell int) Stored {
	if cell >= len(l.Stored) {
		return AsText
	}
	return l.Stored[cell]
}

// Blank reports cells with nothing but blanks in them.
func Blank(cells []string) bool {
	for _, c := range cells {
		if parse.Trim(c) != "" {
			return false
		}
	}
	return true
}

// Refusal is why a whole file is refused or incomplete.
type Refusal struct {
	Reason, Message string
}

func (f *Refusal) Error() string { return f.Reason + ": " + f.Message }

// Refuse makes a refusal.
func Refuse(reason, format string, args ...any) *Refusal {
	return &Refusal{reason, fmt.Sprintf(format, args...)}
}

// Reasons why a file is refused or incomplete.
const (
	EmptyFile         = "empty-file"
	NotText           = "not-a-text-file"
	TooLarge          = "too-large"
	WrongEncoding     = "wrong-encoding"
	IncompleteFile    = "incomplete-file"
	UnterminatedQuote = "unterminated-quote"
	NoHeader          = "no-header"
	DuplicateColumn   = "duplicate-column"
	MissingColumn     = "missing-column"
	Contradicted      = "convention-contradicted"
	TwoLayouts        = "two-layouts"
)

// Quoted lists names with quotes about each.
func Quoted(names []string) string {
	return `"` + strings.Join(names, `", "`) + `"`
}

// Package measured keeps what the long suites and benchmarks measured: one CSV
// file a subject, each row one figure with the command that measured it, the
// commit and the machine it was measured on, and the bound it has to keep.
// README.md is made from these files.
//
// A long test hands its figures to [Of], which rewrites the rows of that test
// where the test runs with -update. Figures that a person measured by hand are
// typed into the file and say so in their command. Only tests import this
// package; the product knows nothing of it.
package measured

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
)

//go:embed *.csv
var files embed.FS

// columns is the heading every file has.
var columns = []string{"case", "figure", "value", "of", "error", "bound", "command", "commit", "machine"}

// Figure is one measured figure.
type Figure struct {
	Case   string // what was measured on: a world, a planted fault, a size
	Figure string // what was measured, with its unit
	Value  string // a number as rounded by who measured it
	Of     string // the count that Value is a part of or a mean over; "" where it says nothing
	Error  string // standard error of Value; "" where there is none
	Bound  string // what Value has to keep, in words or as a number; "" where nothing is asked
}

// Row is a figure with its origin.
type Row struct {
	Figure  Figure
	Command string // what a person types to measure it again
	Commit  string // abbreviated; with "+" where files had changed since
	Machine string // cores, system and Go version
}

// Subjects returns the names of the files, in order, without their ending.
func Subjects() []string {
	names, _ := fs.Glob(files, "*.csv") // the pattern is sound
	for i := range names {
		names[i] = strings.TrimSuffix(names[i], ".csv")
	}
	return names
}

// Rows returns the rows of a subject in the file's order. An error for an
// unknown subject or a row that breaks the form.
func Rows(subject string) ([]Row, error) {
	text, err := files.ReadFile(subject + ".csv")
	if err != nil {
		return nil, fmt.Errorf("nothing was measured of %q: %w", subject, err)
	}
	return parse(subject+".csv", string(text))
}

// parse reads the text of a file.
func parse(name, text string) ([]Row, error) {
	records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(records) == 0 || !slices.Equal(records[0], columns) {
		return nil, fmt.Errorf("%s: the heading is not %q", name, strings.Join(columns, ","))
	}
	rows := make([]Row, 0, len(records)-1)
	for i, c := range records[1:] {
		row := Row{Figure{c[0], c[1], c[2], c[3], c[4], c[5]}, c[6], c[7], c[8]}
		if err := row.check(); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, i+2, err)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// check says what is wrong with a row.
func (r Row) check() error {
	f := r.Figure
	for _, needed := range []struct{ column, text string }{
		{"case", f.Case}, {"figure", f.Figure}, {"value", f.Value}, {"command", r.Command}, {"commit", r.Commit}, {"machine", r.Machine},
	} {
		if strings.TrimSpace(needed.text) == "" {
			return fmt.Errorf("column %q is empty", needed.column)
		}
	}
	for _, number := range []struct{ column, text string }{{"value", f.Value}, {"of", f.Of}, {"error", f.Error}} {
		if number.text == "" {
			continue
		}
		if _, err := strconv.ParseFloat(number.text, 64); err != nil {
			return fmt.Errorf("column %q: %q is not a number", number.column, number.text)
		}
	}
	return nil
}

package reshape

import (
	"errors"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// table is a file of lines and cells, its header first.
type table [][]string

// tableRows gives the lines of a table, in one line that is used again, as readers do.
type tableRows struct {
	table
	at  int
	out lines.Line
}

func (r *tableRows) Next() (*lines.Line, error) {
	if r.at == len(r.table) {
		return nil, io.EOF
	}
	cells := r.table[r.at]
	r.at++
	r.out.Number, r.out.Ended, r.out.Text, r.out.Cells = r.at, true, strings.Join(cells, ","), append(r.out.Cells[:0], cells...)
	return &r.out, nil
}

func (r *tableRows) SetWidth(int) {}

func (r *tableRows) Close() error { return nil }

// layoutOf is a layout with steps.
func layoutOf(t require.TestingT, steps ...layout.Step) *layout.Layout {
	l := &layout.Layout{File: layout.File{Type: "csv", Header: 1}, Steps: steps, Numbers: parse.Numbers{Decimal: "."}}
	for i := range l.Steps {
		require.NoError(t, l.Steps[i].Compile())
	}
	return l
}

// reshaped are all rows of a table after steps, and the notes on them.
func reshaped(t require.TestingT, in table, steps ...layout.Step) (all []lines.Line, notes []string, err error) {
	src := Rows(&tableRows{table: in}, layoutOf(t, steps...), "file.csv", nil)
	for {
		ln, err := src.Next()
		if errors.Is(err, io.EOF) {
			return all, Notes(src), nil
		}
		if err != nil {
			return all, nil, err
		}
		own := *ln
		own.Cells = slices.Clone(ln.Cells)
		all = append(all, own)
	}
}

// cellsOf are the cells of lines.
func cellsOf(all []lines.Line) (out table) {
	for _, ln := range all {
		out = append(out, ln.Cells)
	}
	return out
}

// wantCells is a table written as text, cells between bars.
func wantCells(text string) (out table) {
	for line := range strings.SplitSeq(strings.TrimSpace(text), "\n") {
		cells := strings.Split(strings.TrimSpace(line), "|")
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		out = append(out, cells)
	}
	return out
}

// numbersOf are the numbers of all lines of the file that lines stand for.
func numbersOf(all []lines.Line) (numbers []int) {
	for _, ln := range all {
		numbers = append(numbers, ln.Number)
		for _, p := range ln.Joined {
			numbers = append(numbers, p.Number)
		}
	}
	slices.Sort(numbers)
	return numbers
}

func refusal(t *testing.T, err error) *lines.Refusal {
	t.Helper()
	r, ok := errors.AsType[*lines.Refusal](err)
	require.True(t, ok, "%v", err)
	return r
}

package lines

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
)

// mostHeld is how many lines of one cell or none are held until it is known whether they
// stand above the header of another table.
const mostHeld = 8

// longestTitle is how many bytes a line that is held may have.
const longestTitle = 4 << 10

// OneTable are the rows of a file that holds several tables, one below the other. Those of
// the others, and what stands above their headers, come as lines above a header. A table
// begins with the line that has its names, and goes on to the header of another.
type OneTable struct {
	Rows
	own    *layout.Layout
	others []*layout.Layout
	within bool // the table that is read
	begun  bool
	held   []*Line
	err    error // what comes after the lines that are held
	skip   places
}

// InTable are the rows of the table that a layout reads, beside others that others read.
func InTable(src Rows, own *layout.Layout, others []*layout.Layout) *OneTable {
	return &OneTable{Rows: src, own: own, others: others}
}

// Next gives the next line.
func (t *OneTable) Next() (*Line, error) {
	for {
		if n := len(t.held); n > 0 && (t.err != nil || n > mostHeld || !t.waits(t.held[n-1])) {
			ln := t.held[0]
			t.held = t.held[1:]
			return ln, nil
		}
		if t.err != nil {
			if errors.Is(t.err, io.EOF) && !t.begun {
				return nil, Refuse(NoHeader, "no line of the file has the names of the columns of table %d", t.own.File.Table)
			}
			return nil, t.err
		}
		ln, err := t.Rows.Next()
		if err != nil {
			t.err = err
			continue
		}
		if out := t.take(ln); out != nil {
			return out, nil
		}
	}
}

// take sorts a line, and gives it back where it need not be held.
func (t *OneTable) take(ln *Line) *Line {
	ln.Top = NoTop // the file uses its line again
	own, other := t.begins(ln)
	switch {
	case own:
		t.within, t.begun = true, true
	case other:
		t.within = false
		for _, h := range t.held {
			t.away(h)
		}
	}
	if !t.within {
		t.away(ln)
	}
	if len(t.held) == 0 && !(t.within && t.waits(ln)) {
		return ln
	}
	t.held = append(t.held, ln.Clone())
	return nil
}

// away marks a line of another table.
func (t *OneTable) away(ln *Line) {
	ln.Top = AboveHeader
	if t.begun && !Blank(ln.Cells) {
		t.skip.add(ln)
	}
}

// begins reports the header of the table that is read, or of another.
func (t *OneTable) begins(ln *Line) (own, other bool) {
	if ln.Fault != "" || Blank(ln.Cells) {
		return false, false
	}
	n := layout.BeginsTable(t.own, ln.Cells)
	for _, l := range t.others {
		if layout.BeginsTable(l, ln.Cells) > n {
			return false, true
		}
	}
	return n > 0, false
}

// waits reports a line that may be the title of a table below it.
func (t *OneTable) waits(ln *Line) bool {
	if !t.within || ln.Fault != "" || len(ln.Text) > longestTitle {
		return false
	}
	n := 0
	for _, c := range ln.Cells {
		if strings.TrimSpace(c) != "" {
			n++
		}
	}
	return n < 2
}

// Notes are what a person should know of the other tables.
func (t *OneTable) Notes() []string {
	if t.skip.count == 0 {
		return nil
	}
	what := fmt.Sprintf("%d lines of other tables are", t.skip.count)
	if t.skip.count == 1 {
		what = "1 line of another table is"
	}
	return []string{what + " skipped; the first is " + t.skip.first}
}

// Clone is a line that stays as it is when the next is read.
func (l *Line) Clone() *Line {
	own := *l
	own.Text, own.Sheet = strings.Clone(l.Text), strings.Clone(l.Sheet)
	own.Cells, own.Stored, own.Spans = slices.Clone(l.Cells), slices.Clone(l.Stored), slices.Clone(l.Spans)
	for i := range own.Cells {
		own.Cells[i] = strings.Clone(own.Cells[i])
	}
	return &own
}

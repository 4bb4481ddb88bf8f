package lines

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// Span is a cell of a line that is merged with those below it.
type Span struct {
	Column int // from 0
	Last   int // number of the last line that it reaches over
}

// Merged are the rows of a file in which a cell that is merged over rows holds for each
// of them, as somebody sees it who looks at the sheet. One that is measured holds for
// its first row alone (layout.HoldsMerged): another reading was not taken.
//
// It holds below the header alone, in rows that hold something of their own and are not
// skipped, and takes the place of no cell that is filled.
type Merged struct {
	Rows
	layout *layout.Layout
	header []string // trimmed; nil before it
	holds  []bool   // by column
	open   []openSpan
	filled []places // by column: blank cells that hold what is merged over them
	blank  []places // that stay blank
	hidden []places // filled cells that a merge covers
}

// openSpan is a merged cell that reaches over the lines being read, by column.
type openSpan struct {
	last   int
	text   string
	stored Stored
}

// places counts cells, and keeps where the first stands.
type places struct {
	count int64
	first string
}

func (p *places) add(ln *Line) {
	if p.count++; p.count > 1 {
		return
	}
	p.first = fmt.Sprintf("line %d", ln.Number)
	if ln.Number >= SheetLines {
		p.first = InSheet(ln.Sheet, ln.Number)
	}
}

// OverMerged are rows in which merged cells hold for the rows they reach over.
func OverMerged(src Rows, l *layout.Layout) *Merged { return &Merged{Rows: src, layout: l} }

// Next gives the next row.
func (m *Merged) Next() (*Line, error) {
	ln, err := m.Rows.Next()
	switch {
	case err != nil:
		return nil, err
	case m.header == nil:
		if ln.Top == NoTop && ln.Number >= m.layout.File.Header && ln.Fault == "" && !Blank(ln.Cells) {
			m.begin(ln)
		}
	case ln.Top != NoTop:
		clear(m.open)
	case len(ln.Spans) > 0 || slices.ContainsFunc(m.open, func(o openSpan) bool { return o.last >= ln.Number }):
		m.row(ln)
	}
	return ln, nil
}

// begin is told the header.
func (m *Merged) begin(ln *Line) {
	for _, c := range ln.Cells {
		name := strings.Clone(parse.Trim(c))
		m.header, m.holds = append(m.header, name), append(m.holds, layout.HoldsMerged(m.layout, name))
	}
	n := len(m.header)
	m.open, m.filled, m.blank, m.hidden = make([]openSpan, n), make([]places, n), make([]places, n), make([]places, n)
}

// row fills the cells of a row that merged ones reach over, and notes those that begin.
func (m *Merged) row(ln *Line) {
	if ln.Fault != "" || Blank(ln.Cells) || m.layout.Skips(ln.Number, ln.Text) {
		return
	}
	changed := false
	for i := range min(len(m.open), len(ln.Cells)) {
		o := &m.open[i]
		if o.last < ln.Number || o.text == "" {
			continue
		}
		switch own := parse.Trim(ln.Cells[i]); {
		case own != "" && own != parse.Trim(o.text):
			m.hidden[i].add(ln)
		case own != "":
		case !m.holds[i]:
			m.blank[i].add(ln)
		default:
			m.filled[i].add(ln)
			ln.put(i, o.text, o.stored)
			changed = true
		}
	}
	for _, s := range ln.Spans {
		if s.Column < min(len(m.open), len(ln.Cells)) {
			m.open[s.Column] = openSpan{s.Last, strings.Clone(ln.Cells[s.Column]), ln.StoredAs(s.Column)}
		}
	}
	if changed {
		ln.Text = strings.Join(ln.Cells, "\t")
	}
}

// put puts a text into a cell.
func (l *Line) put(cell int, text string, as Stored) {
	l.Cells[cell] = text
	if l.Stored == nil && as != AsText {
		l.Stored = make([]Stored, len(l.Cells))
	}
	if l.Stored != nil {
		l.Stored[cell] = as
	}
}

// Notes are what a person should know of the merged cells.
func (m *Merged) Notes() (all []string) {
	for i, name := range m.header {
		for _, k := range []struct {
			of        places
			one, many string
		}{
			{m.filled[i], "takes the value of the cell that is merged over it", "take the value of the cell that is merged over them"},
			{m.hidden[i], "lies hidden under a merged one and is read as it is", "lie hidden under a merged one and are read as they are"},
			{m.blank[i], "stays" + ofOneRow, "stay" + ofOneRow},
		} {
			said := fmt.Sprintf("%d cells of column %q %s", k.of.count, name, k.many)
			if k.of.count == 1 {
				said = fmt.Sprintf("1 cell of column %q %s", name, k.one)
			}
			if k.of.count > 0 {
				all = append(all, said+"; the first is in "+k.of.first)
			}
		}
	}
	return all
}

const ofOneRow = " blank under a merged one: a measurement belongs to one row (merged = true if it belongs to all)"

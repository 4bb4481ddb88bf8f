package lines

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// Headed are the rows of a file under a header that is one line: lines of a header
// over several are joined to one, and a file without a header gets one of the
// names that its layout gives its columns, at line 0 and standing for no line.
func Headed(src Rows, l *layout.Layout) Rows {
	h := l.File.HeaderLines
	switch {
	case l.File.Header == 0:
		src.SetWidth(len(l.Names()))
		return &headless{Rows: src, names: l.Names()}
	case len(h) > 1:
		return &manyHeaders{Rows: src, first: h.First(), last: l.File.Header}
	}
	return src
}

// headless are rows without a header.
type headless struct {
	Rows
	names []string // until the header is given
}

func (h *headless) Next() (*Line, error) {
	if h.names == nil {
		return h.Rows.Next()
	}
	ln := &Line{Cells: h.names, Text: strings.Join(h.names, "\t"), Ended: true}
	h.names = nil
	return ln, nil
}

// manyHeaders are rows with a header over several lines.
type manyHeaders struct {
	Rows
	first, last int
	done        bool
}

func (m *manyHeaders) Next() (*Line, error) {
	ln, err := m.Rows.Next()
	if err != nil || m.done || ln.Number < m.first {
		return ln, err
	}
	m.done = true
	var upper [][]string
	var parts []Part
	for ln.Number < m.last && ln.Fault == "" {
		upper = append(upper, slices.Clone(ln.Cells))
		parts = append(parts, Part{ln.Number, strings.Clone(ln.Text)})
		if ln, err = m.Rows.Next(); err != nil {
			return nil, err
		}
	}
	one := *ln
	if ln.Fault != "" && ln.Number < m.last {
		one.Number, one.Fault = m.last, fmt.Sprintf("of its header, line %d: %s", ln.Number, ln.Fault)
	}
	one.Cells, one.Stored, one.Joined = JoinHeader(append(upper, ln.Cells)), nil, parts
	return &one, nil
}

// JoinHeader puts the lines of a header together, cell by cell with a blank between.
// An upper cell that has a name below it holds for the blank cells to its right, as
// one that is merged with them does.
func JoinHeader(all [][]string) []string {
	width := 0
	for _, cells := range all {
		width = max(width, len(cells))
	}
	names := make([]string, width)
	for row, cells := range all {
		held := ""
		for i := range width {
			text := ""
			if i < len(cells) {
				text = parse.Trim(cells[i])
			}
			below := namedBelow(all[row+1:], i)
			switch {
			case text != "" && below:
				held = text
			case text != "":
				held = ""
			case below:
				text = held
			}
			names[i] = parse.Trim(names[i] + " " + text)
		}
	}
	return names
}

// namedBelow reports a column that has a name in one of the lower lines.
func namedBelow(lower [][]string, column int) bool {
	return slices.ContainsFunc(lower, func(cells []string) bool { return column < len(cells) && parse.Trim(cells[column]) != "" })
}

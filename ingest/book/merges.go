package book

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"fluedrift/ingest/lines"
)

// mostMerges is how many ranges of cells that are merged over rows are held of a sheet.
const mostMerges = 1 << 20

// lastRow is the last row that a sheet can have (common practice, no source).
const lastRow = 1 << 20

// merge is a range of cells that are merged over rows. What it holds stands in its first
// row and column.
type merge struct {
	first, last int32 // rows, from 1
	column      int16 // from 0
}

// merges are the ranges of a sheet that are merged over rows, by row and column. Which
// they are stands behind the rows (ECMA-376 part 1, 18.3.1.55), so a sheet is searched
// for them before it is read.
type merges struct {
	all []merge
	odd []string // ranges that are none, or that overlap another; the first few
	bad int64    // how many
}

// mergesOf finds the merged cells of a sheet.
func mergesOf(p *parts, part string, limit int64) (*merges, error) {
	r, err := p.open(part, sheetLimit)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	from := bufio.NewReaderSize(r, 64<<10)
	switch at, err := seekMerges(from); {
	case err != nil:
		return nil, damaged("the sheet", err)
	case at == noMerges:
		return &merges{}, nil
	case at == maybeMerges:
		again, err := p.open(part, sheetLimit)
		if err != nil {
			return nil, err
		}
		defer again.Close()
		return readMerges(newTokens(again, limit))
	}
	return readMerges(newTokens(from, limit))
}

// What a search for merged cells comes to.
const (
	noMerges    = iota
	atMerges    // their list comes next
	maybeMerges // their name is there, and whether as that of an element only the tokens tell
)

// seekMerges reads up to the list of merged cells. Most sheets have none, and to cut all
// others into tokens twice would take twice as long: their list is searched by its name,
// which is not written otherwise. Where it could be a text or a remark, the tokens tell.
func seekMerges(from *bufio.Reader) (found int, err error) {
	name := []byte("mergeCells")
	for start := true; ; start = false {
		seen, err := from.Peek(from.Size())
		if err != nil && !errors.Is(err, io.EOF) {
			return 0, err
		}
		at := bytes.Index(seen, name)
		before := seen
		if at >= 0 {
			before = seen[:at]
		}
		if start {
			before = bytes.TrimPrefix(before, []byte("<?"))
		}
		odd := bytes.Contains(before, []byte("<!")) || bytes.Contains(before, []byte("<?"))
		switch open := bytes.LastIndexByte(before, '<'); {
		case odd, at >= 0 && (open < 0 || bytes.ContainsAny(before[open:], " \t\r\n>")):
			return maybeMerges, nil
		case at >= 0:
			_, err := from.Discard(len(seen[:at]) - len(before[open:]))
			return atMerges, err
		case err != nil:
			return noMerges, nil
		}
		if _, err := from.Discard(len(seen) - len(name)); err != nil {
			return 0, err
		}
	}
}

// readMerges reads the merged ranges of a sheet.
func readMerges(tokens *tokenReader) (*merges, error) {
	m, within := &merges{}, false
	for {
		t, err := tokens.first()
		if errors.Is(err, io.EOF) {
			m.sort()
			return m, nil
		}
		if err != nil {
			return nil, tokens.fault("the sheet", err)
		}
		switch e := t.(type) {
		case xml.StartElement:
			within = within || e.Name.Local == "mergeCells"
			if within && e.Name.Local == "mergeCell" && !m.add(attribute(e, "ref")) {
				return nil, lines.Refuse(lines.TooLarge, "the sheet has more than %d merged ranges of rows\nunmerge its cells", mostMerges)
			}
		case xml.EndElement:
			if e.Name.Local == "mergeCells" {
				m.sort()
				return m, nil
			}
		}
	}
}

// add adds a range as it is written, and reports false where there are too many.
func (m *merges) add(ref string) bool {
	first, last, ok := rangeOf(ref)
	switch {
	case !ok:
		m.note(ref)
	case first.first < last.first:
		m.all = append(m.all, merge{first.first, last.first, first.column})
	}
	return len(m.all) <= mostMerges
}

func (m *merges) note(ref string) {
	if m.bad++; len(m.odd) < 3 {
		m.odd = append(m.odd, strings.Clone(ref[:min(len(ref), 30)]))
	}
}

// rangeOf reads a range such as A2:B7: its first cell and its last.
func rangeOf(ref string) (first, last merge, ok bool) {
	from, to, ok := strings.Cut(ref, ":")
	if !ok {
		to = from
	}
	first, ok = cellOf(from)
	last, fits := cellOf(to)
	return first, last, ok && fits && first.first <= last.first && first.column <= last.column
}

// cellOf is the cell of a reference such as AB12, as a range of one row.
func cellOf(ref string) (merge, bool) {
	column, err := columnNumber(ref)
	row, e := strconv.Atoi(strings.TrimLeft(ref, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
	if err != nil || e != nil || row < 1 || row > lastRow {
		return merge{}, false
	}
	return merge{int32(row), int32(row), int16(column)}, true
}

// columnNumber is the column of a cell reference such as AB12, from 0.
func columnNumber(ref string) (int, error) {
	n, i := 0, 0
	for ; i < len(ref) && ref[i] >= 'A' && ref[i] <= 'Z' && n <= 1<<14; i++ {
		n = n*26 + int(ref[i]-'A') + 1
	}
	if i == 0 || n > 1<<14 {
		return 0, fmt.Errorf("cell %q is in no column", ref)
	}
	return n - 1, nil
}

// sort puts the ranges in the order of their rows, and leaves out those that begin
// within another: what they hold cannot be told.
func (m *merges) sort() {
	slices.SortFunc(m.all, func(x, y merge) int {
		return cmp.Or(cmp.Compare(x.column, y.column), cmp.Compare(x.first, y.first), cmp.Compare(x.last, y.last))
	})
	column, last := int16(-1), int32(0)
	m.all = slices.DeleteFunc(m.all, func(x merge) bool {
		if x.column != column {
			column, last = x.column, 0
		}
		overlaps := x.first <= last
		if overlaps {
			m.note(x.String())
		}
		last = max(last, x.last)
		return overlaps
	})
	slices.SortFunc(m.all, func(x, y merge) int { return cmp.Or(cmp.Compare(x.first, y.first), cmp.Compare(x.column, y.column)) })
}

// String is the range without its columns but the first.
func (m merge) String() string {
	return cellName(int(m.column), int(m.first)) + ":" + cellName(int(m.column), int(m.last))
}

// spans adds the cells of a row that are merged with those below. Rows come in order.
func (m *merges) spans(to []lines.Span, row int) []lines.Span {
	for len(m.all) > 0 && int(m.all[0].first) <= row {
		if one := m.all[0]; int(one.first) == row {
			to = append(to, lines.Span{Column: int(one.column), Last: int(one.last)})
		}
		m.all = m.all[1:]
	}
	return to
}

// mergesRead are the merged cells of the sheet that is read now.
type mergesRead struct {
	*merges        // nil before they are searched
	odd     string // what is wrong with those of the first sheet that has such
}

// find finds those of a sheet, once somebody has read its header and means to read on.
func (m *mergesRead) find(p *parts, of bookSheet, limit int64) (err error) {
	if m.merges != nil {
		return nil
	}
	m.merges, err = mergesOf(p, of.part, limit)
	if err == nil && m.bad > 0 && m.odd == "" {
		m.odd = fmt.Sprintf("merged ranges of sheet %q that are none, or overlap, hold for nothing: %d, the first %s", of.name, m.bad,
			lines.Quoted(m.merges.odd))
	}
	return err
}

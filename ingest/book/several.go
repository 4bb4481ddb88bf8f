package book

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// mostSheets is how many sheets are read as one table: what a number of a line can say.
const mostSheets = 2000

// firstOf is the line in which a header begins.
func firstOf(l *layout.Layout) int {
	if len(l.File.HeaderLines) > 0 {
		return l.File.HeaderLines.First()
	}
	return l.File.Header
}

// begin opens the sheet that is read now.
func (b *Rows) begin() (err error) {
	b.row, b.pending, b.merged.merges = 0, 0, nil
	if b.sheet, err = b.parts.open(b.reads[b.at].part, sheetLimit); err != nil {
		b.sheet = io.NopCloser(strings.NewReader(""))
		return err
	}
	b.tokens = newTokens(b.sheet, b.limit)
	return nil
}

// place numbers a line of one of several sheets, and says where one stands that is above
// the rows of a further one.
func (b *Rows) place(l *lines.Line) error {
	if l.Number >= lines.SheetLines {
		return lines.Refuse(lines.TooLarge, "the sheet %q has more than %d rows, which one of several cannot have\nread it by itself",
			l.Sheet, lines.SheetLines-1)
	}
	switch {
	case b.at == 0 || l.Number > b.header:
	case l.Number < b.first:
		l.Top = lines.AboveHeader
	default:
		l.Top = lines.InHeader
	}
	l.Number += b.at * lines.SheetLines
	for i := range l.Spans {
		l.Spans[i].Last += b.at * lines.SheetLines
	}
	return nil
}

// ofOneHeader leaves of the sheets those with one header: that of the first sheet whose
// header has names of the layout's columns.
func (b *Rows) ofOneHeader(l *layout.Layout) error {
	if len(b.reads) > mostSheets {
		return lines.Refuse(lines.TooLarge, "the workbook has %d sheets to read as one, more than %d\nsplit it", len(b.reads), mostSheets)
	}
	heads := make([][]string, len(b.reads))
	all, lead := b.reads, -1
	for i := range all {
		var err error
		if heads[i], err = b.headOf(all[i]); err != nil {
			return err
		}
		if lead < 0 && (len(l.Columns) == 0 && len(heads[i]) > 0 || known(heads[i], l)) {
			lead = i
		}
	}
	if lead < 0 {
		lead = 0 // whose header is refused, with what it lacks
	}
	b.reads, b.at = nil, 0
	for i, s := range all {
		if slices.EqualFunc(heads[i], heads[lead], strings.EqualFold) {
			b.reads = append(b.reads, s)
			continue
		}
		s.why = fmt.Sprintf("its header is not that of the sheet %q", all[lead].name)
		b.others = append(b.others, s)
	}
	return nil
}

// known reports a header with two columns of the layout, or all where it has fewer.
func known(head []string, l *layout.Layout) bool {
	names := l.Spent()
	for _, c := range l.Columns {
		names = append(names, c.Headers...)
	}
	n := 0
	for _, h := range head {
		if h != "" && slices.ContainsFunc(names, func(name string) bool { return parse.Fold(name) == parse.Fold(h) }) {
			n++
		}
	}
	return n >= min(2, len(names))
}

// headOf is the header of a sheet, its lines put together; nil where it ends before it.
func (b *Rows) headOf(s bookSheet) ([]string, error) {
	one := Rows{parts: b.parts, reads: []bookSheet{s}, shared: b.shared, styles: b.styles, limit: b.limit}
	if err := one.begin(); err != nil {
		return nil, err
	}
	defer one.sheet.Close()
	var all [][]string
	for {
		ln, err := one.next()
		if errors.Is(err, io.EOF) {
			return nil, nil
		}
		if err != nil {
			return nil, err
		}
		if ln.Number >= b.first {
			all = append(all, slices.Clone(ln.Cells))
		}
		if ln.Number >= b.header {
			break
		}
	}
	head := lines.JoinHeader(all)
	for len(head) > 0 && head[len(head)-1] == "" {
		head = head[:len(head)-1]
	}
	return head, nil
}

// Sheets are the names of several sheets that are read, in order; nil for one.
func (b *Rows) Sheets() (names []string) {
	for _, s := range b.reads {
		names = append(names, s.name)
	}
	if len(names) < 2 {
		return nil
	}
	return names
}

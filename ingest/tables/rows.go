// Package tables reads the rows of a table in a page of HTML, as some programs write
// under the name of a workbook. Cells are the texts that a browser would show, without
// outer blanks. Rows are numbered within their table, the first is 1.
package tables

import (
	"errors"
	"io"
	"strconv"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"fluedrift/ingest/lines"
)

// Bounds: a row has no more cells than one of a workbook, and a cell covers no more
// rows than a page may say (HTML, 4.9.11).
const (
	mostCells = 1 << 14
	mostRows  = 65534
)

// Rows are the rows of a table.
type Rows struct {
	src   io.Closer
	from  *html.Tokenizer
	want  int // number of the table, from 1
	seen  int // tables that have begun
	depth int // of tables that are open

	width  int
	number int
	cells  []string
	covers []int // by column: rows below the one being read that a cell of it reaches into
	below  []lines.Span
	text   strings.Builder
	held   int
	inRow  bool
	inCell bool
	spans  [2]int // columns and rows of the cell being read
	silent atom.Atom
	out    lines.Line
}

// Open makes ready to read a table of a page in UTF-8, by its number.
func Open(src io.ReadCloser, number int) *Rows {
	t := html.NewTokenizer(src)
	t.SetMaxBuf(lines.Limit)
	return &Rows{src: src, from: t, want: number}
}

// SetWidth tells the cells of the header, to which rows are padded and cut.
func (r *Rows) SetWidth(cells int) { r.width = cells }

// Close closes the page.
func (r *Rows) Close() error { return r.src.Close() }

// Next gives the next row.
func (r *Rows) Next() (*lines.Line, error) {
	for {
		kind := r.from.Next()
		var done bool
		var err error
		switch kind {
		case html.ErrorToken:
			return nil, r.fault()
		case html.TextToken:
			err = r.say(r.from.Text())
		case html.StartTagToken, html.SelfClosingTagToken:
			done, err = r.open(kind == html.SelfClosingTagToken)
		case html.EndTagToken:
			done, err = r.close()
		}
		if err != nil {
			return nil, err
		}
		if done {
			return r.line(), nil
		}
	}
}

// fault is why no further row came.
func (r *Rows) fault() error {
	err := r.from.Err()
	switch {
	case errors.Is(err, html.ErrBufferExceeded):
		return tooLarge(r.number)
	case !errors.Is(err, io.EOF):
		return err
	case r.seen < r.want && r.seen == 0:
		return lines.Refuse(lines.NotText, "the page has no table")
	case r.seen < r.want:
		return lines.Refuse(lines.NoHeader, "the page has no table %d; it has %d", r.want, r.seen)
	case r.depth > 0:
		return lines.Refuse(lines.IncompleteFile, "the page ends within its table: the copy may not be finished")
	}
	return io.EOF
}

func tooLarge(row int) error {
	return lines.Refuse(lines.TooLarge, "row %d of the table holds more than %d bytes of text, or more than %d cells", row+1,
		lines.Limit, mostCells)
}

// here reports whether the innermost open table is the one that is read.
func (r *Rows) here() bool { return r.seen >= r.want && r.depth == 1 }

// open is told of a tag that opens; done says that a row is whole.
func (r *Rows) open(closed bool) (done bool, err error) {
	name, more := r.from.TagName()
	tag := atom.Lookup(name)
	switch {
	case tag == atom.Script || tag == atom.Style:
		r.silent = tag
	case tag == atom.Table:
		r.table()
	case !r.here() && !r.inCell:
	case tag == atom.Br || tag == atom.P || tag == atom.Div || tag == atom.Li:
		return false, r.say([]byte(" "))
	case !r.here():
	case tag == atom.Tr:
		done, err = r.endRow()
		r.inRow = true
	case (tag == atom.Td || tag == atom.Th) && !closed:
		if err := r.endCell(); err != nil {
			return false, err
		}
		r.inRow, r.inCell, r.spans = true, true, [2]int{1, 1}
		r.text.Reset()
		for more {
			var key, value []byte
			key, value, more = r.from.TagAttr()
			r.span(string(key), string(value))
		}
	}
	return done, err
}

// table begins a table. One after the one that is read is not looked at.
func (r *Rows) table() {
	if r.seen < r.want {
		r.seen++
		if r.seen == r.want {
			r.depth = 1
		}
		return
	}
	if r.depth > 0 {
		r.depth++
	}
}

func (r *Rows) span(key, value string) {
	which, most := 0, mostCells
	switch key {
	case "colspan":
	case "rowspan":
		which, most = 1, mostRows
	default:
		return
	}
	if n, err := strconv.Atoi(strings.TrimSpace(value)); err == nil && n > 0 {
		r.spans[which] = min(n, most)
	}
}

// close is told of a tag that closes; done says that a row is whole.
func (r *Rows) close() (done bool, err error) {
	name, _ := r.from.TagName()
	tag := atom.Lookup(name)
	switch {
	case tag == r.silent:
		r.silent = 0
	case tag == atom.Table && r.depth > 0:
		if r.depth == 1 {
			done, err = r.endRow()
		}
		r.depth--
	case !r.here():
	case tag == atom.Td || tag == atom.Th:
		err = r.endCell()
	case tag == atom.Tr || tag == atom.Thead || tag == atom.Tbody || tag == atom.Tfoot:
		done, err = r.endRow()
	}
	return done, err
}

// say adds text to the open cell.
func (r *Rows) say(text []byte) error {
	if !r.inCell || r.silent != 0 {
		return nil
	}
	if r.held += len(text); r.held > lines.Limit {
		return tooLarge(r.number)
	}
	r.text.Write(text)
	return nil
}

// endCell puts the open cell into its column: the next that no cell above reaches into.
func (r *Rows) endCell() error {
	if !r.inCell {
		return nil
	}
	r.inCell = false
	r.skipCovered()
	text := strings.Join(strings.Fields(r.text.String()), " ")
	for i := range r.spans[0] {
		if len(r.cells) >= mostCells {
			return tooLarge(r.number)
		}
		if i > 0 {
			text = "" // a cell over several columns stands in the first
		}
		at := len(r.cells)
		r.cells = append(r.cells, text)
		if r.spans[1] > 1 {
			for len(r.covers) <= at {
				r.covers = append(r.covers, 0)
			}
			r.covers[at] = r.spans[1]
			if i == 0 {
				r.below = append(r.below, lines.Span{Column: at, Last: r.number + r.spans[1]})
			}
		}
	}
	return nil
}

// skipCovered leaves columns blank that a cell of a row above reaches into.
func (r *Rows) skipCovered() {
	for len(r.cells) < len(r.covers) && r.covers[len(r.cells)] > 0 {
		r.cells = append(r.cells, "")
	}
}

// endRow ends the open row, if one is open.
func (r *Rows) endRow() (done bool, err error) {
	if err := r.endCell(); err != nil {
		return false, err
	}
	if !r.inRow {
		return false, nil
	}
	r.skipCovered()
	for i := range r.covers {
		r.covers[i] = max(0, r.covers[i]-1)
	}
	r.inRow, r.held = false, 0
	return true, nil
}

// line is the row just read.
func (r *Rows) line() *lines.Line {
	r.number++
	cells := r.cells
	for len(cells) > r.width && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	for len(cells) < r.width {
		cells = append(cells, "")
	}
	r.cells = r.cells[:0]
	r.out = lines.Line{
		Number: r.number, Ended: true, Cells: append(r.out.Cells[:0], cells...), Spans: append(r.out.Spans[:0], r.below...),
	}
	r.below = r.below[:0]
	r.out.Text = strings.Join(r.out.Cells, "\t")
	return &r.out
}

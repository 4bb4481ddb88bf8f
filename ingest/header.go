package ingest

import (
	"errors"
	"io"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/mend"
	"fluedrift/ingest/parse"
)

// bound is a declared column at its place in a file.
type bound struct {
	*layout.Column
	index   int              // cell of the row; -1 for a constant and for an absent optional column
	field   int              // place in layout.Fields of the record; -1 for a carried column
	into    []int            // wide form: groups it gives a value to
	unitAt  int              // cell of unit_from
	basisAt int              // cell of basis_from
	in      []*layout.Column // the column in each of its units, where it has several
	date    bool             // a day whose order of day and month could be mistaken
	none    []string         // missing markers, folded, without blank
}

// missing reports a trimmed cell that is blank or a missing marker.
func (b *bound) missing(text string) bool {
	if text == "" {
		return true
	}
	for _, m := range b.none {
		if strings.EqualFold(m, text) {
			return true
		}
	}
	return false
}

// head is the header line of a file and what precedes it.
type head struct {
	cells   []string // trimmed
	skipped int64    // lines before the header
	lines   int64    // of the header itself
	bound   []bound
	spare   []string // headers nobody maps
	export  int      // cell of the export day, -1 if none
	words   int      // cell of mend.Column in a file to mend, -1 in any other
	lengths uint64   // of the names, a bit each
	unnamed []int    // columns whose header is blank
	numbers []int64  // by column: lines with a number under such a header
}

// readHead reads up to the header line and finds the declared columns in it.
func readHead(r lines.Rows, l *layout.Layout) (*head, error) {
	h := &head{export: -1, words: -1}
	for {
		ln, err := r.Next()
		if errors.Is(err, io.EOF) {
			if h.skipped == 0 {
				return nil, lines.Refuse(lines.EmptyFile, "the file holds no line")
			}
			return nil, lines.Refuse(lines.NoHeader, "the header is declared in line %d and the file ends before it", l.File.Header)
		}
		if err != nil {
			return nil, err
		}
		if ln.Number < l.File.Header || ln.Top != lines.NoTop {
			h.skipped += ln.Counts()
			continue
		}
		if ln.Cut || !ln.Ended && l.File.LastLine == "whole" {
			return nil, lines.Refuse(lines.IncompleteFile, "the header has no line end: the copy may not be finished")
		}
		if ln.Fault != "" {
			return nil, lines.Refuse(lines.NoHeader, "line %d: %s", ln.Number, ln.Fault)
		}
		if lines.Blank(ln.Cells) {
			return nil, lines.Refuse(lines.NoHeader, "line %d is blank; the header is declared there", ln.Number)
		}
		for _, c := range ln.Cells {
			h.cells = append(h.cells, strings.Clone(parse.Trim(c)))
		}
		for l.Padded() && len(h.cells) > 0 && h.cells[len(h.cells)-1] == "" {
			h.cells = h.cells[:len(h.cells)-1]
		}
		if h.lines = ln.Counts(); l.File.Header == 0 {
			h.lines = 0
		}
		r.SetWidth(len(h.cells))
		h.findUnnamed(l)
		err = h.bind(l)
		h.findWords()
		return h, err
	}
}

// other reports a line that is a header, but not this one: half of its cells
// or more are names of this header, in another order or beside new ones. The
// rows below it would be read by the wrong columns.
func (h *head) other(cells []string) bool {
	if len(cells) < 3 || len(cells) != len(h.cells) || !h.names(cells[0]) && !h.names(cells[1]) &&
		!h.names(cells[len(cells)-1]) || h.repeated(cells) {
		return false
	}
	same := 0
	for _, c := range cells {
		if h.names(c) {
			same++
		}
	}
	return 2*same >= len(cells)
}

// names reports a cell that is a name of the header.
func (h *head) names(cell string) bool {
	if h.lengths == 0 {
		for _, c := range h.cells {
			h.lengths |= 1 << (len(c) % 64)
		}
	}
	if cell == "" || h.lengths&(1<<(len(cell)%64)) == 0 {
		return false
	}
	for _, c := range h.cells {
		if strings.EqualFold(c, cell) {
			return true
		}
	}
	return false
}

// bind finds each declared column in the header: exact letters first, else
// folded where exactly one header fits.
func (h *head) bind(l *layout.Layout) error {
	folded := map[string][]int{}
	for i, c := range h.cells {
		if c != "" {
			folded[parse.Fold(c)] = append(folded[parse.Fold(c)], i)
		}
	}
	used := map[int]bool{}
	var missing []string
	found := 0
	for i := range l.Columns {
		c := &l.Columns[i]
		places, err := h.places(c, folded)
		if err != nil {
			return err
		}
		for _, p := range places {
			used[p] = true
		}
		switch {
		case len(places) > 0:
			found++
		case !c.Ignore && !c.Optional:
			missing = append(missing, strings.Join(c.Headers, `" or "`))
		}
		if !c.Ignore {
			h.bound = append(h.bound, h.bindColumn(l, c, places))
		}
	}
	if err := missingColumns(missing, found, l, h.cells); err != nil {
		return err
	}
	if err := bindUnits(h, folded); err != nil {
		return err
	}
	for _, name := range append(l.Spent(), layout.TellingColumns(l)...) {
		for _, p := range folded[parse.Fold(name)] {
			used[p] = true
		}
	}
	if l.ExportDay.From == layout.FromColumn {
		for _, p := range folded[parse.Fold(l.ExportDay.Column)] {
			used[p] = true
		}
	}
	for i, c := range h.cells {
		if !used[i] && c != "" {
			h.spare = append(h.spare, c)
		}
	}
	for i := range l.Fixed {
		h.bound = append(h.bound, h.bindColumn(l, &l.Fixed[i], nil))
	}
	if l.ExportDay.From != layout.FromColumn {
		return nil
	}
	if places := folded[parse.Fold(l.ExportDay.Column)]; len(places) == 1 {
		h.export = places[0]
		return nil
	}
	return lines.Refuse(lines.MissingColumn, "the column %q, which gives the day of the export, is not in the header", l.ExportDay.Column)
}

// places are where a column stands, by each of its names.
func (h *head) places(c *layout.Column, folded map[string][]int) (places []int, err error) {
	names := 0
	for _, name := range c.Headers {
		at := folded[parse.Fold(name)]
		if len(at) > 1 && !c.Ignore {
			return nil, lines.Refuse(lines.DuplicateColumn, "the header has %d columns named %q (letter case aside): %s", len(at),
				name, h.quoted(at))
		}
		if len(at) > 0 {
			names++
		}
		places = append(places, at...)
	}
	if names > 1 && !c.Ignore {
		return nil, lines.Refuse(lines.DuplicateColumn, "the header has %s, which the layout takes for names of one column\n"+
			"declare each of them by itself, one with ignore = true", h.quoted(places))
	}
	return places, nil
}

func missingColumns(missing []string, found int, l *layout.Layout, header []string) error {
	if len(missing) == 0 {
		return nil
	}
	if found == 0 {
		return lines.Refuse(lines.NoHeader, "line %d holds none of the declared headers: %q", l.File.Header,
			parse.Short(strings.Join(header, "; ")))
	}
	return lines.Refuse(lines.MissingColumn, "not in the header: %s", lines.Quoted(missing))
}

func (h *head) quoted(places []int) string {
	var names []string
	for _, p := range places {
		names = append(names, h.cells[p])
	}
	return lines.Quoted(names)
}

func (h *head) bindColumn(l *layout.Layout, c *layout.Column, places []int) bound {
	b := bound{Column: c, index: -1, field: -1}
	if len(places) > 0 {
		b.index = places[0]
	}
	if len(places) > 0 && len(c.Headers) > 1 {
		one := *c
		one.Header = h.cells[places[0]]
		b.Column = &one
	}
	for m := range c.Markers {
		if m != "" {
			b.none = append(b.none, m)
		}
	}
	if c.Carry != "" {
		return b
	}
	for i, f := range layout.Fields(l.Record) {
		if f.Name == c.Field {
			b.field = i
		}
	}
	_, exchangeable := c.Days.Exchanged()
	b.date = c.Of.Kind == layout.Day && exchangeable && c.Value == ""
	if l.Form != layout.Wide || c.Of.Place != layout.OfReading {
		return b
	}
	for i, g := range l.Groups() {
		if c.Fits(g) {
			b.into = append(b.into, i)
		}
	}
	return b
}

// findWords finds the column of a file to mend.
func (h *head) findWords() {
	if h.toMend() {
		h.words = slices.IndexFunc(h.cells, func(c string) bool { return parse.Fold(c) == mend.Column })
	}
}

// toMend reports the header of a file to mend: the program wrote it.
func (h *head) toMend() bool {
	for _, c := range h.spare {
		if parse.Fold(c) == mend.Column {
			return true
		}
	}
	return false
}

// peekHead reads the header line alone.
func peekHead(r lines.Rows, l *layout.Layout) ([]string, error) {
	r = lines.Headed(r, l)
	if l.File.Table > 0 {
		r = lines.InTable(r, l, nil)
	}
	for {
		ln, err := r.Next()
		if errors.Is(err, io.EOF) {
			return nil, lines.Refuse(lines.NoHeader, "the header is declared in line %d and the file ends before it", l.File.Header)
		}
		if err != nil {
			return nil, err
		}
		if ln.Top != lines.NoTop {
			continue
		}
		if !ln.Ended && l.File.LastLine == "whole" {
			return nil, lines.Refuse(lines.IncompleteFile, "the header has no line end: the copy may not be finished")
		}
		if ln.Number >= l.File.Header {
			return append([]string(nil), ln.Cells...), nil
		}
	}
}

// repeated reports a line that repeats the header.
func (h *head) repeated(cells []string) bool {
	if len(cells) != len(h.cells) {
		return false
	}
	for i, c := range cells {
		if c != h.cells[i] && !strings.EqualFold(parse.Trim(c), h.cells[i]) {
			return false
		}
	}
	return true
}

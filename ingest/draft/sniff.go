package draft

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// sniffed is the shape a file of unknown layout seems to have: for a draft
// that a person edits, never for reading.
type sniffed struct {
	file    layout.File
	grammar parse.Numbers
	header  []string
	rows    []sniffedRow // below the header, at most as many as asked for
	titles  []title      // of the file or of each of its sheets
	notes   []string
}

type sniffedRow struct {
	file   string
	sheet  string // of a workbook
	line   int
	top    bool // above the rows of a further sheet
	cells  []string
	stored []lines.Stored
	fault  bool // its cells cannot be told apart
}

const (
	sniffRows  = 400
	sniffBytes = 256 << 10
)

// sniff looks at the first lines of a file.
func sniff(f File) (*sniffed, error) {
	head, err := f.Head(sniffBytes)
	if err != nil {
		return nil, err
	}
	s := &sniffed{}
	best := layout.File{Type: "csv", Encoding: encodingOf(head), LastLine: "whole", Header: 1, Sheet: int64(1)}
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		best.Type = "xlsx"
	case bytes.HasPrefix(head, []byte("PAR1")):
		best.Type = "parquet"
	case bytes.HasPrefix(head, []byte("%PDF")):
		return nil, lines.Refuse(lines.NotText, "the content is a document")
	default:
		if !formOf(f, head, &best) {
			best.Delimiter = delimiterOf(f, best)
			best.Quote = quoteOf(f, best)
			best.Escape = escapeOf(f, best)
		}
		byLine := best.Type == "csv" || best.Type == "jsonl"
		if n := bytes.LastIndexAny(head, "\r\n"); byLine && n >= 0 && n < len(head)-1 && int64(len(head)) < sniffBytes {
			best.LastLine = "any"
			s.notes = append(s.notes, "the last line has no line end: last_line = \"any\" if the export always ends so, else the copy is not whole")
		}
	}
	s.file = best
	all, err := firstRows(f, best, max(f.Rows, sniffRows))
	if err != nil && len(all) == 0 {
		return nil, err
	}
	if l := (layout.Layout{File: best}); l.Named() && len(all) > 0 {
		s.header, s.rows = all[0].cells, all[1:]
		return s, nil
	}
	s.findHeader(all)
	s.addSheets(f)
	return s, nil
}

// encodingOf guesses an encoding from the byte order mark, the zeros of
// UTF-16, and whether the bytes are UTF-8.
func encodingOf(head []byte) string {
	even, odd := 0, 0
	for i, b := range head {
		if b == 0 && i%2 == 0 {
			even++
		} else if b == 0 {
			odd++
		}
	}
	switch {
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}), odd > len(head)/4:
		return "utf-16le"
	case bytes.HasPrefix(head, []byte{0xFE, 0xFF}), even > len(head)/4:
		return "utf-16be"
	case utf8.Valid(lines.WithoutCutRune(head)):
		return "utf-8"
	}
	return "windows-1252"
}

// escapeOf is the backslash where lines that cannot be told apart without it
// can be with it, or where a dump of a database writes a cell without a value so.
func escapeOf(f File, file layout.File) string {
	without, nulls := faultyLines(f, file), hasNulls(f, file)
	file.Escape = `\`
	if with := faultyLines(f, file); with < without || nulls && with == without {
		return file.Escape
	}
	return ""
}

// hasNulls reports a cell without a value as dumps of databases write it.
func hasNulls(f File, file layout.File) bool {
	all, _ := firstRows(f, file, sniffRows)
	return slices.ContainsFunc(all, func(r sniffedRow) bool { return slices.Contains(r.cells, `\N`) })
}

// faultyLines counts the first lines that cannot be told apart; a quote left open is
// worse than any.
func faultyLines(f File, file layout.File) (n int) {
	all, err := firstRows(f, file, sniffRows)
	if err != nil {
		return sniffRows + 1
	}
	for _, r := range all {
		if r.fault {
			n++
		}
	}
	return n
}

// firstRows reads lines of a file as a shape cuts them.
func firstRows(f File, shape layout.File, most int) ([]sniffedRow, error) {
	return rowsOf(f, shape, most, func(src lines.Rows) lines.Rows { return src })
}

// rowsOf reads lines of a file as a shape cuts them, through a view of them.
func rowsOf(f File, shape layout.File, most int, view func(lines.Rows) lines.Rows) ([]sniffedRow, error) {
	file, err := f.Open(shape)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	src := view(file)
	var all []sniffedRow
	for len(all) < most {
		ln, err := src.Next()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return all, err
		}
		row := sniffedRow{
			file: f.Name, sheet: strings.Clone(ln.Sheet), line: ln.Number, top: ln.Top != lines.NoTop, stored: slices.Clone(ln.Stored),
			fault: ln.Fault != "",
		}
		for _, c := range ln.Cells {
			row.cells = append(row.cells, strings.Clone(parse.Trim(c)))
		}
		all = append(all, row)
	}
	return all, nil
}

// commonWidth is the commonest number of cells, and how many rows have it.
func commonWidth(all []sniffedRow) (width, rows int) {
	count := map[int]int{}
	for _, r := range all {
		count[len(r.cells)]++
	}
	for w, n := range count {
		if n > rows || n == rows && w > width {
			width, rows = w, n
		}
	}
	return width, rows
}

// findHeader finds the header: the first line of the common width (or, in a
// workbook, of the most cells) in which nothing is a number or a day, else the
// first in which little is.
func (s *sniffed) findHeader(all []sniffedRow) {
	width, _ := commonWidth(all)
	at := headerAt(all, width, 0)
	if at < 0 {
		at = headerAt(all, width, 1.0/3)
	}
	last := at
	switch {
	case at >= 0:
		var first int
		first, last = joinHeader(all, at)
		s.header, s.file.HeaderLines = headOf(all, first, last)
		s.file.Header = last + 1
		s.titles = titlesOf(all[:last+1], first+1)
	case s.noHeader(all):
	default:
		s.notes = append(s.notes, "no line looks like a header: the export needs one")
		return
	}
	for _, r := range all[last+1:] {
		if !lines.Blank(r.cells) {
			s.rows = append(s.rows, r)
		}
	}
}

// headerAt is the first line of which no more than a share of the cells are
// values, and whose cells are all different; -1 if there is none.
func headerAt(all []sniffedRow, width int, share float64) int {
	for i, r := range all {
		filled, values := 0, 0
		seen, twice := map[string]bool{}, false
		for _, c := range r.cells {
			if c == "" {
				continue
			}
			filled++
			if looksLikeValue(c) {
				values++
			}
			twice = twice || seen[c]
			seen[c] = true
		}
		if filled >= 2 && 2*filled > width && float64(values) <= share*float64(filled) && (share == 0 || !twice) {
			return i
		}
	}
	return -1
}

// looksLikeValue reports a number or a day in any usual way of writing.
func looksLikeValue(text string) bool {
	for _, g := range usualNumbers {
		if _, rest, f := g.Split(text); f == nil && (rest == "" || len(quantity.MarkOf(rest)) > 0) {
			return true
		}
	}
	return daysOf([]string{text}).pattern != ""
}

var usualNumbers = []parse.Numbers{{Decimal: ".", Thousands: ","}, {Decimal: ",", Thousands: "."}}

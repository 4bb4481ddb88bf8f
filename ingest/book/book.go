// Package book reads the rows of a sheet of a workbook (ECMA-376) as they are
// stored: which cells are numbers, which are texts, and which numbers their style
// shows as days, times or percent. What the cells mean is not looked at.
//
// A part of a workbook can unpack to any size: what is held is bounded, a cell by
// the caller's limit, the shared texts by stringLimit; sheets are streamed.
package book

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// Limits on what is unpacked from a workbook, in bytes.
const (
	sheetLimit  = 2 << 30   // one sheet; it is streamed
	stringLimit = 256 << 20 // the shared texts; they are held
)

// Rows are the rows of one sheet of a workbook (ECMA-376), streamed. The
// package reads the sheet itself since it has to know of every cell whether a
// number or a text is stored: 1.125 stored as a number is not the text "1.125"
// of an office that writes thousands with a point.
//
// A row that is not stored counts as a blank line, so line numbers are row
// numbers. Cells missing at the end of a row are blank.
type Rows struct {
	file   *os.File
	parts  *parts
	reads  []bookSheet // sheets that are read, in their order
	others []bookSheet // sheets that are not
	at     int         // of reads, the one that is read now
	leaves bool        // rows that are struck out
	header int         // of each of several sheets, the line in which its header ends
	first  int         // and begins
	sheet  io.ReadCloser
	limit  int64 // bytes of a cell
	tokens *tokenReader
	shared *texts
	styles styleTable
	width  int
	merged mergesRead
	marks  *Marks // nil where nobody asks for them

	row     int // number of the last row given out
	pending int // number of a row that is read and lies further down; 0 for none
	out     lines.Line
	cells   []string
	stored  []lines.Stored
	spans   []lines.Span
	blanks  int // column behind the last blank cell
	held    int // bytes of text in cells
}

// Open opens the declared sheet. A cell may hold so many bytes of text.
func Open(file *os.File, size int64, l *layout.Layout, cellBytes int64) (*Rows, error) {
	z, err := openZip(file, size)
	if err != nil {
		return nil, err
	}
	p, err := openParts(z)
	if err != nil {
		return nil, err
	}
	reads, others, system, err := p.sheets(l)
	if err != nil {
		return nil, err
	}
	styles, err := p.readStyles(system)
	if err != nil {
		return nil, err
	}
	shared, err := p.sharedTexts(cellBytes)
	if err != nil {
		return nil, err
	}
	b := &Rows{
		file: file, parts: p, reads: reads, others: others, header: l.File.Header, first: firstOf(l),
		shared: shared, styles: styles, limit: cellBytes, leaves: l.File.StruckOut == layout.LeftOut,
	}
	if b.leaves {
		b.marks = &Marks{}
	}
	if l.File.SeveralSheets() {
		if err := b.ofOneHeader(l); err != nil {
			return nil, err
		}
	}
	return b, b.begin()
}

// openZip opens the packed content of a workbook, in which no two parts may have one
// name: which of them counts would be chance.
func openZip(file *os.File, size int64) (*zip.Reader, error) {
	var magic [8]byte
	n, _ := file.ReadAt(magic[:], 0)
	switch {
	case n == 8 && lines.IsOLE(magic[:]):
		return nil, lines.OLEFault(file, size)
	case n < 4 || string(magic[:4]) != "PK\x03\x04":
		return nil, lines.Refuse(lines.NotText, "the content is not a workbook, whatever the name says")
	}
	z, err := lines.OpenZip(file, size)
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for _, f := range z.File {
		name := strings.ToLower(f.Name)
		if seen[name] {
			return nil, lines.Refuse(lines.NotText, "the workbook is damaged: it has two parts %.200q", f.Name)
		}
		seen[name] = true
	}
	if f := slices.IndexFunc(z.File, func(f *zip.File) bool { return f.Name == "content.xml" }); f >= 0 && seen["mimetype"] {
		return nil, lines.Refuse(lines.NotText, "the file is an OpenDocument spreadsheet (.ods), which is not read\nsave it as .xlsx or .csv")
	}
	return z, nil
}

// SetWidth tells the cells of the header, to which rows are padded and cut.
func (b *Rows) SetWidth(cells int) { b.width = cells }

// Watch makes the rows tell what is hidden, struck out or has a note.
func (b *Rows) Watch() {
	if b.marks == nil {
		b.marks = &Marks{}
	}
	b.marks.HiddenSheets = b.parts.hidden
}

// Marks are what was seen of the sheets that were read; nil where nobody watches.
func (b *Rows) Marks() *Marks { return b.marks }

// OddMerges says which merged ranges cannot be understood; "" where all can.
func (b *Rows) OddMerges() string { return b.merged.odd }

// Close closes the file too.
func (b *Rows) Close() error { return errors.Join(b.sheet.Close(), b.file.Close()) }

// Next gives the next row; rows that are not stored come as blank lines.
func (b *Rows) Next() (*lines.Line, error) {
	l, err := b.next()
	for errors.Is(err, io.EOF) && b.at+1 < len(b.reads) {
		b.at++
		if err := errors.Join(b.sheet.Close(), b.begin()); err != nil {
			return nil, err
		}
		l, err = b.next()
	}
	if err == nil && len(b.reads) > 1 {
		return l, b.place(l)
	}
	return l, err
}

// next gives the next row of the sheet.
func (b *Rows) next() (*lines.Line, error) {
	if b.pending == 0 {
		number, err := b.readRow()
		if err != nil {
			return nil, err
		}
		b.pending = number
	}
	b.row++
	l := &b.out
	*l = lines.Line{Number: b.row, Ended: true, Sheet: b.reads[b.at].name}
	if b.row < b.pending {
		return l, nil
	}
	b.pending = 0
	if b.leaves && b.marks.allStruck() && b.width > 0 {
		l.Left = StruckOut
	}
	b.fit()
	if b.width > 0 {
		if err := b.merged.find(b.parts, b.reads[b.at], b.limit); err != nil {
			return nil, err
		}
		b.spans = b.merged.spans(b.spans[:0], b.row)
		l.Spans = b.spans
	}
	l.Cells, l.Stored, l.Text = b.cells, b.stored, strings.Join(b.cells, "\t")
	return l, nil
}

// fit drops blank cells at the end of a row and pads it to the header's width.
func (b *Rows) fit() {
	n := len(b.cells)
	for n > b.width && strings.TrimSpace(b.cells[n-1]) == "" {
		n--
	}
	b.cells, b.stored = b.cells[:n], b.stored[:n]
	for len(b.cells) < b.width {
		b.cells, b.stored = append(b.cells, ""), append(b.stored, lines.AsText)
	}
}

// readRow reads the cells of the next stored row and returns its number.
func (b *Rows) readRow() (int, error) {
	for {
		t, err := b.tokens.first()
		if err != nil {
			return 0, b.tokens.fault("the sheet", noEOF(err))
		}
		switch e := t.(type) {
		case xml.EndElement:
			if e.Name.Local == "sheetData" {
				return 0, b.end()
			}
		case xml.StartElement:
			if e.Name.Local == "col" && b.marks != nil {
				b.marks.column(e)
			}
			if e.Name.Local != "row" {
				continue
			}
			number := b.row + 1
			if at := attribute(e, "r"); at != "" {
				n, err := strconv.Atoi(at)
				if err != nil || n <= b.row || n > 1<<20 {
					return 0, lines.Refuse(lines.NotText, "the sheet numbers a row %.20q after row %d", at, b.row)
				}
				number = n
			}
			if b.marks == nil {
				return number, b.readCells()
			}
			b.marks.begin(e)
			err := b.readCells()
			b.marks.end(b.reads[b.at].name, len(b.reads) > 1, number)
			return number, err
		}
	}
}

// end is the end of the rows, once the sheet is read to its last byte.
func (b *Rows) end() error {
	if err := b.tokens.finish(); err != nil {
		return b.tokens.fault("the sheet", err)
	}
	if b.marks != nil {
		b.marks.sheet(b.parts, b.reads[b.at], len(b.reads) > 1)
	}
	return io.EOF
}

func noEOF(err error) error {
	if errors.Is(err, io.EOF) {
		return io.ErrUnexpectedEOF
	}
	return err
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}

// readCells reads up to the end of a row.
func (b *Rows) readCells() error {
	b.cells, b.stored, b.held, b.blanks = b.cells[:0], b.stored[:0], 0, 0
	for {
		t, err := b.tokens.first()
		if err != nil {
			return b.tokens.fault("the sheet", noEOF(err))
		}
		switch e := t.(type) {
		case xml.EndElement:
			if e.Name.Local == "row" {
				return nil
			}
		case xml.StartElement:
			if e.Name.Local != "c" {
				continue
			}
			if err := b.readCell(e); err != nil {
				return err
			}
		}
	}
}

// readCell reads one cell into its column.
func (b *Rows) readCell(start xml.StartElement) error {
	at, where := max(len(b.cells), b.blanks), "the sheet"
	if ref := attribute(start, "r"); ref != "" {
		col, err := columnNumber(ref)
		if err != nil || col < at {
			return lines.Refuse(lines.NotText, "the sheet names a cell %.20q out of order", ref)
		}
		at, where = col, fmt.Sprintf("the cell %.20s", ref)
	}
	p, err := b.cellParts()
	if err != nil {
		return b.tokens.fault(where, noEOF(err))
	}
	text, kind, err := b.read(start, p)
	if err != nil {
		return err
	}
	if b.marks != nil && strings.TrimSpace(text) != "" {
		struck := p.struck || b.styles.struck(attribute(start, "s")) || attribute(start, "t") == "s" && b.shared.struck(p.value)
		b.marks.cell(at, struck)
	}
	return b.put(at, where, text, kind)
}

// read is the text of a cell and how it is stored.
func (b *Rows) read(start xml.StartElement, p cellText) (text string, kind lines.Stored, err error) {
	value := p.value
	if p.formula != "" && !p.stored {
		return "=" + p.formula, lines.AsText, nil // a formula whose value was never stored is no blank
	}
	switch attribute(start, "t") {
	case "s":
		text, ok := b.shared.of(value)
		if value != "" && !ok {
			return "", 0, lines.Refuse(lines.NotText, "the sheet refers to the shared text %.20q, which is not there", value)
		}
		return text, lines.AsText, nil
	case "inlineStr":
		return unescape(p.inline), lines.AsText, nil
	case "str":
		return unescape(value), lines.AsText, nil
	case "b":
		return map[string]string{"1": "TRUE", "0": "FALSE"}[value], lines.AsText, nil
	case "", "n":
		if value != "" {
			text, kind = b.number(attribute(start, "s"), value)
			return text, kind, nil
		}
		return unescape(p.inline), lines.AsText, nil
	case "d":
		return value, lines.AsDay, nil
	}
	return value, lines.AsText, nil
}

// put puts a cell at its column. Cells between the last one and it are blank; a
// blank one is put nowhere, however far to the right it stands.
func (b *Rows) put(at int, where, text string, kind lines.Stored) error {
	switch b.held += len(text); {
	case int64(len(text)) > b.tokens.limit:
		return b.tokens.fault(where, errGreatText)
	case tooLong(text):
		return lines.Refuse(lines.TooLarge, "%s of the workbook holds more than the %d characters that a cell can have: the file is "+
			"damaged\nexport it again, without that text", where, mostCharacters)
	case b.held > lines.Limit:
		return lines.Refuse(lines.TooLarge, "the row of %s holds more than %d bytes", where, lines.Limit)
	case text == "":
		b.blanks = max(b.blanks, at+1)
		return nil
	}
	for len(b.cells) < at {
		b.cells, b.stored = append(b.cells, ""), append(b.stored, lines.AsText)
	}
	b.cells, b.stored = append(b.cells, parse.Unmarked(text)), append(b.stored, kind)
	return nil
}

// number is a stored number as its style shows it.
func (b *Rows) number(style, value string) (string, lines.Stored) {
	switch as := b.styles.shows(style); as {
	case shownPercent:
		return value, lines.AsPercent
	case shownDay, shownTime:
		if text := b.styles.text(as, value); text != "" {
			return text, lines.AsDay
		}
	}
	return value, lines.AsNumber
}

// cellText is what a cell holds.
type cellText struct {
	value, formula, inline string
	stored                 bool // there is a value, if only an empty one
	struck                 bool // a part of the text is struck out
}

// cellParts reads value, formula and inline text up to the end of a cell.
func (b *Rows) cellParts() (p cellText, err error) {
	var into *string
	for {
		t, err := b.tokens.Token()
		if err != nil {
			return p, err
		}
		switch e := t.(type) {
		case xml.StartElement:
			into = nil
			switch e.Name.Local {
			case "v":
				into, p.stored = &p.value, true
			case "f":
				into = &p.formula
			case "is":
				p.stored = true
				if p.inline, p.struck, err = richText(b.tokens, "is"); err != nil {
					return p, err
				}
			}
		case xml.EndElement:
			into = nil
			if e.Name.Local == "c" {
				return p, nil
			}
		case xml.CharData:
			if into != nil {
				*into += string(e)
			}
		}
	}
}

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
	zip    *zip.Reader
	others []otherSheet // sheets that are not read
	sheet  io.ReadCloser
	tokens *tokenReader
	shared []string
	styles styleTable
	width  int

	row     int // number of the last row given out
	pending int // number of a row that is read and lies further down; 0 for none
	out     lines.Line
	cells   []string
	stored  []lines.Stored
	held    int // bytes of text in cells
}

// Open opens the declared sheet. A cell may hold so many bytes of text.
func Open(file *os.File, size int64, l *layout.Layout, cellBytes int64) (*Rows, error) {
	var magic [4]byte
	if _, err := file.ReadAt(magic[:], 0); err != nil || string(magic[:]) != "PK\x03\x04" {
		return nil, lines.Refuse(lines.NotText, "the content is not a workbook, whatever the name says")
	}
	z, err := zip.NewReader(file, size)
	if err != nil {
		return nil, lines.Refuse(lines.IncompleteFile, "the end of the workbook is missing: the copy may not be finished")
	}
	part, others, system, err := sheetPart(z, l)
	if err != nil {
		return nil, err
	}
	styles, err := readStyles(z, system)
	if err != nil {
		return nil, err
	}
	shared, err := sharedTexts(z, cellBytes)
	if err != nil {
		return nil, err
	}
	sheet, err := openPart(z, part, sheetLimit)
	if err != nil {
		return nil, err
	}
	return &Rows{file: file, zip: z, others: others, sheet: sheet, tokens: newTokens(sheet, cellBytes), shared: shared, styles: styles}, nil
}

// SetWidth tells the cells of the header, to which rows are padded and cut.
func (b *Rows) SetWidth(cells int) { b.width = cells }

// Close closes the file too.
func (b *Rows) Close() error { return errors.Join(b.sheet.Close(), b.file.Close()) }

// Next gives the next row; rows that are not stored come as blank lines.
func (b *Rows) Next() (*lines.Line, error) {
	if b.pending == 0 {
		number, err := b.readRow()
		if err != nil {
			return nil, err
		}
		b.pending = number
	}
	b.row++
	l := &b.out
	*l = lines.Line{Number: b.row, Ended: true}
	if b.row < b.pending {
		return l, nil
	}
	b.pending = 0
	b.fit()
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
				return 0, io.EOF
			}
		case xml.StartElement:
			if e.Name.Local == "sheetData" || e.Name.Local != "row" {
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
			return number, b.readCells()
		}
	}
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
	b.cells, b.stored, b.held = b.cells[:0], b.stored[:0], 0
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
	at, where := len(b.cells), "the sheet"
	if ref := attribute(start, "r"); ref != "" {
		col, err := columnNumber(ref)
		if err != nil || col < at {
			return lines.Refuse(lines.NotText, "the sheet names a cell %.20q out of order", ref)
		}
		at, where = col, fmt.Sprintf("the cell %.20s", ref)
	}
	form := attribute(start, "t")
	p, err := b.cellParts()
	if err != nil {
		return b.tokens.fault(where, noEOF(err))
	}
	value, text, kind := p.value, p.value, lines.AsText
	switch form {
	case "s":
		i, err := strconv.Atoi(value)
		if value != "" && (err != nil || i < 0 || i >= len(b.shared)) {
			return lines.Refuse(lines.NotText, "the sheet refers to the shared text %.20q, which is not there", value)
		}
		if value != "" {
			text = b.shared[i]
		}
	case "inlineStr":
		text = p.inline
	case "b":
		text = map[string]string{"1": "TRUE", "0": "FALSE"}[value]
	case "", "n":
		if value != "" {
			text, kind = b.number(attribute(start, "s"), value)
		}
	case "d":
		kind = lines.AsDay
	}
	if p.formula != "" && !p.stored {
		text = "=" + p.formula // a formula whose value was never stored is no blank
	}
	if b.held += len(text); int64(len(text)) > b.tokens.limit {
		return b.tokens.fault(where, errGreatText)
	} else if b.held > lines.Limit {
		return lines.Refuse(lines.TooLarge, "the row of %s holds more than %d bytes", where, lines.Limit)
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
}

// cellParts reads value, formula and inline text up to the end of a cell.
func (b *Rows) cellParts() (p cellText, err error) {
	var into *string
	for {
		t, err := b.tokens.RawToken()
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
				if p.inline, err = richText(b.tokens, "is"); err != nil {
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

// columnNumber is the column of a cell reference such as AB12, from 0.
func columnNumber(ref string) (int, error) {
	n, i := 0, 0
	for ; i < len(ref) && ref[i] >= 'A' && ref[i] <= 'Z'; i++ {
		n = n*26 + int(ref[i]-'A') + 1
	}
	if i == 0 || n > 1<<14 {
		return 0, fmt.Errorf("cell %q is in no column", ref)
	}
	return n - 1, nil
}

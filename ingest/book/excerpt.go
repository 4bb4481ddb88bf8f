package book

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// Excerpt is some rows of the sheet that a layout reads, as they are stored.
type Excerpt struct {
	Sheet string         // its name
	Late  bool           // days count from 1904
	Last  int            // number of the last row of the sheet, or the last one wanted
	Rows  map[int][]Cell // by number, those with a value
}

// Cell is a cell as it is stored. Type is that of ECMA-376 part 1, 18.18.11: "" or
// n a number, b 1 or 0, s and inlineStr a text, str a formula's.
type Cell struct {
	Column int // from 1
	Type   string
	Value  string // a shared text itself
	Format Format
}

// Format is how a number is shown: a format that every workbook has, by its number, or
// one of the workbook's own (ECMA-376 part 1, 18.8.30).
type Format struct {
	Number int
	Own    string
}

// Take takes the rows that are wanted, up to the last of them, out of the content of a
// workbook. The rows between them are stepped over and not read.
func Take(content io.ReaderAt, size int64, l *layout.Layout, wanted func(row int) bool, last int) (*Excerpt, error) {
	z, err := lines.OpenZip(content, size)
	if err != nil {
		return nil, err
	}
	p, err := openParts(z)
	if err != nil {
		return nil, err
	}
	reads, _, system, err := p.sheets(l)
	if err != nil {
		return nil, err
	}
	formats, err := formatsOf(p)
	if err != nil {
		return nil, err
	}
	shared, err := p.sharedTexts(lines.Limit)
	if err != nil {
		return nil, err
	}
	sheet, err := p.open(reads[0].part, sheetLimit)
	if err != nil {
		return nil, err
	}
	defer sheet.Close()
	out := &Excerpt{Sheet: reads[0].name, Late: system == 1904, Rows: map[int][]Cell{}}
	steps := rowSteps{in: bufio.NewReaderSize(sheet, 64<<10)}
	for out.Last < last {
		row, err := steps.next(wanted)
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, damaged(reads[0].part, err)
		}
		if out.Last = steps.number; row == nil {
			continue
		}
		taker := taker{Rows{tokens: newTokens(bytes.NewReader(row), lines.Limit), shared: shared}, formats}
		if out.Rows[out.Last], err = taker.cells(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// formatsOf are those of the workbook's numbers, by the style of a cell.
func formatsOf(p *parts) (all []Format, err error) {
	name, part := p.one("styles"), stylePart{}
	if name == "" {
		return nil, nil
	}
	if err := p.decode(name, 4*partLimit, &part); err != nil {
		return nil, err
	}
	for _, c := range part.Cells {
		one := Format{Number: c.Format}
		for _, f := range part.Formats {
			if f.ID == c.Format && f.ID >= ownFormats {
				one = Format{Own: f.Code}
			}
		}
		if one.Number >= ownFormats {
			one.Number = 0 // the workbook does not say what it is
		}
		all = append(all, one)
	}
	return all, nil
}

// ownFormats is the number from which formats are a workbook's own (ECMA-376 part 1,
// 18.8.30, from memory).
const ownFormats = 164

// taker reads the cells of one row.
type taker struct {
	Rows
	formats []Format
}

// cells are those with a value.
func (t *taker) cells() (all []Cell, err error) {
	for column := 1; ; column++ {
		var start xml.StartElement
		for start.Name.Local != "c" {
			token, err := t.tokens.first()
			if errors.Is(err, io.EOF) {
				return all, nil
			}
			if err != nil {
				return nil, t.tokens.fault("the sheet", err)
			}
			start, _ = token.(xml.StartElement)
		}
		if ref := attribute(start, "r"); ref != "" {
			if column, err = columnNumber(ref); err != nil {
				return nil, err
			}
			column++
		}
		p, err := t.cellParts()
		if err != nil {
			return nil, t.tokens.fault("the sheet", noEOF(err))
		}
		one := Cell{Column: column, Type: attribute(start, "t"), Value: p.value}
		switch one.Type {
		case "s":
			one.Value, _ = t.shared.of(p.value)
		case "inlineStr":
			one.Value = unescape(p.inline)
		case "str":
			one.Value = unescape(p.value)
		}
		if style, err := strconv.Atoi(attribute(start, "s")); err == nil && style >= 0 && style < len(t.formats) {
			one.Format = t.formats[style]
		}
		if one.Value != "" {
			all = append(all, one)
		}
	}
}

// rowSteps steps from row to row of a sheet by the tags alone.
type rowSteps struct {
	in     *bufio.Reader
	number int    // of the row stepped to last
	row    []byte // the XML of the row being kept
	keep   bool
}

// next steps to the next row, and gives its XML where it is wanted, else nil.
func (s *rowSteps) next(wanted func(row int) bool) ([]byte, error) {
	for {
		if err := s.past('<'); err != nil {
			return nil, err
		}
		tag, err := s.in.Peek(1)
		if err != nil {
			return nil, noEOF(err)
		}
		switch tag[0] {
		case '!', '?', '/':
			if err := s.aside(); err != nil {
				return nil, err
			}
			continue
		}
		if s.tagName() != "row" {
			continue
		}
		s.row, s.keep = append(s.row[:0], '<'), true
		if err := s.pastTag(); err != nil {
			return nil, err
		}
		if err := s.count(); err != nil {
			return nil, err
		}
		if s.keep = wanted(s.number); !s.keep || bytes.HasSuffix(s.row, []byte("/>")) {
			s.keep = false
			return nil, nil
		}
		err = s.toEnd()
		s.keep = false
		return s.row, err
	}
}

// count takes the number of the row that begins.
func (s *rowSteps) count() error {
	t, err := xml.NewDecoder(bytes.NewReader(s.row)).RawToken()
	if err != nil {
		return err
	}
	s.number++
	if start, ok := t.(xml.StartElement); ok {
		if at := attribute(start, "r"); at != "" {
			if s.number, err = strconv.Atoi(at); err != nil {
				return err
			}
		}
	}
	return nil
}

// toEnd keeps the rest of a row.
func (s *rowSteps) toEnd() error {
	for {
		if err := s.past('<'); err != nil {
			return noEOF(err)
		}
		tag, err := s.in.Peek(1)
		if err != nil {
			return noEOF(err)
		}
		switch tag[0] {
		case '/':
			closes := strings.TrimPrefix(s.tagName(), "/") == "row"
			if err := s.pastTag(); err != nil || closes {
				return err
			}
		case '!', '?':
			if err := s.aside(); err != nil {
				return err
			}
		}
	}
}

// longestTag is how far the name of a tag is looked at.
const longestTag = 64

// tagName is the name of the tag that begins, without the prefix of its namespace.
func (s *rowSteps) tagName() string {
	ahead, _ := s.in.Peek(longestTag)
	slash := ""
	if len(ahead) > 0 && ahead[0] == '/' {
		slash, ahead = "/", ahead[1:]
	}
	end := bytes.IndexAny(ahead, " \t\r\n/>")
	if end < 0 {
		return ""
	}
	name := ahead[:end]
	if at := bytes.IndexByte(name, ':'); at > 0 {
		name = name[at+1:]
	}
	if string(name) == "row" {
		return slash + "row"
	}
	return slash
}

// aside steps over a comment, a section of plain text, an instruction or the end of an
// element: what looks like a tag in them is none.
func (s *rowSteps) aside() error {
	ends := ">"
	for begins, end := range map[string]string{"!--": "-->", "![CDATA[": "]]>", "?": "?>"} {
		if ahead, _ := s.in.Peek(len(begins)); string(ahead) == begins {
			ends = end
		}
	}
	var last []byte
	for !bytes.HasSuffix(last, []byte(ends)) {
		c, err := s.in.ReadByte()
		if err != nil {
			return noEOF(err)
		}
		if s.keep {
			s.row = append(s.row, c)
		}
		if last = append(last, c); len(last) > len(ends) {
			last = last[1:]
		}
	}
	return nil
}

// pastTag steps past the end of a tag; what is in quotes does not end it.
func (s *rowSteps) pastTag() error {
	for quote := byte(0); ; {
		c, err := s.in.ReadByte()
		if err != nil {
			return noEOF(err)
		}
		s.row = append(s.row, c)
		switch {
		case len(s.row) > 8*lines.Limit:
			return errGreatText
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '>':
			return nil
		}
	}
}

// past steps past a character, keeping what is kept.
func (s *rowSteps) past(c byte) error {
	for {
		part, err := s.in.ReadSlice(c)
		if s.keep {
			if s.row = append(s.row, part...); len(s.row) > 8*lines.Limit {
				return errGreatText
			}
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return err
		}
	}
}

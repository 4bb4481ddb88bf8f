package lines

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"unicode/utf8"
)

// Dialect is how the text of a file is cut into lines and cells.
type Dialect struct {
	Delimiter string
	Quote     byte // 0 for none
	Escape    byte // stands before a quote inside a quoted cell; 0 where a quote is doubled
}

// Reader cuts UTF-8 text into lines and cells. Line ends are LF, CR LF or
// CR alone, also mixed. Quotes are strict: a quoted cell begins and ends at a
// delimiter or line end, a quote inside it is doubled, and no other cell holds
// a quote. With an escape, the escape stands before a quote, an escape or a line end
// inside a quoted cell, before nothing else and in no other cell: but for the escape
// and N alone, which is a cell that holds nothing, as dumps of databases write it.
type Reader struct {
	Dialect
	src      io.Reader
	above    int // lines above the header: no rows, and no quote in them opens a cell
	width    int // cells of the header, once known
	maxBytes int // Limit, lower in tests

	buf        []byte
	start, end int
	eof        bool
	physical   int  // lines read
	cutRune    bool // the last line ends within a character
	newline    bool // a line feed ended a line
	lastCR     bool // the last line ended in a carriage return alone
	ahead      lookahead
	open       openQuotes // quotes that open and do not close
	out        Line
	cell       []byte // quoted cell being read
	checkC1    bool   // a C1 control shows a wrong single-byte encoding
	noRune     string // what a replacement character shows: bytes that the encoding has no letter for
	halves     bool   // a replacement character at the end may be half a character
}

func newReader(src io.Reader, d Dialect) *Reader {
	return &Reader{Dialect: d, src: src, maxBytes: Limit, buf: make([]byte, 64<<10)}
}

// Next returns the next logical line, io.EOF after the last, or a *Refusal.
// The line is valid until the next call.
func (r *Reader) Next() (*Line, error) {
	text, ended, err := r.physicalLine()
	if errors.Is(err, io.EOF) {
		return nil, r.open.atEnd(r.physical)
	}
	if err != nil {
		return nil, err
	}
	l := &r.out
	l.Number, l.Fault, l.Ended, l.Cut, l.Cells = r.physical, "", ended, r.cutRune, l.Cells[:0]
	l.Text = string(text)
	if r.physical <= r.above || !r.marked(text) {
		l.Cells = splitPlain(l.Cells, l.Text, r.Delimiter)
		return l, nil
	}
	return l, r.quoted(l)
}

// marked reports whether a text holds a quote or an escape.
func (r *Reader) marked(text []byte) bool {
	return r.Quote != 0 && bytes.IndexByte(text, r.Quote) >= 0 || r.Escape != 0 && bytes.IndexByte(text, r.Escape) >= 0
}

// splitPlain cuts a text without quotes.
func splitPlain(cells []string, s, delimiter string) []string {
	for {
		i := strings.Index(s, delimiter)
		if i < 0 {
			return append(cells, s)
		}
		cells = append(cells, s[:i])
		s = s[i+len(delimiter):]
	}
}

// readPhysical returns the next line of the text without its end. The bytes
// are valid until the next call.
func (r *Reader) readPhysical() (text []byte, ended bool, err error) {
	for {
		window := r.buf[r.start:r.end]
		n, skip := lineEnd(window, r.eof)
		switch {
		case skip > 0 && n > r.maxBytes, skip == 0 && len(window) > r.maxBytes:
			return nil, false, Refuse(NotText, "line %d is longer than %d bytes", r.physical+1, r.maxBytes)
		case skip > 0:
			r.start += n + skip
			r.noteEnd(window[n : n+skip])
			return r.checked(window[:n], true)
		case r.eof && len(window) > 0:
			r.start = r.end
			return r.checked(window, false)
		case r.eof:
			return nil, false, io.EOF
		}
		if err := r.fill(); err != nil {
			return nil, false, err
		}
	}
}

// noteEnd keeps which line ends the text uses.
func (r *Reader) noteEnd(end []byte) {
	r.lastCR = end[len(end)-1] == '\r'
	r.newline = r.newline || !r.lastCR
}

// HalfEnd reports a text whose lines end in line feeds but for the last, which
// ends in a carriage return: a copy cut between the two.
func (r *Reader) HalfEnd() bool { return r.newline && r.lastCR }

// lineEnd finds the first line end: the length of the line and the bytes of
// its end, 0 where it has to read on.
func lineEnd(b []byte, eof bool) (n, skip int) {
	i := bytes.IndexByte(b, '\n')
	seg := b
	if i >= 0 {
		seg = b[:i]
	}
	j := bytes.IndexByte(seg, '\r')
	switch {
	case j < 0 && i < 0:
		return 0, 0
	case j < 0:
		return i, 1
	case j+1 < len(b) && b[j+1] == '\n':
		return j, 2
	case j+1 < len(b) || eof:
		return j, 1
	}
	return 0, 0
}

func (r *Reader) fill() error {
	if r.start > 0 {
		copy(r.buf, r.buf[r.start:r.end])
		r.end -= r.start
		r.start = 0
	}
	if r.end == len(r.buf) {
		grown := make([]byte, 2*len(r.buf))
		copy(grown, r.buf)
		r.buf = grown
	}
	n, err := r.src.Read(r.buf[r.end:])
	r.end += n
	if errors.Is(err, io.EOF) {
		r.eof = true
		return nil
	}
	return err
}

// checked counts a physical line, looks at its characters and drops the byte
// order marks within it.
func (r *Reader) checked(text []byte, ended bool) ([]byte, bool, error) {
	r.physical++
	r.cutRune = !utf8.Valid(text)
	if r.cutRune && (ended || !utf8.Valid(WithoutCutRune(text))) {
		return nil, false, Refuse(WrongEncoding, "line %d is not UTF-8\ndeclare the encoding of the file", r.physical)
	}
	if r.noRune != "" {
		i := bytes.Index(text, []byte("\uFFFD"))
		if i >= 0 && r.halves && !ended && i+len("\uFFFD") == len(text) {
			r.cutRune = true // the end of a text in two bytes a character
		} else if i >= 0 {
			return nil, false, Refuse(WrongEncoding, "line %d %s", r.physical, r.noRune)
		}
	}
	if r.checkC1 && hasC1(text) {
		return nil, false, Refuse(WrongEncoding, "line %d holds bytes that no letter of the declared encoding has", r.physical)
	}
	if bytes.Contains(text, bomUTF8) { // before quotes are looked at: one may stand before a quote
		text = bytes.ReplaceAll(text, bomUTF8, nil)
	}
	return text, ended, nil
}

// WithoutCutRune drops a character of which only the first bytes are there, as
// at the end of a copy that is not finished.
func WithoutCutRune(text []byte) []byte {
	for i := len(text) - 1; i >= 0 && i >= len(text)-3; i-- {
		if utf8.RuneStart(text[i]) {
			if !utf8.FullRune(text[i:]) {
				return text[:i]
			}
			return text
		}
	}
	return text
}

// hasC1 reports a control character U+0080 to U+009F.
func hasC1(text []byte) bool {
	for i := 0; i+1 < len(text); i++ {
		if text[i] == 0xC2 && text[i+1] < 0xA0 {
			return true
		}
	}
	return false
}

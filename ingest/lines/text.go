package lines

import (
	"bytes"
	"errors"
	"io"
	"os"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"fluedrift/ingest/layout"
)

// Byte order marks.
var (
	bomUTF8  = []byte{0xEF, 0xBB, 0xBF}
	bomUTF16 = map[string][]byte{"utf-16le": {0xFF, 0xFE}, "utf-16be": {0xFE, 0xFF}}
)

// openText opens the text of a file as the layout declares it: decoded to
// UTF-8, without a byte order mark, cut into lines. The source is read through
// src, which may count and hash the bytes.
func openText(src io.Reader, l *layout.Layout) (*Reader, error) {
	head := make([]byte, 1024)
	n, err := io.ReadFull(src, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	head = head[:n]
	if n == 0 {
		return nil, Refuse(EmptyFile, "the file has no bytes")
	}
	if err := checkHead(head, l.File.Encoding); err != nil {
		return nil, err
	}
	skip := len(markOf(head, l.File.Encoding))
	rest := io.MultiReader(bytes.NewReader(head[skip:]), src)
	if l.File.Encoding == "windows-1252" || l.File.Encoding == "latin-1" {
		rest = &oneByte{src: rest, encoding: l.File.Encoding}
	}
	r := newReader(decoded(rest, l.File.Encoding), dialectOf(l))
	r.above = above(l)
	switch l.File.Encoding {
	case "windows-1252", "latin-1":
		r.checkC1, r.noRune = true, "holds bytes that no letter of the declared encoding has"
	case "utf-16le", "utf-16be":
		r.noRune, r.halves = "is not UTF-16 in the declared byte order", true
	}
	return r, nil
}

// oneByte watches a text declared to have one byte a letter. One that has other
// letters than ASCII and is UTF-8 from end to end was written as UTF-8: in that
// other reading every such letter would be two or three strange ones.
type oneByte struct {
	src      io.Reader
	encoding string
	rest     []byte // start of a letter at the end of what was read
	beyond   bool   // a letter beyond ASCII was seen
	other    bool   // bytes that are not UTF-8 were seen
}

func (o *oneByte) Read(p []byte) (int, error) {
	n, err := o.src.Read(p)
	if !o.other {
		o.look(p[:n])
	}
	if errors.Is(err, io.EOF) && o.beyond && !o.other && len(o.rest) == 0 {
		return n, Refuse(WrongEncoding, "every letter beyond ASCII is UTF-8, and the file is declared %s\ndeclare encoding = "+
			"\"utf-8\"", o.encoding)
	}
	return n, err
}

func (o *oneByte) look(b []byte) {
	if len(o.rest) == 0 && ascii(b) {
		return
	}
	b = append(o.rest, b...)
	whole := WithoutCutRune(b)
	o.rest = append([]byte(nil), b[len(whole):]...)
	o.beyond = o.beyond || !ascii(whole)
	o.other = !utf8.Valid(whole)
}

func ascii(b []byte) bool {
	for _, c := range b {
		if c >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// markOf is the byte order mark at the start of a file of that encoding.
func markOf(head []byte, encoding string) []byte {
	mark := bomUTF16[encoding]
	if encoding == "utf-8" {
		mark = bomUTF8
	}
	if bytes.HasPrefix(head, mark) {
		return mark
	}
	return nil
}

// checkHead looks whether the first bytes can be text of the encoding.
func checkHead(head []byte, encoding string) error {
	for other, mark := range map[string][]byte{"utf-8": bomUTF8, "utf-16le": bomUTF16["utf-16le"], "utf-16be": bomUTF16["utf-16be"]} {
		if other != encoding && bytes.HasPrefix(head, mark) {
			return Refuse(WrongEncoding, "the file begins with the mark of %s and is declared %s", other, encoding)
		}
	}
	if bytes.HasPrefix(head, []byte("PK\x03\x04")) || bytes.HasPrefix(head, []byte("\x1f\x8b")) || bytes.HasPrefix(head, []byte("%PDF")) {
		return Refuse(NotText, "the content is packed or a document, whatever the name says")
	}
	if bomUTF16[encoding] != nil {
		return checkPairs(head, encoding)
	}
	if n := bytes.Count(head, []byte{0}); n > 0 && (20*n > len(head) || bytes.IndexByte(head, 0) < bytes.IndexAny(head, "\r\n")) {
		return Refuse(NotText, "the file holds bytes 0 and is declared %s", encoding)
	}
	return nil
}

// checkPairs looks whether the first bytes can be UTF-16 of that byte order:
// delimiters, digits and line ends have a byte 0 each, always on one side.
func checkPairs(head []byte, encoding string) error {
	if bytes.HasPrefix(head, bomUTF16[encoding]) {
		return nil
	}
	var zeros [2]int
	for i, b := range head {
		if b == 0 {
			zeros[i%2]++
		}
	}
	right := map[string]int{"utf-16be": 0, "utf-16le": 1}[encoding]
	if zeros[right] > zeros[1-right] {
		return nil
	}
	return Refuse(WrongEncoding, "the file is declared %s and its bytes are not of that order", encoding)
}

func decoded(src io.Reader, encoding string) io.Reader {
	switch encoding {
	case "utf-16le":
		return unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewDecoder().Reader(src)
	case "utf-16be":
		return unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewDecoder().Reader(src)
	case "windows-1252":
		return charmap.Windows1252.NewDecoder().Reader(src)
	case "latin-1":
		return charmap.ISO8859_1.NewDecoder().Reader(src)
	}
	return src
}

// Text are the lines of a text file.
type Text struct {
	*Reader
	file *os.File
}

// OpenText opens a text file, gzip-compressed or not, which may
// unpack to so many bytes (0: 64 GiB). Every byte read is also written to sum
// unless that is nil.
func OpenText(f File, packed bool, unpacked int64, l *layout.Layout, sum io.Writer) (*Text, error) {
	file, err := f.Open()
	if err != nil {
		return nil, err
	}
	r, err := openStream(seen(io.LimitReader(file, f.Size), sum), packed, unpacked, l)
	if err != nil {
		file.Close()
		return nil, err
	}
	return &Text{r, file}, nil
}

// openStream opens the lines of a text, compressed or not.
func openStream(src io.Reader, packed bool, unpacked int64, l *layout.Layout) (*Reader, error) {
	if packed {
		plain, err := Unpack(src, unpacked)
		if err != nil {
			return nil, err
		}
		src = plain
	}
	return openText(src, l)
}

// Starts are the numbers of the physical lines in which the lines of a text in UTF-8
// begin, as a layout cuts them. Where the text cannot be read on, they end.
func Starts(text []byte, l *layout.Layout) (all []int) {
	r := newReader(bytes.NewReader(text), dialectOf(l))
	r.above = above(l)
	for {
		line, err := r.Next()
		if err != nil {
			return all
		}
		if line.Number == l.File.Header {
			r.width = len(line.Cells)
		}
		all = append(all, line.Number)
	}
}

// above is how many lines stand above the header.
func above(l *layout.Layout) int {
	if first := l.File.HeaderLines.First(); first > 0 {
		return first - 1
	}
	return l.File.Header - 1
}

func dialectOf(l *layout.Layout) Dialect { return Dialect{l.File.Delimiter, l.Quote(), l.Escape()} }

// seen writes what is read to sum as well, unless that is nil.
func seen(src io.Reader, sum io.Writer) io.Reader {
	if sum == nil {
		return src
	}
	return io.TeeReader(src, sum)
}

// SetWidth tells the cells of the header, by which open quotes are recognised.
func (t *Text) SetWidth(cells int) { t.width = cells }

// Close closes the file.
func (t *Text) Close() error { return t.file.Close() }

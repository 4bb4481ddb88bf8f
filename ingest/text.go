package ingest

import (
	"bytes"
	"errors"
	"io"
	"os"

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
func openText(src io.Reader, l *layout.Layout) (*lineReader, error) {
	head := make([]byte, 1024)
	n, err := io.ReadFull(src, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	head = head[:n]
	if n == 0 {
		return nil, refuse(emptyFile, "the file has no bytes")
	}
	if err := checkHead(head, l.File.Encoding); err != nil {
		return nil, err
	}
	skip := len(markOf(head, l.File.Encoding))
	rest := io.MultiReader(bytes.NewReader(head[skip:]), src)
	r := newLineReader(decoded(rest, l.File.Encoding), dialect{l.File.Delimiter, l.Quote(), l.Escape()})
	switch l.File.Encoding {
	case "windows-1252", "latin-1":
		r.checkC1 = true
	case "utf-16le", "utf-16be":
		r.checkFFFD = true
	}
	return r, nil
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
			return refuse(wrongEncoding, "the file begins with the mark of %s and is declared %s", other, encoding)
		}
	}
	if bytes.HasPrefix(head, []byte("PK\x03\x04")) || bytes.HasPrefix(head, []byte("\x1f\x8b")) || bytes.HasPrefix(head, []byte("%PDF")) {
		return refuse(notText, "the content is packed or a document, whatever the name says")
	}
	if bomUTF16[encoding] == nil && bytes.IndexByte(head, 0) >= 0 {
		return refuse(notText, "the file holds bytes 0 and is declared %s", encoding)
	}
	return nil
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

// rows gives the logical lines of a file one by one, whatever its format.
type rows interface {
	next() (*line, error) // io.EOF after the last, *fileFault where the file is to be refused
	setWidth(cells int)   // cells of the header
	Close() error
}

// textRows are the lines of a text file.
type textRows struct {
	*lineReader
	file *os.File
}

func (t *textRows) setWidth(cells int) { t.width = cells }
func (t *textRows) Close() error       { return t.file.Close() }

package book

import (
	"bufio"
	"encoding/xml"
	"errors"
	"io"

	"fluedrift/ingest/lines"
)

// mostNested is how deep the elements of a part may stand in one another: those of
// workbooks stand in ten.
const mostNested = 128

var (
	errGreatText = errors.New("a text beyond the limit") // of a cell or a shared text
	errNested    = errors.New("its elements stand too deep in one another")
	errUnclosed  = errors.New("an element does not close")
)

// tokenReader are the tokens of a part of a workbook. A decoder of XML holds a
// text whole before it gives it out, so the bytes are counted as it takes them:
// a few kilobytes can unpack to a cell of gigabytes.
type tokenReader struct {
	raw   *xml.Decoder
	src   *countedBytes
	limit int64      // bytes of text of one cell
	open  []xml.Name // elements that are not closed yet
}

func newTokens(r io.Reader, limit int64) *tokenReader {
	src := &countedBytes{r: bufio.NewReader(r)}
	return &tokenReader{raw: xml.NewDecoder(src), src: src, limit: limit}
}

// first gives the next token, from which the bytes of a cell are counted anew.
// They may be more than those of its text: a quote is written in six, and runs
// carry their fonts.
func (b *tokenReader) first() (xml.Token, error) {
	b.src.left = 8*b.limit + 64<<10
	return b.Token()
}

// Token gives the next token; io.EOF only where every element is closed and the
// part has been read to its last byte, with which its checksum is compared.
func (b *tokenReader) Token() (xml.Token, error) {
	t, err := b.raw.RawToken()
	switch e := t.(type) {
	case xml.StartElement:
		if len(b.open) == mostNested {
			return nil, errNested
		}
		b.open = append(b.open, e.Name)
	case xml.EndElement:
		if len(b.open) == 0 || b.open[len(b.open)-1] != e.Name {
			return nil, errUnclosed
		}
		b.open = b.open[:len(b.open)-1]
	}
	if errors.Is(err, io.EOF) && len(b.open) > 0 {
		return nil, errUnclosed
	}
	return t, err
}

// finish reads to the end of the part. Nothing that it holds is wanted.
func (b *tokenReader) finish() error {
	for {
		if _, err := b.first(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// fault is what is wrong with the workbook at a place.
func (b *tokenReader) fault(where string, err error) error {
	if errors.Is(err, errGreatText) {
		return lines.Refuse(lines.TooLarge, "%s of the workbook holds more than %d kB of text\nexport it without that text, or "+
			"raise exports.max_cell_kb", where, b.limit>>10)
	}
	return damaged(where, err)
}

// countedBytes gives out so many bytes and then errGreatText.
type countedBytes struct {
	r    *bufio.Reader
	left int64
}

func (c *countedBytes) ReadByte() (byte, error) {
	if c.left <= 0 {
		return 0, errGreatText
	}
	c.left--
	return c.r.ReadByte()
}

// Read is not used by a decoder, which reads byte by byte where it can.
func (c *countedBytes) Read(p []byte) (int, error) {
	if c.left <= 0 {
		return 0, errGreatText
	}
	n, err := c.r.Read(p[:min(int64(len(p)), c.left)])
	c.left -= int64(n)
	return n, err
}

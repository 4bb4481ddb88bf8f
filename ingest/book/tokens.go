package book

import (
	"bufio"
	"encoding/xml"
	"errors"
	"io"

	"fluedrift/ingest/lines"
)

// errGreatText: a cell or a shared text of a workbook is beyond its limit.
var errGreatText = errors.New("a text beyond the limit")

// tokenReader are the tokens of a part of a workbook. A decoder of XML holds a
// text whole before it gives it out, so the bytes are counted as it takes them:
// a few kilobytes can unpack to a cell of gigabytes.
type tokenReader struct {
	*xml.Decoder
	src   *countedBytes
	limit int64 // bytes of text of one cell
}

func newTokens(r io.Reader, limit int64) *tokenReader {
	src := &countedBytes{r: bufio.NewReader(r)}
	return &tokenReader{xml.NewDecoder(src), src, limit}
}

// first gives the next token, from which the bytes of a cell are counted anew.
// They may be more than those of its text: a quote is written in six, and runs
// carry their fonts.
func (b *tokenReader) first() (xml.Token, error) {
	b.src.left = 8*b.limit + 64<<10
	return b.RawToken()
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

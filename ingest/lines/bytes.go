package lines

import (
	"bytes"
	"errors"
	"io"
	"os"

	"golang.org/x/text/encoding"
	"golang.org/x/text/transform"
)

// Bytes is the text of a file in UTF-8, not cut into lines.
type Bytes struct {
	io.Reader
	file *os.File
}

// Close closes the file.
func (b *Bytes) Close() error { return b.file.Close() }

// OpenBytes opens a file as OpenText does, and gives its text, decoded
// and without a byte order mark.
func OpenBytes(f File, packed bool, unpacked int64, encoded string, sum io.Writer) (*Bytes, error) {
	file, err := f.Open()
	if err != nil {
		return nil, err
	}
	src := seen(io.LimitReader(file, f.Size), sum)
	if packed {
		if src, err = Unpack(src, unpacked); err != nil {
			file.Close()
			return nil, err
		}
	}
	head := make([]byte, 1024)
	n, err := io.ReadFull(src, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		file.Close()
		return nil, err
	}
	if err := checkBytes(head[:n], encoded); err != nil {
		file.Close()
		return nil, err
	}
	skip := len(markOf(head[:n], encoded))
	text := decoded(io.MultiReader(bytes.NewReader(head[skip:n]), src), encoded)
	return &Bytes{&valid{transform.NewReader(text, encoding.UTF8Validator)}, file}, nil
}

func checkBytes(head []byte, encoded string) error {
	switch {
	case len(head) == 0:
		return Refuse(EmptyFile, "the file has no bytes")
	case IsOLE(head):
		return Refuse(NotText, "the content is a workbook or a document of before 2007, whatever the name says")
	}
	return checkHead(head, encoded)
}

// valid refuses a text that is no UTF-8.
type valid struct{ src io.Reader }

func (v *valid) Read(p []byte) (int, error) {
	n, err := v.src.Read(p)
	if errors.Is(err, encoding.ErrInvalidUTF8) {
		return n, Refuse(WrongEncoding, "the text is not UTF-8\ndeclare the encoding of the file, or copy it again: its end may be missing")
	}
	return n, err
}

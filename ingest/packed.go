package ingest

import (
	"bufio"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"strings"

	"fluedrift/ingest/mend"
)

// unpackLimit is how many bytes a gzip-compressed file may unpack to where the
// caller sets no limit.
const unpackLimit = 64 << 30

// packed reports a name that says the file is gzip-compressed.
func (f found) packed() bool { return strings.EqualFold(path.Ext(f.name), ".gz") }

// matches reports whether the name of the file fits a name pattern.
func (f found) matches(pattern string) bool { return mend.Fits(pattern, f.name) }

// unpacker gives the bytes of a gzip stream (RFC 1952) and turns what can be
// wrong with one into faults of the file.
type unpacker struct {
	gz    *gzip.Reader
	left  int64
	limit int64
}

// unpack gives the bytes of a gzip stream up to a limit; 0: unpackLimit.
func unpack(src io.Reader, limit int64) (io.Reader, error) {
	if limit <= 0 {
		limit = unpackLimit
	}
	gz, err := gzip.NewReader(bufio.NewReaderSize(src, 64<<10))
	if err != nil {
		return nil, unpackFault(err)
	}
	return &unpacker{gz, limit, limit}, nil
}

func (u *unpacker) Read(p []byte) (int, error) {
	n, err := u.gz.Read(p)
	u.left -= int64(n)
	switch {
	case u.left < 0:
		return 0, refuse(tooLarge, "the file unpacks to more than %d bytes\nsplit the export, or raise exports.max_unpacked_mb", u.limit)
	case err == nil, errors.Is(err, io.EOF):
		return n, err
	}
	return n, unpackFault(err)
}

func unpackFault(err error) error {
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return refuse(incompleteFile, "the compressed file ends early: the copy may not be finished")
	case errors.Is(err, gzip.ErrHeader):
		return refuse(notText, "the content is not gzip-compressed, whatever the name says")
	}
	return refuse(notText, "the compressed file is damaged: %v", err)
}

// openUnpacked opens a file that is read here and there and not from one end to
// the other. A compressed one is unpacked to a temporary file without a name.
// All bytes of the file are written to sum first.
func openUnpacked(f found, sum io.Writer, read func(file *os.File, size int64) (rows, error)) (rows, error) {
	file, err := os.Open(f.path)
	if err != nil {
		return nil, refuse(notText, "cannot be opened: %v", err)
	}
	size := f.info.Size()
	src := io.TeeReader(io.NewSectionReader(file, 0, size), sum)
	if f.packed() {
		defer file.Close()
		if file, size, err = unpackTemp(src, f.limits.UnpackedBytes); err != nil {
			return nil, err
		}
	} else if _, err := io.Copy(io.Discard, src); err != nil {
		file.Close()
		return nil, err
	}
	r, err := read(file, size)
	if err != nil {
		file.Close()
		return nil, err
	}
	return r, nil
}

// unpackTemp unpacks to a temporary file that has no name from the start, so that
// it is gone when it is closed or the program is killed.
func unpackTemp(src io.Reader, limit int64) (*os.File, int64, error) {
	from, err := unpack(src, limit)
	if err != nil {
		return nil, 0, err
	}
	file, err := os.CreateTemp("", "fluedrift-")
	if err != nil {
		return nil, 0, fmt.Errorf("a file to unpack to: %w", err)
	}
	if err := os.Remove(file.Name()); err != nil {
		return nil, 0, errors.Join(err, file.Close())
	}
	size, err := io.Copy(file, from)
	if err != nil {
		file.Close()
		return nil, 0, err
	}
	return file, size, nil
}

package lines

import (
	"bufio"
	"compress/flate"
	"compress/gzip"
	"errors"
	"io"
	"os"
)

// unpackLimit is how many bytes a gzip-compressed file may unpack to where the
// caller sets no limit.
const unpackLimit = 64 << 30

// unpacker gives the bytes of a gzip stream (RFC 1952) and turns what can be
// wrong with one into faults of the file.
type unpacker struct {
	gz    *gzip.Reader
	left  int64
	limit int64
	began bool // some bytes came
}

// Unpack gives the bytes of a gzip stream up to a limit; 0: unpackLimit.
func Unpack(src io.Reader, limit int64) (io.Reader, error) {
	if limit <= 0 {
		limit = unpackLimit
	}
	gz, err := gzip.NewReader(bufio.NewReaderSize(src, 64<<10))
	if err != nil {
		return nil, unpackFault(err, false)
	}
	return &unpacker{gz: gz, left: limit, limit: limit}, nil
}

func (u *unpacker) Read(p []byte) (int, error) {
	n, err := u.gz.Read(p)
	u.left -= int64(n)
	u.began = u.began || n > 0
	switch {
	case u.left < 0:
		return 0, Refuse(TooLarge, "the file unpacks to more than %d bytes\nsplit the export, or raise exports.max_unpacked_mb", u.limit)
	case err == nil, errors.Is(err, io.EOF):
		return n, err
	}
	return n, unpackFault(err, u.began)
}

// unpackFault says what is wrong with a compressed file, of which bytes have come
// before or not.
func unpackFault(err error, began bool) error {
	broken, corrupt := errors.AsType[flate.CorruptInputError](err)
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return Refuse(IncompleteFile, "the compressed file ends early: the copy may not be finished")
	case errors.Is(err, gzip.ErrHeader) && began:
		return Refuse(NotText, "behind the compressed content other bytes follow: the file is damaged\ncopy it again")
	case errors.Is(err, gzip.ErrHeader):
		return Refuse(NotText, "the content is not gzip-compressed, whatever the name says")
	case errors.Is(err, gzip.ErrChecksum):
		return Refuse(NotText, "the compressed file is damaged: what it unpacks to does not fit its checksum\ncopy it again")
	case corrupt:
		return Refuse(NotText, "the compressed file is damaged before byte %d\ncopy it again", int64(broken))
	}
	return Refuse(NotText, "the compressed file cannot be read: %v", err)
}

// OpenUnpacked opens a file that is read here and there and not
// from one end to the other. A compressed one is unpacked to a temporary file
// without a name. All bytes of the file are written to sum first, unless that is
// nil.
func OpenUnpacked(f File, packed bool, unpacked int64, sum io.Writer) (file *os.File, plain int64, err error) {
	if file, err = f.Open(); err != nil {
		return nil, 0, err
	}
	src := seen(io.NewSectionReader(file, 0, f.Size), sum)
	if packed {
		defer file.Close()
		return unpackTemp(src, unpacked)
	}
	if sum != nil {
		if _, err := io.Copy(io.Discard, src); err != nil {
			file.Close()
			return nil, 0, err
		}
	}
	return file, f.Size, nil
}

// unpackTemp unpacks to a temporary file.
func unpackTemp(src io.Reader, limit int64) (*os.File, int64, error) {
	from, err := Unpack(src, limit)
	if err != nil {
		return nil, 0, err
	}
	return toTemp(from)
}

func isCorrupt(err error) bool {
	_, corrupt := errors.AsType[flate.CorruptInputError](err)
	return corrupt
}

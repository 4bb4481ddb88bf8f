package lines

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"os"
)

// File is a file of so many bytes, or a member of a packed one (zip).
type File struct {
	Path   string
	Size   int64
	Member string // its name in the packed file; "": the file itself
}

// Open opens it. A member is unpacked to a temporary file without a name, so that it
// can be read here and there, and leaves nothing behind.
func (f File) Open() (*os.File, error) {
	file, err := os.Open(f.Path)
	if err != nil {
		return nil, Refuse(NotText, "cannot be opened: %v", err)
	}
	if f.Member == "" {
		return file, nil
	}
	defer file.Close()
	return f.member(file)
}

func (f File) member(packed *os.File) (*os.File, error) {
	info, err := packed.Stat()
	if err != nil {
		return nil, err
	}
	z, err := OpenZip(packed, info.Size())
	if err != nil {
		return nil, err
	}
	for _, m := range z.File {
		if m.Name != f.Member {
			continue
		}
		if m.Flags&1 != 0 {
			return nil, Refuse(NotText, "the file is protected by a password in its archive\npack it without one")
		}
		src, err := m.Open()
		if err != nil {
			return nil, memberFault(err)
		}
		defer src.Close()
		file, _, err := toTemp(src)
		if err != nil {
			return nil, memberFault(err)
		}
		_, err = file.Seek(0, io.SeekStart)
		return file, err
	}
	return nil, Refuse(IncompleteFile, "the archive changed while it was looked at; it is read next time")
}

// memberFault is what is wrong with a member of a packed file. Other errors are the
// machine's.
func memberFault(err error) error {
	switch {
	case errors.Is(err, zip.ErrChecksum):
		return Refuse(NotText, "the archive is damaged: what the file unpacks to does not fit its checksum\ncopy the archive again")
	case errors.Is(err, zip.ErrAlgorithm):
		return Refuse(NotText, "the archive packs the file in a way that is not read\npack it as usual (deflate)")
	case errors.Is(err, zip.ErrFormat), errors.Is(err, io.ErrUnexpectedEOF):
		return Refuse(NotText, "the archive is damaged at the file\ncopy the archive again")
	}
	if isCorrupt(err) {
		return unpackFault(err, true)
	}
	return err
}

// toTemp copies to a temporary file that has no name from the start, so that it is
// gone when it is closed or the program is killed.
func toTemp(from io.Reader) (*os.File, int64, error) {
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

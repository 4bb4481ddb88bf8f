package publish

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// packedEnd is how the name of a packed file ends.
const packedEnd = ".gz"

// mostUnpacked is how many bytes a packed list may unpack to; that of a million units
// has some 3e9.
const mostUnpacked = 16 << 30

// Packed is a file in its packed form (gzip, RFC 1952). The same content gives the same
// bytes.
func Packed(f File) File {
	write := f.Write
	return File{f.Name + packedEnd, f.Lines, func(w io.Writer) error {
		z, err := gzip.NewWriterLevel(w, gzip.BestSpeed)
		if err != nil {
			return err
		}
		return errors.Join(write(z), z.Close())
	}}
}

// ReadFile reads a file of a publication, packed or not: what it says, the name it has
// there and its bytes, which the publication's record has a digest of.
func ReadFile(folder, name string) (text []byte, stored string, raw []byte, err error) {
	raw, err = os.ReadFile(filepath.Join(folder, name))
	if !errors.Is(err, fs.ErrNotExist) {
		return raw, name, raw, err
	}
	packed, notThere := os.ReadFile(filepath.Join(folder, name+packedEnd))
	if errors.Is(notThere, fs.ErrNotExist) {
		return nil, name, nil, err
	}
	if notThere != nil {
		return nil, name, nil, notThere
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err == nil {
		text, err = io.ReadAll(io.LimitReader(z, mostUnpacked))
	}
	if err != nil {
		err = fmt.Errorf("%s: %w", name+packedEnd, err)
	}
	return text, name + packedEnd, packed, err
}

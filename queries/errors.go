package queries

import (
	"encoding/binary"
	"errors"
	"os"
	"strings"
)

// What can be wrong with a warehouse file. Test with errors.Is.
var (
	// ErrMissing: there is no file under that name.
	ErrMissing = errors.New("warehouse missing")
	// ErrOtherVersion: the tables are of another schema than this program's, or
	// the file is no warehouse at all.
	ErrOtherVersion = errors.New("warehouse made by another version")
	// ErrBusy: somebody else holds the file.
	ErrBusy = errors.New("warehouse in use")
	// ErrIncomplete: the building of the file did not end, or rows are lost.
	ErrIncomplete = errors.New("warehouse incomplete")
	// ErrDamaged: bytes of the file are gone or are not what was written.
	ErrDamaged = errors.New("warehouse damaged")
)

// heldByAnother reports whether an error of the driver says that another
// process holds the file. The driver has no type for it, so its text is
// compared, here and nowhere else.
func heldByAnother(err error) bool {
	return err != nil && strings.Contains(err.Error(), "Could not set lock on file")
}

// Damaged reports whether an error of a read says that bytes of the warehouse
// file are gone or changed: the engine reads a block when it needs it, so that
// this may come long after Open. The driver has no type for it, so its text is
// compared, here and nowhere else.
func Damaged(err error) bool {
	if err == nil {
		return false
	}
	for _, words := range []string{
		"Corrupt database file", "Could not read enough bytes from file", "Failed to deserialize",
		"database has been invalidated",
	} {
		if strings.Contains(err.Error(), words) {
			return true
		}
	}
	return errors.Is(err, ErrDamaged)
}

// storageVersion is the number the engine writes into the files it makes.
const storageVersion = 64

// madeByThisEngine reports whether the file begins as the engine's files do:
// a checksum of eight bytes, the letters DUCK, the storage version.
func madeByThisEngine(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	var head [20]byte
	if n, _ := f.ReadAt(head[:], 0); n < len(head) {
		return false, nil
	}
	return string(head[8:12]) == "DUCK" && binary.LittleEndian.Uint64(head[12:]) == storageVersion, nil
}

package lines

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"io"
)

// Bounds on the list of what a packed file holds, which is read whole.
const (
	mostMembers    = 10_000
	directoryLimit = 16 << 20 // bytes
)

// endRecord is where the list stands in a packed file (APPNOTE.TXT of the zip format,
// 4.3.16, from memory): 22 bytes and a remark of up to 65,535 behind them.
const (
	endBytes  = 22
	endRemark = 1<<16 - 1
)

// OpenZip opens a packed file (zip) with a bounded number of members.
func OpenZip(file io.ReaderAt, size int64) (*zip.Reader, error) {
	early := Refuse(IncompleteFile, "the end of the packed file is missing: the copy may not be finished")
	tail := make([]byte, min(size, endBytes+endRemark))
	if _, err := file.ReadAt(tail, size-int64(len(tail))); err != nil && !errors.Is(err, io.EOF) {
		return nil, early
	}
	at := bytes.LastIndex(tail, []byte("PK\x05\x06"))
	if at < 0 || len(tail)-at < endBytes {
		return nil, early
	}
	members, list := binary.LittleEndian.Uint16(tail[at+10:]), binary.LittleEndian.Uint32(tail[at+12:])
	if members > mostMembers || list > directoryLimit {
		return nil, Refuse(TooLarge, "the packed file says it holds %d members, more than %d", members, mostMembers)
	}
	z, err := zip.NewReader(file, size)
	if err != nil {
		return nil, early
	}
	if len(z.File) > mostMembers {
		return nil, Refuse(TooLarge, "the packed file holds %d members, more than %d", len(z.File), mostMembers)
	}
	return z, nil
}

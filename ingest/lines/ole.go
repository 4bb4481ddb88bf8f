package lines

import (
	"bytes"
	"encoding/binary"
	"io"
	"unicode/utf16"
)

// oleMagic begins a compound file (MS-CFB 2.2, from memory), in which spreadsheets
// of before 2007 are stored, and ones that a password protects.
var oleMagic = []byte{0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1}

// IsOLE reports the first bytes of a compound file.
func IsOLE(head []byte) bool { return bytes.HasPrefix(head, oleMagic) }

// OLEFault says what a compound file is, and what to do.
func OLEFault(file io.ReaderAt, size int64) *Refusal {
	names := oleNames(file, size)
	switch {
	case names["EncryptedPackage"]:
		return Refuse(NotText, "the workbook is protected by a password\nsave it without one")
	case names["Workbook"], names["Book"]:
		return Refuse(NotText, "the file is a workbook in the form of before 2007 (.xls), which is not read\nsave it as .xlsx or .csv")
	}
	return Refuse(NotText, "the content is a document of another program, whatever the name says")
}

// oleNames are the names of what a compound file holds, as far as its first
// directory sectors tell: entries of 128 bytes, each with a name in UTF-16.
func oleNames(file io.ReaderAt, size int64) map[string]bool {
	names := map[string]bool{}
	head := make([]byte, 512)
	if n, _ := file.ReadAt(head, 0); n < len(head) {
		return names
	}
	shift := binary.LittleEndian.Uint16(head[0x1E:])
	first := int64(binary.LittleEndian.Uint32(head[0x30:]))
	if shift != 9 && shift != 12 {
		return names
	}
	at := (first + 1) << shift
	sectors := make([]byte, max(0, min(64<<10, size-at)))
	n, _ := file.ReadAt(sectors, at)
	for e := sectors[:n]; len(e) >= 128; e = e[128:] {
		length := int(binary.LittleEndian.Uint16(e[64:]))
		if length < 2 || length > 64 {
			continue
		}
		units := make([]uint16, length/2-1)
		for i := range units {
			units[i] = binary.LittleEndian.Uint16(e[2*i:])
		}
		names[string(utf16.Decode(units))] = true
	}
	return names
}

package parquet

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"

	"fluedrift/queries"
)

// checkPages compares the checksum of each page that has one with its bytes: the
// engine does not look at them (format.parquet.apache.org, Data Pages: the CRC-32
// of the bytes of the page as stored, behind its header).
func checkPages(file io.ReaderAt, chunks []queries.ParquetChunk) error {
	for _, c := range chunks {
		pages := newPages(file, c.Offset, c.Bytes)
		for n := 1; ; n++ {
			err := pages.page()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				return fmt.Errorf("page %d of column %q: %w", n, c.Column, err)
			}
		}
	}
	return nil
}

// pageReader reads the pages of a column chunk one after the other.
type pageReader struct {
	r *bufio.Reader
}

func newPages(file io.ReaderAt, offset, bytes int64) pageReader {
	return pageReader{bufio.NewReaderSize(io.NewSectionReader(file, offset, bytes), 64<<10)}
}

var (
	errPage     = errors.New("its header is damaged")
	errChecksum = errors.New("its checksum does not fit its bytes")
)

// Types of the compact protocol of Thrift (its document thrift-compact-protocol).
const (
	thriftStop   = 0
	thriftTrue   = 1
	thriftFalse  = 2
	thriftByte   = 3
	thriftI16    = 4
	thriftI32    = 5
	thriftI64    = 6
	thriftDouble = 7
	thriftBinary = 8
	thriftList   = 9
	thriftSet    = 10
	thriftMap    = 11
	thriftStruct = 12
)

// Fields of a PageHeader (parquet.thrift).
const (
	pageStored = 3 // compressed_page_size
	pageCRC    = 4
)

// page reads a page; io.EOF where the chunk ends.
func (p pageReader) page() error {
	if _, err := p.r.Peek(1); err != nil {
		return err
	}
	stored, sum, summed := int64(-1), uint32(0), false
	err := p.fields(0, func(id int, value int64) {
		switch id {
		case pageStored:
			stored = value
		case pageCRC:
			sum, summed = uint32(value), true
		}
	})
	if err != nil || stored < 0 {
		return errors.Join(errPage, err)
	}
	if !summed {
		n, err := p.r.Discard(int(min(stored, 1<<31-1)))
		if err != nil || int64(n) != stored {
			return errPage
		}
		return nil
	}
	of := crc32.NewIEEE()
	if n, err := io.CopyN(of, p.r, stored); err != nil || n != stored {
		return errPage
	}
	if of.Sum32() != sum {
		return errChecksum
	}
	return nil
}

// fields reads the fields of a struct up to its end, and gives whole numbers to fn.
func (p pageReader) fields(depth int, fn func(id int, value int64)) error {
	for id := 0; ; {
		b, err := p.r.ReadByte()
		if err != nil {
			return errPage
		}
		typ := int(b & 0x0f)
		if typ == thriftStop {
			return nil
		}
		if delta := int(b >> 4); delta != 0 {
			id += delta
		} else {
			long, err := binary.ReadVarint(p.r)
			if err != nil {
				return errPage
			}
			id = int(long)
		}
		switch typ {
		case thriftI16, thriftI32, thriftI64:
			value, err := binary.ReadVarint(p.r)
			if err != nil {
				return errPage
			}
			fn(id, value)
		case thriftTrue, thriftFalse:
		default:
			if err := p.skip(typ, depth+1); err != nil {
				return err
			}
		}
	}
}

// skip reads over a value.
func (p pageReader) skip(typ, depth int) error {
	if depth > 8 {
		return errPage
	}
	switch typ {
	case thriftTrue, thriftFalse, thriftByte: // as elements of a list, booleans have a byte
		return p.discard(1)
	case thriftI16, thriftI32, thriftI64:
		_, err := binary.ReadUvarint(p.r)
		return err
	case thriftDouble:
		return p.discard(8)
	case thriftBinary:
		n, err := binary.ReadUvarint(p.r)
		if err != nil || n > 1<<24 {
			return errPage
		}
		return p.discard(int(n))
	case thriftList, thriftSet:
		return p.list(depth)
	case thriftStruct:
		return p.fields(depth, func(int, int64) {})
	}
	return errPage // thriftMap: no page header has one
}

// list reads over a list.
func (p pageReader) list(depth int) error {
	b, err := p.r.ReadByte()
	if err != nil {
		return errPage
	}
	n := uint64(b >> 4)
	if n == 15 {
		if n, err = binary.ReadUvarint(p.r); err != nil || n > 1<<20 {
			return errPage
		}
	}
	for range n {
		if err := p.skip(int(b&0x0f), depth+1); err != nil {
			return err
		}
	}
	return nil
}

func (p pageReader) discard(n int) error {
	if _, err := p.r.Discard(n); err != nil {
		return errPage
	}
	return nil
}

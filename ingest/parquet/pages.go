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

// checkPages compares the checksum of each page that has one with its bytes, and
// what the pages of a column say with what the end of the file says of them: the
// engine looks at neither (format.parquet.apache.org, Data Pages: the CRC-32 of the
// bytes of the page as stored, behind its header; parquet.thrift, ColumnMetaData).
func checkPages(file io.ReaderAt, chunks []queries.ParquetChunk) error {
	for _, c := range chunks {
		pages := newPages(file, c.Offset, c.Bytes)
		var values, stored, unpacked int64
		for n := 1; ; n++ {
			page, err := pages.page()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				return fmt.Errorf("page %d of column %q: %w", n, c.Column, err)
			}
			values, stored, unpacked = values+page.values, stored+page.stored, unpacked+page.unpacked
		}
		if values != c.Values {
			return fmt.Errorf("the pages of column %q hold %d values, and its end says %d", c.Column, values, c.Values)
		}
		headers := c.Bytes - stored // some writers do not count them
		if c.Unpacked != unpacked && c.Unpacked != unpacked+headers {
			return fmt.Errorf("the pages of column %q hold %d bytes, and its end says %d", c.Column, unpacked+headers, c.Unpacked)
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
	mostNested   = 8
)

// Fields of a PageHeader, and of the structs in it (parquet.thrift).
const (
	pageType     = 1
	pageUnpacked = 2 // uncompressed_page_size
	pageStored   = 3 // compressed_page_size
	pageCRC      = 4
	dataValues   = 5<<8 | 1 // num_values of a DataPageHeader
	data2Values  = 8<<8 | 1 // and of a DataPageHeaderV2
)

// Types of pages with values (parquet.thrift, PageType).
const (
	dataPage   = 0
	data2Page  = 3
	mostOfPage = 1<<31 - 1 // bytes; the fields have 32 bits
)

// page is what the header of a page says.
type page struct {
	stored, unpacked int64 // bytes
	values           int64 // missing ones among them; 0 for pages that hold none
}

// page reads a page; io.EOF where the chunk ends.
func (p pageReader) page() (page, error) {
	if _, err := p.r.Peek(1); err != nil {
		return page{}, err
	}
	said := map[int]int64{}
	if err := p.fields(0, func(id int, value int64) { said[id] = value }); err != nil {
		return page{}, errors.Join(errPage, err)
	}
	stored, ok := said[pageStored]
	if !ok || stored < 0 || stored > mostOfPage || said[pageUnpacked] < 0 {
		return page{}, errPage
	}
	one := page{stored: stored, unpacked: said[pageUnpacked]}
	switch said[pageType] {
	case dataPage:
		one.values = said[dataValues]
	case data2Page:
		one.values = said[data2Values]
	}
	if one.values < 0 {
		return page{}, errPage
	}
	return one, p.body(stored, said)
}

// body reads the bytes of a page behind its header.
func (p pageReader) body(stored int64, said map[int]int64) error {
	of := crc32.NewIEEE()
	sum, summed := said[pageCRC]
	if !summed {
		return p.discard(int(stored))
	}
	if n, err := io.CopyN(of, p.r, stored); err != nil || n != stored {
		return errPage
	}
	if of.Sum32() != uint32(sum) {
		return errChecksum
	}
	return nil
}

// fields reads the fields of a struct up to its end, and gives whole numbers to fn;
// those of a struct in it under its id and theirs (eight bits).
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
		case thriftStruct:
			if depth > mostNested {
				return errPage
			}
			if err := p.fields(depth+1, func(within int, value int64) { fn(id<<8|within, value) }); err != nil {
				return err
			}
		default:
			if err := p.skip(typ, depth+1); err != nil {
				return err
			}
		}
	}
}

// skip reads over a value.
func (p pageReader) skip(typ, depth int) error {
	if depth > mostNested {
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

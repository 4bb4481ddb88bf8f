package parquet

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"

	"fluedrift/ingest/lines"
	"fluedrift/queries"
)

// What goes through the pipe: one frame with the columns, one a row, and one at the
// end, each a byte that says which and then numbers (as encoding/binary writes them
// in few bytes) and texts with their length before them.
const (
	columnsFrame = 'c'
	rowFrame     = 'r'
	endFrame     = 'e'
	faultFrame   = 'f'
)

// mostColumns is how many columns a file may have: as many as a workbook's sheet.
const mostColumns = 1 << 14

type writer struct{ w *bufio.Writer }

// Errors are kept by the buffer up to its last flush.
func (w *writer) number(n uint64) {
	var b [binary.MaxVarintLen64]byte
	_, _ = w.w.Write(b[:binary.PutUvarint(b[:], n)])
}

func (w *writer) text(s string) {
	w.number(uint64(len(s)))
	_, _ = w.w.WriteString(s)
}

func (w *writer) columns(all []queries.ParquetColumn, rows int64) {
	_ = w.w.WriteByte(columnsFrame)
	w.number(uint64(rows))
	w.number(uint64(len(all)))
	for _, c := range all {
		w.text(c.Name)
		w.text(c.Type)
	}
}

func (w *writer) row(cells []string) error {
	if err := w.w.WriteByte(rowFrame); err != nil {
		return err
	}
	for _, c := range cells {
		w.text(c)
	}
	return nil
}

func (w *writer) end() { _ = w.w.WriteByte(endFrame) }

func (w *writer) fault(text string) {
	_ = w.w.WriteByte(faultFrame)
	w.text(text)
}

// toldFault is what the process says is wrong with the file.
type toldFault struct{ text string }

func (f *toldFault) Error() string { return f.text }

var (
	errGreatRow = errors.New("a row beyond the limit")
	errNoFrame  = errors.New("no such frame")
)

type reader struct{ r *bufio.Reader }

// next reads which frame comes: io.EOF for the end, a *toldFault for a fault.
// A pipe that ends before its last frame is io.ErrUnexpectedEOF.
func (r *reader) next(want byte) error {
	which, err := r.r.ReadByte()
	switch {
	case errors.Is(err, io.EOF):
		return io.ErrUnexpectedEOF
	case err != nil:
		return err
	case which == endFrame:
		return io.EOF
	case which == faultFrame:
		left := lines.Limit
		text, err := r.text(&left)
		if err != nil {
			return err
		}
		return &toldFault{text}
	case which != want:
		return errNoFrame
	}
	return nil
}

// text reads a text of at most so many bytes, and takes its own off.
func (r *reader) text(left *int) (string, error) {
	n, err := binary.ReadUvarint(r.r)
	if err != nil {
		return "", inside(err)
	}
	if n > uint64(*left) {
		return "", errGreatRow
	}
	*left -= int(n)
	b := make([]byte, n)
	if _, err := io.ReadFull(r.r, b); err != nil {
		return "", inside(err)
	}
	return string(b), nil
}

// inside is an error within a frame, where the end is none.
func inside(err error) error {
	if errors.Is(err, io.EOF) {
		return io.ErrUnexpectedEOF
	}
	return err
}

func (r *reader) columns() (all []queries.ParquetColumn, rows int64, err error) {
	if err := r.next(columnsFrame); err != nil {
		return nil, 0, inside(err)
	}
	count, err := binary.ReadUvarint(r.r)
	if err != nil {
		return nil, 0, inside(err)
	}
	n, err := binary.ReadUvarint(r.r)
	if err != nil || n > mostColumns {
		return nil, 0, errors.Join(errNoFrame, err)
	}
	left := lines.Limit
	for range n {
		var c queries.ParquetColumn
		if c.Name, err = r.text(&left); err != nil {
			return nil, 0, err
		}
		if c.Type, err = r.text(&left); err != nil {
			return nil, 0, err
		}
		all = append(all, c)
	}
	return all, int64(count), nil
}

// row reads the cells of the next row behind those given.
func (r *reader) row(cells []string, width int) ([]string, error) {
	if err := r.next(rowFrame); err != nil {
		return nil, err
	}
	left := lines.Limit
	for range width {
		c, err := r.text(&left)
		if err != nil {
			return nil, err
		}
		cells = append(cells, c)
	}
	return cells, nil
}

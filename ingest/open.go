package ingest

import (
	"context"
	"io"
	"os"

	"fluedrift/ingest/book"
	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parquet"
)

// open opens the rows of a file. Every byte of it is also written to sum, unless
// that is nil.
func open(ctx context.Context, f found, l *layout.Layout, sum io.Writer) (lines.Rows, error) {
	size, unpacked := f.bytes(), f.limits.UnpackedBytes
	if size == 0 {
		return nil, lines.Refuse(lines.EmptyFile, "the file has no bytes")
	}
	if rows, err := openMarked(f, l, sum); rows != nil || err != nil {
		return rows, err
	}
	if l.Text() || l.File.Type == "" {
		text, err := lines.OpenText(f.file(), f.packed(), unpacked, l, sum)
		if err != nil {
			return nil, err // and no *lines.Text that is nil
		}
		return text, nil
	}
	file, size, err := lines.OpenUnpacked(f.file(), f.packed(), unpacked, sum)
	if err != nil {
		return nil, err
	}
	rows, err := openTable(ctx, f, l, file, size)
	if err != nil {
		file.Close()
		return nil, err
	}
	return rows, nil
}

// openTable opens the rows of a workbook or a Parquet file.
func openTable(ctx context.Context, f found, l *layout.Layout, file *os.File, size int64) (lines.Rows, error) {
	if l.Workbook() {
		return book.Open(file, size, l, f.limits.cellBytes())
	}
	rows, err := parquet.Open(ctx, file, size, f.limits.countParquet)
	if err != nil {
		return nil, err // and no *parquet.Rows that is nil
	}
	return rows, nil
}

// firstBytes reads the start of a file, unpacked.
func firstBytes(f found, bytes int64) ([]byte, error) {
	if err := f.limits.countUnpacked(f); err != nil {
		return nil, err
	}
	file, err := f.file().Open()
	if err != nil {
		return nil, err
	}
	defer file.Close()
	var src io.Reader = file
	if f.packed() {
		if src, err = lines.Unpack(file, 0); err != nil {
			return nil, err
		}
	}
	head, err := io.ReadAll(io.LimitReader(src, bytes))
	if len(head) == 0 && err == nil {
		return nil, lines.Refuse(lines.EmptyFile, "the file has no bytes")
	}
	return head, err
}

// unknown is a file as a layout for it is proposed from, by so many of its rows; 0:
// a few hundred.
func unknown(ctx context.Context, f found, rows int) draft.File {
	return draft.File{
		Name: f.name, Rows: rows,
		Head: func(bytes int64) ([]byte, error) { return firstBytes(f, bytes) },
		Open: func(shape layout.File) (lines.Rows, error) {
			return open(ctx, f, &layout.Layout{File: shape}, nil)
		},
	}
}

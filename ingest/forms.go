package ingest

import (
	"io"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/objects"
	"fluedrift/ingest/tables"
)

// openMarked opens the rows of a file of objects of JSON or of a page. Nil: the file is
// of another type.
func openMarked(f found, l *layout.Layout, sum io.Writer) (lines.Rows, error) {
	unpacked := f.limits.UnpackedBytes
	switch l.File.Type {
	case "jsonl":
		none := ""
		plain := &layout.Layout{File: layout.File{Encoding: "utf-8", Delimiter: "\n", Quote: &none, LastLine: l.File.LastLine}}
		return openObjects(f, l, true, func(to io.Writer) (objects.Source, error) {
			text, err := lines.OpenText(f.file(), f.packed(), unpacked, plain, to)
			if err != nil {
				return nil, err
			}
			return objects.ByLine(text), nil
		}, sum)
	case "json":
		return openObjects(f, l, false, func(to io.Writer) (objects.Source, error) {
			text, err := lines.OpenBytes(f.file(), f.packed(), unpacked, "utf-8", to)
			if err != nil {
				return nil, err
			}
			return objects.Listed(text), nil
		}, sum)
	case "html":
		text, err := lines.OpenBytes(f.file(), f.packed(), unpacked, l.File.Encoding, sum)
		if err != nil {
			return nil, err
		}
		number, _ := l.File.Sheet.(int64)
		return tables.Open(text, int(max(number, 1))), nil
	}
	return nil, nil
}

// openObjects opens a file of objects, the bytes of which go to sum in its second
// reading.
func openObjects(
	f found, l *layout.Layout, byLine bool, open func(to io.Writer) (objects.Source, error), sum io.Writer,
) (lines.Rows, error) {
	rows, err := objects.Open(func(again bool) (objects.Source, error) {
		if again {
			return open(sum)
		}
		return open(nil)
	}, l.File.Rows, byLine, f.limits.countRow)
	if err != nil {
		return nil, err // and no *objects.Rows that is nil
	}
	return rows, nil
}

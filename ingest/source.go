package ingest

import (
	"context"

	"fluedrift/ingest/parse"

	"fluedrift/ingest/lines"
)

// columnRow is a row of source.columns.
type columnRow struct {
	file                                        int32
	header, field, fire, condition, unit, basis string
}

// setAsideRow is a row of source.set_aside.
type setAsideRow struct {
	file, line int32
	fault      cellFault
	raw        string
	serial     string
	day        int32
}

func fileColumns() []column[File] {
	return []column[File]{
		intColumn("file_key", func(f *File) int32 { return f.Key }),
		textColumn("name", func(f *File) string { return f.Name }),
		longColumn("bytes", func(f *File) int64 { return f.Bytes }),
		textColumn("digest", func(f *File) string { return f.Digest }),
		textColumn("layout", func(f *File) string { return f.Layout }),
		textColumn("record", func(f *File) string { return f.Record }),
		textColumn("source", func(f *File) string { return f.Source }),
		textColumn("form", func(f *File) string { return f.Form }),
		dayColumn("export_day", func(f *File) int32 { return f.ExportDay }),
		textColumn("outcome", func(f *File) string { return f.Outcome }),
		textColumn("reason", func(f *File) string { return f.Reason }),
		textColumn("message", func(f *File) string { return f.Message }),
		longColumn("lines", func(f *File) int64 { return f.Lines }),
		longColumn("header", func(f *File) int64 { return f.Header }),
		longColumn("blank", func(f *File) int64 { return f.Blank }),
		longColumn("skipped", func(f *File) int64 { return f.Skipped }),
		longColumn("set_aside", func(f *File) int64 { return f.SetAside }),
		longColumn("parsed", func(f *File) int64 { return f.Parsed }),
	}
}

func columnColumns() []column[columnRow] {
	return []column[columnRow]{
		intColumn("file_key", func(c *columnRow) int32 { return c.file }),
		textColumn("header", func(c *columnRow) string { return c.header }),
		textColumn("field", func(c *columnRow) string { return c.field }),
		textColumn("fire", func(c *columnRow) string { return c.fire }),
		textColumn("condition", func(c *columnRow) string { return c.condition }),
		textColumn("unit", func(c *columnRow) string { return c.unit }),
		textColumn("basis", func(c *columnRow) string { return c.basis }),
	}
}

func setAsideColumns() []column[setAsideRow] {
	return []column[setAsideRow]{
		intColumn("file_key", func(r *setAsideRow) int32 { return r.file }),
		intColumn("line", func(r *setAsideRow) int32 { return r.line }),
		textColumn("column_name", func(r *setAsideRow) string { return r.fault.column }),
		textColumn("value", func(r *setAsideRow) string { return clip(r.fault.value) }),
		textColumn("reason", func(r *setAsideRow) string { return r.fault.reason }),
		textColumn("message", func(r *setAsideRow) string { return clip(r.fault.message) }),
		textColumn("raw", func(r *setAsideRow) string { return clip(r.raw) }),
		textColumn("serial", func(r *setAsideRow) string { return r.serial }),
		dayColumn("day", func(r *setAsideRow) int32 { return r.day }),
	}
}

// rawLimit is how much of a line that is set aside is kept, in bytes.
const rawLimit = 2000

func clip(s string) string {
	if len(s) <= rawLimit {
		return s
	}
	return string(lines.WithoutCutRune([]byte(s[:rawLimit]))) + "…"
}

// dayKnown reports a day other than parse.NoDay.
func dayKnown(day int32) bool { return day != parse.NoDay }

// storeColumns loads what each column of a file means.
func (r *run) storeColumns(ctx context.Context, h *head, out *File) error {
	for i, header := range h.cells {
		row := columnRow{file: out.Key, header: header}
		for _, b := range h.bound {
			if b.index == i {
				row.field, row.fire, row.condition, row.unit, row.basis = b.Field, b.Fire, b.Condition, b.Unit, b.Basis
				if b.Wet != nil {
					row.basis = "wet"
				}
				if b.Carry != "" {
					row.field = "carry " + b.Carry
				}
			}
		}
		if err := r.columns.add(ctx, &row); err != nil {
			return err
		}
	}
	return nil
}

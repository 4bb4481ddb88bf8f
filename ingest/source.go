package ingest

import (
	"context"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/mend"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// columnRow is a row of source.columns.
type columnRow struct {
	file                       int32
	fire                       judge.Fire
	condition                  judge.Condition
	header, field, unit, basis string
	cells, setAside            int64 // filled on lines that stand, and set aside of those
}

// setAsideRow is a row of source.set_aside.
type setAsideRow struct {
	file, line int32
	fault      cellFault
	raw        string
	serial     string
	day        day.Day
}

func fileFields(f *File) []queries.Field {
	return []queries.Field{
		queries.Whole("file_key", &f.Key),
		queries.Text("name", &f.Name),
		queries.Whole("bytes", &f.Bytes),
		queries.Text("digest", &f.Digest),
		queries.Text("layout", &f.Layout),
		queries.Text("record", &f.Record),
		queries.Text("source", &f.Source),
		queries.Text("form", &f.Form),
		queries.Day("export_day", &f.ExportDay),
		queries.Text("outcome", &f.Outcome),
		queries.Text("reason", &f.Reason),
		queries.Text("message", &f.Message),
		queries.Whole("lines", &f.Lines),
		queries.Whole("header", &f.Header),
		queries.Whole("blank", &f.Blank),
		queries.Whole("skipped", &f.Skipped),
		queries.Whole("set_aside", &f.SetAside),
		queries.Whole("parsed", &f.Parsed),
		queries.Whole("joined", &f.Joined),
		queries.Whole("cells_set_aside", &f.CellsSetAside),
	}
}

func columnFields(c *columnRow) []queries.Field {
	return []queries.Field{
		queries.Whole("file_key", &c.file),
		queries.Text("header", &c.header),
		queries.Text("field", &c.field),
		queries.Code("fire", &c.fire),
		queries.Code("condition", &c.condition),
		queries.Text("unit", &c.unit),
		queries.Text("basis", &c.basis),
		queries.Whole("cells", &c.cells),
		queries.Whole("cells_set_aside", &c.setAside),
	}
}

func setAsideFields(r *setAsideRow) []queries.Field {
	return []queries.Field{
		queries.Whole("file_key", &r.file),
		queries.Whole("line", &r.line),
		queries.Text("column_name", &r.fault.column),
		queries.TextOf("value", func() string { return clip(r.fault.value) }),
		queries.Text("reason", &r.fault.reason),
		queries.TextOf("message", func() string { return clip(r.fault.message) }),
		queries.TextOf("raw", func() string { return clip(r.raw) }),
		queries.Text("serial", &r.serial),
		queries.Day("day", &r.day),
	}
}

func cellFields(r *cellRow) []queries.Field {
	return []queries.Field{
		queries.Whole("file_key", &r.file),
		queries.Whole("line", &r.line),
		queries.Text("column_name", &r.fault.column),
		queries.TextOf("value", func() string { return clip(r.fault.value) }),
		queries.Text("reason", &r.fault.reason),
		queries.TextOf("message", func() string { return clip(r.fault.message) }),
		queries.Truth("costs_reading", &r.costsReading),
		queries.Code("fire", &r.fire),
		queries.Code("condition", &r.condition),
		queries.Text("serial", &r.serial),
		queries.Day("day", &r.day),
	}
}

// returnedRow is a row of source.returned: a line that came back in a file to mend,
// and the one it was copied from.
type returnedRow struct {
	file, line int32
	of         mend.Place
}

func returnedFields(r *returnedRow) []queries.Field {
	return []queries.Field{
		queries.Whole("file_key", &r.file),
		queries.Whole("line", &r.line),
		queries.Text("of_file", &r.of.File),
		queries.Whole("of_line", &r.of.Line),
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

// dayKnown reports a day other than day.None.
func dayKnown(d day.Day) bool { return d != day.None }

// storeColumns loads what each column of a file means.
func (s *store) storeColumns(ctx context.Context, h *head, r *rowReader, out *File) error {
	for i, header := range h.cells {
		row := columnRow{file: out.Key, header: header}
		for k, b := range h.bound {
			if b.index == i {
				row.cells, row.setAside = r.spoilt.seen[k], r.spoilt.aside[k]
				row.field, row.fire, row.condition = b.Field, b.Fire, b.Condition
				row.unit, row.basis = layout.DeclaredUnit(b.Column), layout.DeclaredBasis(b.Column)
				if b.Wet != nil {
					row.basis = "wet"
				}
				if b.Carry != "" {
					row.field = "carry " + b.Carry
				}
			}
		}
		if err := s.columns.add(ctx, &row); err != nil {
			return err
		}
	}
	return nil
}

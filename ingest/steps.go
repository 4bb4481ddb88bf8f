package ingest

import (
	"context"
	"fmt"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/mend"
	"fluedrift/ingest/parse"
	"fluedrift/ingest/reshape"
	"fluedrift/model/day"
)

// reshaped are the rows of the file after the steps of its layout.
func (p *pass) reshaped() lines.Rows {
	rows := p.file.tableOf(lines.Headed(p.plain, p.layout), p.layout)
	if t, ok := rows.(*lines.OneTable); ok {
		p.table = t
	}
	if p.layout.Padded() {
		p.merged = lines.OverMerged(rows, p.layout)
		rows = p.merged
	}
	if len(p.layout.Steps) == 0 {
		return rows
	}
	p.mended = &unguarded{Rows: rows, layout: p.layout}
	return reshape.Rows(p.mended, p.layout, p.file.name, p.tables)
}

// readFooters reads the file once more where its rows need what stands below them.
func (p *pass) readFooters(ctx context.Context, rows lines.Rows) error {
	if !reshape.HasFooters(p.layout) {
		return nil
	}
	plain, err := open(ctx, p.file, p.layout, nil)
	if err != nil {
		return err
	}
	defer plain.Close()
	return reshape.ReadFooters(p.file.tableOf(lines.Headed(plain, p.layout), p.layout), p.layout, rows)
}

// unguarded are the rows of a file to mend without the apostrophes of mend.Guarded,
// which steps would take for a part of the cells.
type unguarded struct {
	lines.Rows
	layout *layout.Layout
	header bool // it was seen
	toMend bool // the program wrote the file
}

// Next gives the next row. A workbook or a Parquet file has no such apostrophes.
func (u *unguarded) Next() (*lines.Line, error) {
	ln, err := u.Rows.Next()
	if err != nil {
		return nil, err
	}
	if !u.header && ln.Number >= u.layout.File.Header && ln.Top == lines.NoTop {
		u.header = true
		for _, c := range ln.Cells {
			u.toMend = u.toMend || parse.Fold(c) == mend.Column
		}
		return ln, nil
	}
	if u.toMend && u.layout.Text() {
		for i, c := range ln.Cells {
			ln.Cells[i] = mend.Unguarded(c)
		}
	}
	return ln, nil
}

// leave counts a line that steps leave out.
func (f *File) leave(ln *lines.Line) {
	if f.Left == nil {
		f.Left = map[string]int64{}
	}
	f.Skipped += ln.Counts()
	f.Left[ln.Left] += ln.Counts()
}

// at names the column of the file in which a fault stands, where a step made the one
// that was read.
func (f *cellFault) at(l *layout.Layout) {
	from := l.Sources(f.column)
	if len(from) != 1 || from[0] == f.column {
		return
	}
	f.message = fmt.Sprintf("%s (read as %q)", f.message, f.column)
	f.column = from[0]
}

// tableRow counts a row of a table, which is read into those of other files, or keeps
// it for them.
func (p *pass) tableRow(ctx context.Context, ln *lines.Line) error {
	fault := shape(ln, len(p.head.cells))
	if p.into != nil {
		if fault != nil && ln.Left == "" {
			return nil
		}
		return p.into.Add(p.head.cells, ln, p.file.name, p.out.ExportDay)
	}
	if fault == nil {
		p.out.Joined += ln.Counts()
		return nil
	}
	p.out.SetAside += ln.Counts()
	p.out.Reasons[fault.reason] += ln.Counts()
	raw := ln.Text
	if p.options.Technician != nil {
		raw = withheld
	}
	return p.setAside.add(ctx, &setAsideRow{file: p.out.Key, line: int32(ln.Number), fault: *fault, raw: raw, day: day.None})
}

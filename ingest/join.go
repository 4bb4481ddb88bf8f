package ingest

import (
	"context"
	"errors"
	"math"
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/reshape"
	"fluedrift/model/day"
)

// joining is what the run keeps of tables that steps join.
type joining struct {
	found  []found        // all files, among which those of a table are looked for
	tables reshape.Tables // that were read
	faults map[string]error
	into   *reshape.Table // where the rows of a table go while it is read for its joins
}

// loadTables reads the tables that steps of a layout join, before any row of its files
// is read: in which order files come makes no difference.
func (j *joining) loadTables(ctx context.Context, r *run, l *layout.Layout) error {
	for i := range l.Steps {
		s := &l.Steps[i]
		if s.Do != layout.Join {
			continue
		}
		if _, known := j.tables[s.Table]; known {
			continue
		}
		if j.faults[s.Table] == nil {
			j.faults[s.Table] = j.loadTable(ctx, r, s.Table)
		}
		if err := j.faults[s.Table]; err != nil {
			return err
		}
	}
	return nil
}

// loadTable reads all files of a table. A table of which a file cannot be read is none:
// rows without their other half would be misread.
func (j *joining) loadTable(ctx context.Context, r *run, name string) error {
	at := slices.IndexFunc(r.layouts, func(l *layout.Layout) bool { return l.Name == name && l.Record == layout.Table })
	if at < 0 {
		return lines.Refuse(badLayout, "a step joins the table %q, and no layout with record = \"table\" has that name", name)
	}
	l, files := r.layouts[at], 0
	t := reshape.NewTable(l, r.layouts)
	watching, out := r.looker, File{}
	defer func() { r.looker, j.into = watching, nil }()
	r.looker, j.into = nil, t
	for _, f := range j.found {
		if f.skipped != "" {
			continue
		}
		f.limits, out = r.options.Limits, File{Name: f.name, ExportDay: day.None}
		of, err := r.match(ctx, f, &out)
		if err == nil && of != l || err != nil && out.Layout != name {
			continue
		}
		if err == nil {
			err = exportDay(l, f, &out)
		}
		if err == nil {
			_, err = r.pass(ctx, f, l, &out, math.MaxInt32, nil)
		}
		if fault, refused := errors.AsType[*lines.Refusal](err); refused {
			return lines.Refuse(fault.Reason, "%s, which a step joins, cannot be read: %s", f.name, fault.Message)
		} else if err != nil {
			return err
		}
		files++
	}
	if files == 0 {
		return lines.Refuse(lines.MissingColumn, "a step joins the table %q, and no file of it is there", name)
	}
	j.tables[name] = t
	return nil
}

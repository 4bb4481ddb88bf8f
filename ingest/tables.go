package ingest

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// tablesOf puts a file that holds several tables among the files once for each that a
// layout reads. A file that layouts fit in another way stays as it is.
func tablesOf(ctx context.Context, r *run, all []found) ([]found, error) {
	if !slices.ContainsFunc(r.layouts, func(l *layout.Layout) bool { return l.File.Table > 0 }) {
		return all, nil
	}
	var out []found
	for _, f := range all {
		fits, err := tableLayouts(ctx, r, f)
		if err != nil {
			return nil, err
		}
		if len(fits) == 0 {
			out = append(out, f)
		}
		for _, l := range fits {
			one := f
			one.only, one.tables = l, slices.DeleteFunc(slices.Clone(fits), func(o *layout.Layout) bool { return o == l })
			out = append(out, one)
		}
	}
	return out, nil
}

// tableLayouts are the layouts for the tables of a file, by their numbers; none where another
// layout fits the file, or two read one table.
func tableLayouts(ctx context.Context, r *run, f found) (fits []*layout.Layout, err error) {
	if f.skipped != "" {
		return nil, nil
	}
	f.limits = r.options.Limits
	numbers := map[int]bool{}
	for _, l := range r.layouts {
		ok, err := fitsLayout(ctx, f, l)
		if _, refused := errors.AsType[*lines.Refusal](err); err != nil && !refused {
			return nil, err
		}
		switch {
		case !ok:
		case l.File.Table == 0 || numbers[l.File.Table]:
			return nil, nil
		default:
			numbers[l.File.Table] = true
			fits = append(fits, l)
		}
	}
	slices.SortFunc(fits, func(x, y *layout.Layout) int { return cmp.Compare(x.File.Table, y.File.Table) })
	return fits, nil
}

// shown is the name of a file, or of one of its tables but the first: x[table 2].csv.
func (f found) shown() string {
	if f.only == nil || f.only.File.Table < 2 {
		return f.name
	}
	ext := path.Ext(strings.TrimSuffix(f.name, ".gz"))
	if strings.HasSuffix(f.name, ".gz") {
		ext += ".gz"
	}
	return fmt.Sprintf("%s[table %d]%s", strings.TrimSuffix(f.name, ext), f.only.File.Table, ext)
}

// tableOf are the rows of the table that a layout reads, of a file that holds several.
func (f found) tableOf(rows lines.Rows, l *layout.Layout) lines.Rows {
	if l.File.Table == 0 {
		return rows
	}
	return lines.InTable(rows, l, f.tables)
}

// otherTables says how many lines of other tables were skipped; nothing of a file with one.
func otherTables(t *lines.OneTable) []string {
	if t == nil {
		return nil
	}
	return t.Notes()
}

package night

import (
	"context"
	"log/slog"
	"strings"

	"fluedrift/analysis/report/table"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/mend"
	"fluedrift/queries"
)

// exportsOf are the inputs as the making of files to mend takes them.
func exportsOf(c *settings.Config, inputs []Input) ([]mend.Export, error) {
	byName, err := c.Layouts()
	if err != nil {
		return nil, err
	}
	all := make([]mend.Export, len(inputs))
	for i, r := range inputs {
		path := c.ExportPath(r.Name)
		all[i] = mend.Export{Name: r.Name, Path: path, Digest: r.Digest}
		if r.Outcome == "read" {
			all[i].Layout = byName[r.Layout]
		}
	}
	return all, nil
}

// mendsOf copies the lines that have something to be fixed into files to mend, and
// notes with each such fix its line and where that is to be mended.
func mendsOf(e *evidence, fixes []watch.Fix, alias func(code string) string, log *slog.Logger) ([]mend.File, error) {
	exports, err := exportsOf(e.Config, e.inputs)
	if err != nil {
		return nil, err
	}
	var faults []*mend.Fault
	var of []*watch.Fix
	for i := range fixes {
		f := &fixes[i]
		if f.Line == 0 {
			continue
		}
		faults = append(faults, &mend.Fault{
			Place:  mend.Place{File: f.File, Line: f.Line},
			Reason: f.Reason, Column: f.Column, Message: strings.ReplaceAll(f.Message, "±", "+/-"), // an export may be ASCII
			MendIn: f.MendIn, Original: f.Original,
		})
		of = append(of, f)
	}
	files, err := mend.Files(exports, faults, mend.Options{
		AsOf: e.asOf, Alias: alias, WriteBook: table.WriteBook,
		Warn: func(message, file string, err error) {
			about := []any{slog.String("file", file)}
			if err != nil {
				about = append(about, slog.Any("error", err))
			}
			log.Warn(message, about...)
		},
	})
	for i, f := range of {
		f.MendIn, f.Original = faults[i].MendIn, faults[i].Original
	}
	return files, err
}

// MendedOf finds the lines set aside in whose place a mended one stands: read
// from a file to mend, and not set aside itself.
func MendedOf(c *settings.Config, inputs []Input, waiting []queries.SetAside) (mend.Returned, error) {
	exports, err := exportsOf(c, inputs)
	if err != nil {
		return nil, err
	}
	waits := map[mend.Place]bool{}
	for _, a := range waiting {
		at := mend.Place{File: a.File, Line: int(a.Line)}
		waits[at] = waits[at] || a.Outcome != "accepted" && !a.Cell()
	}
	return mend.FindReturned(exports, waits), nil
}

// mendedIn finds the mended lines of a warehouse.
func mendedIn(ctx context.Context, c *settings.Config, w *queries.Warehouse) (mend.Returned, error) {
	files, err := w.Files(ctx)
	if err != nil {
		return nil, err
	}
	waiting, err := w.SetAside(ctx)
	if err != nil {
		return nil, err
	}
	return MendedOf(c, inputRecords(files), waiting)
}

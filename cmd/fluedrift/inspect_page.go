package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/analysis/report/page"
	"fluedrift/ingest"
	"fluedrift/ingest/draft"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
)

// writeInspectedPage writes what would become of files as the page that start makes of a
// folder.
func writeInspectedPage(w io.Writer, all []inspected) error {
	var files []page.BeginningFiles
	for i := range all {
		files = append(files, inspectedView(&all[i]))
	}
	return page.WriteInspected(w, files, day.None)
}

// inspectedView is what a page shows of one file.
func inspectedView(one *inspected) page.BeginningFiles {
	taken, fates, _ := strings.Cut(one.headline(), "\n")
	f := page.BeginningFiles{Names: one.Name, Taken: taken, Notes: one.Hints, LinesOf: filepath.Base(one.Name)}
	var text strings.Builder
	if one.Outcome == ingest.WasRead {
		writeFate(&text, one)
	} else {
		text.WriteString(fates)
	}
	for line := range strings.Lines(text.String()) {
		f.Fates = append(f.Fates, strings.TrimSpace(line))
	}
	for _, m := range one.Marked {
		f.Notes = append(f.Notes, "in the workbook: "+m)
	}
	for _, fit := range one.Fits {
		if !fit.OK {
			f.Notes = append(f.Notes, fmt.Sprintf("layout %q does not fit: %s", fit.Layout, fit.Why))
		}
	}
	if one.Outcome != ingest.WasRead {
		for _, c := range one.Proposed {
			f.Columns = append(f.Columns, columnView(c))
		}
	}
	for _, u := range one.Columns {
		f.Columns = append(f.Columns, useView(u, one))
	}
	f.Lines, f.Rows = sampleRows(one.Samples)
	return f
}

// useView is what a page shows of a column that a layout declares, and of one that it does
// not, beside what a draft would take it for.
func useView(u ingest.Use, one *inspected) page.BeginningColumn {
	taken := strings.Join(strings.Fields(fmt.Sprintf("%s %s %s", u.Field, u.Fire, u.Condition)), " ")
	if written := u.Unit + u.Dates; written != "" {
		taken += " in " + written
	}
	v := page.BeginningColumn{Header: u.Header, Taken: taken, Sure: "declared", Why: "by the layout " + one.Layout}
	if u.Field == "not declared" {
		v.Sure, v.Why = sureWords[draft.Unread], "the layout does not declare it"
	}
	at := slices.IndexFunc(one.Proposed, func(c draft.Column) bool { return parse.Fold(c.Header) == parse.Fold(u.Header) })
	if at < 0 {
		return v
	}
	c := one.Proposed[at]
	v.Cells = c.Cells
	if c.Certainty != draft.Unread && c.Field != u.Field && c.Field != "" {
		v.Others = append(v.Others, takenFor(c))
		v.Why += "; a draft would take it for " + c.Field + ", " + c.Why
	}
	return v
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/analysis/report"
)

var listCommand = command{"list", "[NAME]", "print a published list again: the watchlist where none is named; help columns names them all", list}

// publishedLists are the lists a night publishes.
var publishedLists = []string{"watchlist", "changed", "co", "verify", "startup-gaps", "analyzers", "habits", "records-to-fix", "dictionary"}

func list(_ context.Context, c *call) error {
	write, err := writerFor(c.format)
	if err != nil {
		return err
	}
	name := "watchlist"
	if len(c.args) > 0 {
		name = c.args[0]
	}
	if len(c.args) > 1 || !slices.Contains(publishedLists, name) {
		return fail(exitUsage, "list: no list is called %q\nthe lists: %s", strings.Join(c.args, " "), strings.Join(publishedLists, ", "))
	}
	cfg, err := readConfig(c.config)
	if err != nil {
		return err
	}
	t, err := published(cfg, c.asOf, name)
	if err != nil {
		return err
	}
	if err := filter(&t, c); err != nil {
		return err
	}
	return c.writeResult(func(w io.Writer) error { return write(w, t) })
}

// writerFor finds the form a result is asked for in.
func writerFor(format string) (func(io.Writer, report.Table) error, error) {
	switch format {
	case "text":
		return report.WriteText, nil
	case "csv":
		return report.WriteCSV, nil
	case "json":
		return report.WriteJSON, nil
	}
	return nil, fail(exitUsage, "format %q is none of text, csv, json", format)
}

// published reads a list of the newest publication, or of a day's.
func published(cfg *config, asOf, name string) (t report.Table, err error) {
	lists, link := cfg.path(cfg.Output.Lists), "latest"
	if asOf != "" {
		if _, err := dayOf(asOf); err != nil {
			return t, err
		}
		link = asOf
	}
	folder, err := filepath.EvalSymlinks(filepath.Join(lists, link))
	if errors.Is(err, fs.ErrNotExist) {
		what := "no list is published in " + lists
		if asOf != "" {
			what = "no list of " + asOf + " is published in " + lists
		}
		return t, fail(exitNoWarehouse, "%s\nmake one with: fluedrift nightly", what)
	}
	if err != nil {
		return t, err
	}
	f, err := os.Open(filepath.Join(folder, name+".json"))
	if err != nil {
		return t, fail(exitNoWarehouse, "the publication %s is incomplete: %w\nmake it again with: fluedrift nightly", folder, err)
	}
	defer f.Close()
	if t, err = report.ReadJSON(f); err != nil {
		return t, fail(exitNoWarehouse, "%s: %w\nmake it again with: fluedrift nightly", f.Name(), err)
	}
	return t, nil
}

// filter keeps the lines asked for.
func filter(t *report.Table, c *call) error {
	for _, f := range []struct{ column, want string }{{"area", c.area}, {"site", c.site}, {"tier", c.tier}} {
		if f.want == "" {
			continue
		}
		at := slices.IndexFunc(t.Columns, func(k report.Column) bool { return k.Name == f.column })
		if at < 0 {
			return fail(exitUsage, "list %s has no column %s to choose by", t.Name, f.column)
		}
		t.Rows = slices.DeleteFunc(t.Rows, func(row []report.Cell) bool { return !strings.EqualFold(row[at].String(), f.want) })
		t.Head = append(t.Head, fmt.Sprintf("Only %s %q: %d lines.", f.column, f.want, len(t.Rows)))
	}
	if c.top > 0 && c.top < len(t.Rows) {
		t.Head = append(t.Head, fmt.Sprintf("The first %d of %d lines.", c.top, len(t.Rows)))
		t.Rows = t.Rows[:c.top]
	}
	return nil
}

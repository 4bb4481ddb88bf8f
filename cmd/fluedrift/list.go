package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
)

var listCommand = command{"list", "[NAME]", "print a published list again: the watchlist if none is named; help columns names them " +
	"all", list}

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
		return settings.Fail(settings.Usage, "list: no list is called %q\nthe lists: %s", strings.Join(c.args, " "),
			strings.Join(publishedLists, ", "))
	}
	cfg, err := c.readConfig()
	if err != nil {
		return err
	}
	t, run, err := published(c, cfg, c.asOf, name)
	if err != nil {
		return err
	}
	if err := filter(&t, c); err != nil {
		return err
	}
	if len(t.Rows) == 0 {
		if err := known(cfg, c); err != nil {
			return err
		}
	}
	if c.format == "text" {
		t = table.In(settings.Units(cfg, readBy(run)), t)
	}
	return c.writeResult(func(w io.Writer) error { return write(w, t) })
}

// readBy is how many lines of a publication's exports were read by each layout.
func readBy(r *publish.Run) (read []settings.LayoutLines) {
	for _, i := range r.Inputs {
		read = append(read, settings.LayoutLines{Layout: i.Layout, Lines: i.Accepted})
	}
	return read
}

// writerFor finds the form a result is asked for in.
func writerFor(format string) (func(io.Writer, table.Table) error, error) {
	switch format {
	case "text":
		return func(w io.Writer, t table.Table) error { return table.WriteText(w, t) }, nil
	case "csv":
		return table.WriteCSV, nil
	case "json":
		return table.WriteJSON, nil
	}
	return nil, settings.Fail(settings.Usage, "format %q is none of text, csv, json", format)
}

// published reads a list of the newest publication, or of a day's, and that
// publication's record. The newest must be of the settings that the configuration has
// now; that of a day is what it was.
func published(c *call, cfg *settings.Config, asOf, name string) (t table.Table, run *publish.Run, err error) {
	lists, link := cfg.Path(cfg.Output.Lists), "latest"
	if asOf != "" {
		if _, err := settings.DayOf(asOf); err != nil {
			return t, nil, err
		}
		link = asOf
	}
	remedy := c.again("nightly")
	if asOf != "" {
		remedy = c.again("nightly", "-as-of", asOf)
	}
	folder, err := filepath.EvalSymlinks(filepath.Join(lists, link))
	switch {
	case errors.Is(err, fs.ErrNotExist) && asOf != "":
		return t, nil, c.reading(remedy, "no list of %s is published in %s", asOf, lists)
	case errors.Is(err, fs.ErrNotExist):
		return t, nil, c.reading(remedy, "no list is published in %s", lists)
	case err != nil:
		return t, nil, err
	}
	if run, err = publish.ReadRun(folder); err != nil {
		return t, nil, c.reading(remedy, "the publication %s is incomplete: %w", folder, err)
	}
	if asOf == "" && run.Settings != "" && run.Settings != cfg.ListsDigest() {
		return t, nil, c.reading(remedy, "the newest list was made for another configuration, or this one was changed since\nprint it "+
			"as it was published with: -as-of %s", run.AsOf)
	}
	t, err = publishedList(run, folder, name, func(err error) error {
		if errors.Is(err, table.ErrOtherSchema) {
			return c.reading(remedy, "the publication %s was %w", folder, err)
		}
		return c.reading(remedy, "the publication %s is damaged: %w", folder, err)
	})
	return t, run, err
}

// list reads one list and compares it with its digest.
func publishedList(r *publish.Run, folder, name string, damaged func(error) error) (t table.Table, err error) {
	text, file, raw, err := publish.ReadFile(folder, name+".json")
	if err != nil {
		return t, damaged(err)
	}
	t, err = lists.Read(bytes.NewReader(text))
	at := slices.IndexFunc(r.Lists, func(l publish.Written) bool { return l.Name == file })
	switch {
	case errors.Is(err, table.ErrOtherSchema):
		return t, damaged(err)
	case at < 0 || r.Lists[at].Digest != settings.DigestOf(raw):
		return t, damaged(fmt.Errorf("%s holds other bytes than were published", file))
	case err != nil:
		return t, damaged(fmt.Errorf("%s: %w", file, err))
	}
	return t, nil
}

// filters are the columns a list is chosen by, with what is wanted of each.
func filters(c *call) []struct{ column, want string } {
	return []struct{ column, want string }{{"area", c.area}, {"site", c.site}, {"group", c.group}}
}

// filter keeps the lines asked for.
func filter(t *table.Table, c *call) error {
	for _, f := range filters(c) {
		if f.want == "" {
			continue
		}
		at := slices.IndexFunc(t.Columns, func(k table.Column) bool { return k.Name == f.column })
		if at < 0 {
			return settings.Fail(settings.Usage, "list %s has no column %s to choose by", t.Name, f.column)
		}
		t.Rows = slices.DeleteFunc(t.Rows, func(row []table.Cell) bool { return !strings.EqualFold(row[at].String(), f.want) })
		t.Head = append(t.Head, fmt.Sprintf("Only %s %q: %d lines.", f.column, f.want, len(t.Rows)))
	}
	if c.top > 0 && c.top < len(t.Rows) {
		t.Head = append(t.Head, fmt.Sprintf("The first %d of %d lines.", c.top, len(t.Rows)))
		t.Rows = t.Rows[:c.top]
	}
	return nil
}

// mostChoices is how many areas, sites or groups an unknown one is answered with.
const mostChoices = 20

// known refuses an area, a site or a group that no unit of the watchlist has: an
// empty list would say that nothing is due there.
func known(cfg *settings.Config, c *call) error {
	t, _, err := published(c, cfg, c.asOf, "watchlist")
	if err != nil {
		return err
	}
	for _, f := range filters(c) {
		at := slices.IndexFunc(t.Columns, func(k table.Column) bool { return k.Name == f.column })
		if f.want == "" || at < 0 {
			continue
		}
		var have []string
		for _, row := range t.Rows {
			if text := row[at].String(); text != "" && !slices.Contains(have, text) {
				have = append(have, text)
			}
		}
		if f.column == "group" {
			have = groupWords(cfg, have)
		}
		if slices.ContainsFunc(have, func(h string) bool { return strings.EqualFold(h, f.want) }) {
			continue
		}
		slices.Sort(have)
		more := ""
		if len(have) > mostChoices {
			have, more = have[:mostChoices], fmt.Sprintf(", and %d more", len(have)-mostChoices)
		}
		return settings.Fail(settings.Usage, "list: no unit of the watchlist has the %s %q\nthere are: %s%s", f.column, f.want,
			strings.Join(have, ", "), more)
	}
	return nil
}

// groupWords are the words of all groups, those on the list among them.
func groupWords(cfg *settings.Config, have []string) []string {
	for _, g := range watch.Groups() {
		words := cmp.Or(strings.TrimSpace(cfg.Output.GroupWords[g.Words()]), g.Words())
		if !slices.Contains(have, words) {
			have = append(have, words)
		}
	}
	return have
}

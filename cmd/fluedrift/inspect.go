package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"fluedrift/analysis/report/table"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/mend"
	"fluedrift/model/day"
	"fluedrift/queries"
)

var inspectCommand = command{
	"inspect", "[FILE ... | -schema LAYOUT]",
	"read exports, store nothing, and say what would become of them and why", inspect,
}

// inspected is one file with what its lines would become among all exports.
type inspected struct {
	ingest.Inspection
	Accepted, Superseded, Duplicate, Doubtful, EarlySetAside int64
	Related                                                  []relatedLine
}

// relatedLine is the fate of a readable line that does not stand.
type relatedLine struct {
	Outcome, Reason string
	Count           int
	First           []string // at most three, as file:line and the line that stands
}

// inspect looks at the named files, or at all exports.
func inspect(ctx context.Context, c *call) error {
	if c.schema {
		return inspectSchema(c)
	}
	write, err := inspectWriter(c.format)
	if err != nil {
		return err
	}
	c.intoFolder = c.format == "layout" && namesFolder(c.output)
	all, bad, err := inspectFiles(ctx, c)
	if err != nil {
		return err
	}
	if c.intoFolder {
		err = writeDraftFiles(c, all)
	} else {
		err = c.writeResult(func(w io.Writer) error { return write(w, all) })
	}
	return errors.Join(err, wrongLayouts(bad))
}

// wrongLayouts names the layouts that cannot be read, after what the others showed.
func wrongLayouts(bad []layout.Bad) error {
	if len(bad) == 0 {
		return nil
	}
	var all []error
	for _, b := range bad {
		all = append(all, b.Err)
	}
	return settings.Fail(settings.Usage, "%w", errors.Join(all...))
}

func inspectWriter(format string) (func(io.Writer, []inspected) error, error) {
	switch format {
	case "text":
		return writeInspections, nil
	case "json":
		return func(w io.Writer, all []inspected) error {
			text, err := table.EncodeJSON(all, "  ")
			if err != nil {
				return err
			}
			_, err = w.Write(text)
			return err
		}, nil
	case "layout":
		return writeDrafts, nil
	case "html":
		return writeInspectedPage, nil
	}
	return nil, settings.Fail(settings.Usage, "inspect: format %q is none of text, json, layout, html", format)
}

// inspectFiles inspects exports together, in a warehouse that is thrown away,
// and files that lie elsewhere one by one.
func inspectFiles(ctx context.Context, c *call) ([]inspected, []layout.Bad, error) {
	cfg, err := c.readConfig()
	for _, path := range c.args {
		c.guards = append(c.guards, publish.Protected{What: "a file to inspect:", Path: path, Below: nil})
	}
	if err := c.checkOutput(); err != nil {
		return nil, nil, err
	}
	if err != nil && len(c.args) > 0 && !c.given["config"] && notThere(c.config) {
		all, err := inspectElsewhere(ctx, c, ingest.Options{AsOf: c.today(), Propose: c.format == "html"}, c.args)
		return all, nil, err
	}
	if err != nil {
		return nil, nil, err
	}
	asOf, err := asOfDay(c, cfg)
	if err != nil {
		return nil, nil, err
	}
	alias, err := cfg.Pseudonyms()
	if err != nil {
		return nil, nil, err
	}
	o := cfg.IngestOptions(asOf, alias)
	o.Propose = c.format == "html"
	_, bad, err := layout.LoadSound(o.Layouts)
	if err != nil {
		return nil, nil, err
	}
	names, elsewhere := exportsNamed(c, o.Folder)
	var all []inspected
	if len(names) > 0 || len(c.args) == 0 {
		if notThere(o.Folder) {
			return nil, nil, settings.Fail(settings.NoInput, "the exports folder %s is not there\nset exports.folder in "+
				"%s, or name a file", o.Folder, c.config)
		}
		if all, err = inspectExports(ctx, cfg, o, names, nil); err != nil {
			return nil, nil, err
		}
	}
	others, err := inspectElsewhere(ctx, c, o, elsewhere)
	return append(all, others...), bad, err
}

func notThere(path string) bool {
	_, err := os.Stat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// exportsNamed tells the arguments that name exports, as their names in the
// folder, from those that lie elsewhere.
func exportsNamed(c *call, folder string) (names, elsewhere []string) {
	for _, arg := range c.args {
		if full, err := filepath.Abs(arg); err == nil && !notThere(arg) {
			rel, err := filepath.Rel(folder, full)
			if err == nil && filepath.IsLocal(rel) && rel != "." {
				names = append(names, filepath.ToSlash(rel))
				continue
			}
		}
		if filepath.IsLocal(arg) && !notThere(filepath.Join(folder, arg)) {
			names = append(names, filepath.ToSlash(filepath.Clean(arg)))
			continue
		}
		elsewhere = append(elsewhere, arg)
	}
	return names, elsewhere
}

func inspectElsewhere(ctx context.Context, c *call, o ingest.Options, paths []string) ([]inspected, error) {
	var all []inspected
	for _, path := range paths {
		if notThere(path) {
			return nil, settings.Fail(settings.Usage, "inspect: %q is neither an export nor a file", path)
		}
		one, err := ingest.InspectFile(ctx, o, path)
		if err != nil {
			return nil, err
		}
		all = append(all, inspected{Inspection: one, Accepted: one.Parsed})
	}
	return all, nil
}

// inspectExports reads all exports, since what becomes of a line depends on the
// others, and keeps the chosen ones; all where none is named. A look, where there is
// one, is taken at the warehouse before it is thrown away.
func inspectExports(
	ctx context.Context, cfg *settings.Config, o ingest.Options, names []string, look func(*queries.Warehouse) error,
) ([]inspected, error) {
	folder, err := os.MkdirTemp("", "fluedrift-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	w, err := queries.Create(ctx, filepath.Join(folder, "inspect.duckdb"), queries.Options{Version: version()})
	if err != nil {
		return nil, err
	}
	defer w.Close()
	looked, err := ingest.Inspect(ctx, w, o, func(name string) bool { return len(names) == 0 || slices.Contains(names, name) })
	if err != nil {
		return nil, err
	}
	if err := w.Build(ctx, o.AsOf); err != nil {
		return nil, err
	}
	all := make([]inspected, len(looked))
	for i := range looked {
		all[i].Inspection = looked[i]
	}
	if err := relate(ctx, cfg, w, all); err != nil || look == nil {
		return all, err
	}
	return all, look(w)
}

// relate adds what became of the readable lines among all exports.
func relate(ctx context.Context, cfg *settings.Config, w *queries.Warehouse, all []inspected) error {
	byName := map[string]*inspected{}
	for i := range all {
		byName[all[i].Name] = &all[i]
	}
	files, err := w.Files(ctx)
	if err != nil {
		return err
	}
	for _, f := range files {
		if one := byName[f.Name]; one != nil {
			one.Accepted, one.Superseded, one.Duplicate, one.Doubtful = f.Accepted, f.Superseded, f.Duplicate, f.Doubtful
			one.EarlySetAside = f.SetAside - one.SetAside
		}
	}
	lines, err := w.Outcomes(ctx)
	if err != nil {
		return err
	}
	for _, l := range lines {
		if one := byName[l.File]; one != nil {
			one.add(l.Outcome, l.Reason, fmt.Sprintf("%s:%d: see %s", l.File, l.Line, l.Other))
		}
	}
	waiting, err := w.SetAside(ctx)
	if err != nil {
		return err
	}
	for _, l := range waiting {
		one := byName[l.File]
		switch {
		case one == nil:
		case l.Reason == "before-install", l.Reason == "not-in-register":
			one.add(l.Outcome, l.Reason, fmt.Sprintf("%s:%d: serial %q", l.File, l.Line, l.Serial))
		case l.Reason == "second-id-shared", l.Reason == "second-id-unused":
			one.add(l.Outcome, l.Reason, fmt.Sprintf("%s:%d: %q of serial %q", l.File, l.Line, l.Value, l.Serial))
		}
	}
	return relateMended(cfg, files, waiting, byName)
}

// relateMended tells which lines set aside stand mended in another file.
func relateMended(cfg *settings.Config, files []queries.File, waiting []queries.SetAside, byName map[string]*inspected) error {
	inputs := make([]night.Input, len(files))
	for i, f := range files {
		inputs[i] = night.Input{Name: f.Name, Layout: f.Layout, Outcome: f.Outcome}
	}
	if _, err := cfg.Layouts(); err != nil {
		return nil // which lines stand mended follows from all layouts
	}
	mended, err := night.MendedOf(cfg, inputs, waiting)
	if err != nil {
		return err
	}
	for _, from := range slices.SortedFunc(maps.Keys(mended), mend.Place.Compare) {
		to := mended[from]
		if one := byName[from.File]; one != nil {
			one.add("mended", "", fmt.Sprintf("%s:%d: replaced by %s:%d", from.File, from.Line, to.File, to.Line))
		}
		if one := byName[to.File]; one != nil {
			one.add("mends", "", fmt.Sprintf("%s:%d: replaces %s:%d", to.File, to.Line, from.File, from.Line))
		}
	}
	return nil
}

// add counts a line and keeps the first three of its kind.
func (i *inspected) add(outcome, reason, text string) {
	at := slices.IndexFunc(i.Related, func(r relatedLine) bool { return r.Outcome == outcome && r.Reason == reason })
	if at < 0 {
		at = len(i.Related)
		i.Related = append(i.Related, relatedLine{Outcome: outcome, Reason: reason})
	}
	r := &i.Related[at]
	r.Count++
	if len(r.First) < 3 {
		r.First = append(r.First, night.OneLine(text))
	}
}

// writeInspections writes the findings for a person.
func writeInspections(w io.Writer, all []inspected) error {
	var text strings.Builder
	for i := range all {
		if i > 0 {
			fmt.Fprintln(&text)
		}
		all[i].Name = night.OneLine(all[i].Name)
		all[i].write(&text)
	}
	if _, err := io.WriteString(w, night.Shown(text.String())); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "\n%s inspected; nothing is stored, and no guess made here is used\n", night.Count(len(all), "file"))
	return err
}

func (i *inspected) write(w io.Writer) {
	fmt.Fprintf(w, "%s: %s\n", i.Name, i.headline())
	if i.Outcome == ingest.WasRead {
		fmt.Fprintf(w, "  %d lines = %d header + %d blank + %d skipped + %d accepted + %d superseded + %d duplicate + "+
			"%d doubtful + %d set aside\n",
			i.Lines, i.Header, i.Blank, i.Skipped, i.Accepted, i.Superseded, i.Duplicate, i.Doubtful, i.SetAside+i.EarlySetAside)
		if i.Joined > 0 {
			fmt.Fprintf(w, "    and %d that steps of the layout read into others\n", i.Joined)
		}
	}
	if i.CellsSetAside > 0 {
		fmt.Fprintf(w, "  %s set aside on lines that stand without\n", night.Count(int(i.CellsSetAside), "cell"))
	}
	for _, f := range i.Fits {
		if !f.OK {
			fmt.Fprintf(w, "  layout %q does not fit: %s\n", f.Layout, indented(f.Why))
		}
	}
	i.writeColumns(w)
	i.writeExamples(w, "set aside", i.Examples)
	i.writeExamples(w, "cells set aside", i.CellExamples)
	for _, r := range i.Related {
		fmt.Fprintf(w, "  %s: %d\n    %s\n", strings.TrimSuffix(r.Outcome+", "+r.Reason, ", "), r.Count, strings.Join(r.First, "\n    "))
	}
	i.writeSamples(w)
	for _, m := range i.Marked {
		fmt.Fprintf(w, "  in the workbook: %s\n", m)
	}
	for _, h := range i.Hints {
		fmt.Fprintf(w, "  look at: %s\n", indented(h))
	}
	if i.Draft != "" {
		fmt.Fprintf(w, "  a draft of a layout, to edit (alone with -format layout):\n\n    %s\n",
			strings.ReplaceAll(strings.TrimSuffix(i.Draft, "\n"), "\n", "\n    "))
	}
}

// writeExamples shows the first of what is set aside, by reason.
func (i *inspected) writeExamples(w io.Writer, what string, all []ingest.Example) {
	for _, e := range all {
		fmt.Fprintf(w, "  %s, %s: %d\n", what, e.Reason, e.Count)
		for _, l := range e.First {
			fmt.Fprintf(w, "    %s:%d: %s: %q: %s\n", i.Name, l.Line, l.Column, l.Value, l.Message)
		}
	}
}

// headline is the outcome of the file in one line.
func (i *inspected) headline() string {
	text := i.Outcome
	if text == ingest.NotOurs {
		text = "not read"
	}
	if i.Reason != "" {
		text += ", " + i.Reason
	}
	if i.Layout != "" {
		text += fmt.Sprintf("; layout %q (%s)", i.Layout, strings.TrimSuffix(strings.Join([]string{i.Record, i.Form}, ", "), ", "))
	}
	if i.ExportDay != day.None {
		text += "; exported " + settings.DayText(i.ExportDay)
	}
	if i.Message != "" {
		text += "\n  " + indented(i.Message)
	}
	return text
}

func indented(s string) string { return strings.ReplaceAll(s, "\n", "\n  ") }

// writeColumns shows the units of measure in force.
func (i *inspected) writeColumns(w io.Writer) {
	if len(i.Columns) == 0 {
		return
	}
	var text strings.Builder
	t := tabwriter.NewWriter(&text, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "  column\tfield\tfire\tcondition\twritten in\tstored in\tbasis")
	for _, u := range i.Columns {
		fmt.Fprintf(t, "  %q\t%s\t%s\t%s\t%s\t%s\t%s\n", u.Header, u.Field, u.Fire, u.Condition, u.Unit+u.Dates, u.Stored, u.Basis)
	}
	t.Flush()
	for line := range strings.Lines(text.String()) {
		fmt.Fprintln(w, strings.TrimRight(line, " \n"))
	}
}

// writeSamples shows rows as stored beside the cells they come from.
func (i *inspected) writeSamples(w io.Writer) {
	for _, s := range i.Samples {
		fmt.Fprintf(w, "  %s:%d as it will be stored\n", i.Name, s.Line)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, c := range s.Cells {
			stored := c.Stored
			if stored == "" {
				stored = "(missing)"
			}
			fmt.Fprintf(t, "    %q\t%q\t%s\t%q\n", c.Header, c.Cell, c.Field, stored)
		}
		t.Flush()
	}
}

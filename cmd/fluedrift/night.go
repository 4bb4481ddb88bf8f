package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/ingest/mend"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// A night is one run from exports to a publication. Its steps stand in order in
// nightly.go; what it finds on the way is kept here.
type night struct {
	call   *call
	config *settings.Config
	asOf   int32
	beside bool // the lists of another day, beside the newest: latest and the warehouse stay
	lists  string
	began  time.Time

	last         *runRecord      // newest publication, for the guards
	recent       []*runRecord    // those of the last guards.shrink_days, the newest first
	back         *lookBackRecord // newest look back older than the as-of day
	before       *runRecord      // newest with an earlier as-of day, for what changed
	inputs       []inputRecord
	readings     int64 // that stand, of all units
	calibrations int   // on record
	fits         []fitRecord
	notes        []string
	medians      []watch.ColumnMedian // of the columns of readings
	let          []string             // found by a guard that is tolerated: of the record alone
	aside        []queries.SetAside   // lines that wait for a person
	steps        []step
	said         *slog.Logger
	silent       []silence
	seen         map[string]ingest.File   // exports of which the warehouse does not keep all that was seen
	mended       mend.Returned            // set aside, with a mended line in their place
	alias        func(code string) string // pseudonym of a technician code; nil: the code itself

	disk      *publish.Disk
	warehouse *queries.Warehouse
	swapping  sync.Mutex // held while the publication is put in place
	published bool
	traced    func(publish.Op) // for tests: sees every change to the output
}

// step is one part of a night with the time it took.
type step struct {
	name    string
	seconds float64
}

// newNight reads the configuration and the publications before.
func newNight(c *call) (*night, error) {
	cfg, err := c.readConfig()
	if err != nil {
		return nil, err
	}
	n := &night{call: c, config: cfg, lists: cfg.Path(cfg.Output.Lists), began: c.now(), said: logger(c, cfg)}
	if n.asOf, err = asOfDay(c, cfg); err != nil {
		return nil, err
	}
	n.beside = n.asOf != cfg.OwnDay(c.today()) && !c.publish
	if n.alias, err = cfg.Pseudonyms(); err != nil {
		return nil, err
	}
	return n, nil
}

// asOfDay is the day asked for: the flag, else the configuration, else today.
func asOfDay(c *call, cfg *settings.Config) (int32, error) {
	if c.asOf != "" {
		return settings.DayOf(c.asOf)
	}
	return cfg.OwnDay(c.today()), nil
}

// do runs one step, times it and says so where somebody watches. A panic in it
// comes back as an error that names the step.
func (n *night) do(name string, work func() error) error {
	if n.call.interactive && !n.call.quiet && !n.call.logs(n.config) {
		fmt.Fprintf(n.call.err, "%s ...\n", name)
	}
	start := n.call.now()
	err := caught(stageNamed("while "+name), work)
	took := n.call.now().Sub(start).Seconds()
	n.steps = append(n.steps, step{name, took})
	if err == nil {
		n.said.Debug("step done", "step", name, "seconds", took)
	}
	return err
}

// checkInput looks for the exports folder before any work is done.
func (n *night) checkInput() error {
	folder := n.config.Path(n.config.Exports.Folder)
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return settings.Fail(settings.NoInput, "the exports folder %s is not there\nmount it, or mend exports.folder in the configuration", folder)
	case err != nil:
		return settings.Fail(settings.NoInput, "cannot read the exports folder: %w", err)
	case len(entries) == 0:
		return settings.Fail(settings.NoInput, "the exports folder %s holds no export\nthe last list stays", folder)
	}
	return nil
}

// openOutput opens the folders the night writes in and clears what a broken
// night left there.
func (n *night) openOutput() (err error) {
	store := n.config.Path(n.config.Output.Warehouse)
	if n.disk, err = publish.OpenDisk(n.lists, filepath.Dir(store), n.config.Output.GroupReadable); err != nil {
		return err
	}
	n.disk.Traced = n.traced
	if err := queries.Remove(n.newPath()); err != nil {
		return fmt.Errorf("cannot clear what a broken night left: %w", err)
	}
	probe := filepath.Base(n.newPath()) // found now, before any work
	return n.disk.Probe(probe)
}

// newWarehouse opens an empty warehouse beside the one in use.
func (n *night) newWarehouse(ctx context.Context) error {
	o := warehouseOptions()
	o.Settings = n.config.ListsDigest()
	w, err := queries.Create(ctx, n.newPath(), o)
	n.warehouse = w
	return err
}

// warehouseOptions are the same for all that open the warehouse.
func warehouseOptions() queries.Options {
	return queries.Options{Threads: runtime.GOMAXPROCS(0), Version: version()}
}

func (n *night) newPath() string { return n.config.Path(n.config.Output.Warehouse) + ".new" }

// dropWarehouse closes and removes a warehouse that was not put in use.
func (n *night) dropWarehouse() {
	if n.warehouse != nil {
		n.warehouse.Close()
		n.warehouse = nil
	}
	queries.Remove(n.newPath())
}

// closeWarehouse closes the new warehouse, opens it once more as a reader would,
// which compares its row counts, and sets its mode.
func (n *night) closeWarehouse(ctx context.Context) error {
	err := n.warehouse.Close()
	n.warehouse = nil
	if err != nil {
		return fmt.Errorf("cannot close the warehouse: %w", err)
	}
	w, err := queries.Open(ctx, n.newPath(), warehouseOptions())
	if err != nil {
		return fmt.Errorf("the new warehouse does not read back: %w\nis there space left in %s?", err, filepath.Dir(n.newPath()))
	}
	if err := w.Close(); err != nil {
		return err
	}
	return n.disk.Store().Chmod(filepath.Base(n.newPath()), n.disk.FileMode())
}

// useWarehouse puts the new warehouse in the place of the old.
func (n *night) useWarehouse(ctx context.Context) error {
	if err := n.closeWarehouse(ctx); err != nil {
		return err
	}
	return n.disk.UseWarehouse(n.storeName())
}

// storeName is the name of the warehouse in its folder.
func (n *night) storeName() string { return filepath.Base(n.config.Output.Warehouse) }

// read reads the exports into the warehouse and brings them into relation.
func (n *night) read(ctx context.Context) error {
	if _, err := n.config.Layouts(); err != nil {
		return err
	}
	var previous []ingest.Previous
	if n.last != nil {
		for _, f := range n.last.Inputs {
			previous = append(previous, ingest.Previous{Name: f.Name, Digest: f.Digest, Outcome: f.Outcome})
		}
	}
	result, err := ingest.Read(ctx, n.warehouse, ingest.Options{
		Folder: n.config.Path(n.config.Exports.Folder), Layouts: n.config.Path(n.config.Exports.Layouts),
		AsOf: n.asOf, Now: n.call.now(), Settle: time.Duration(n.config.Exports.Settle * float64(time.Second)), Previous: previous, Targets: n.config.IngestTargets(), Technician: n.alias, Limits: n.config.IngestLimits(),
	})
	if errors.Is(err, ingest.ErrTooMany) {
		return settings.Fail(settings.Refused, "input refused, the last list stays: %w", err)
	}
	if err != nil {
		return err
	}
	n.seen = map[string]ingest.File{}
	for _, f := range result.Files {
		if f.ToMend || f.Unread != nil {
			n.seen[f.Name] = f
		}
	}
	return n.warehouse.Build(ctx, n.asOf)
}

// takeInputs notes what became of each file.
func (n *night) takeInputs(ctx context.Context) error {
	files, err := n.warehouse.Files(ctx)
	if err != nil {
		return err
	}
	n.inputs = append(n.inputs, inputRecords(files)...)
	for i := range n.inputs {
		r := &n.inputs[i]
		r.ToMend = n.seen[r.Name].ToMend
		for _, u := range n.seen[r.Name].Unread {
			r.Unread = append(r.Unread, unreadRecord(u))
		}
		r.Ignored = !r.ours() && n.config.IsIgnored(r.Name)
	}
	n.aside, err = n.warehouse.SetAside(ctx)
	return err
}

// inputRecords are files as a record of a night holds them.
func inputRecords(files []queries.File) (all []inputRecord) {
	for _, f := range files {
		r := inputRecord{Name: f.Name, Bytes: f.Bytes, Digest: f.Digest, Layout: f.Layout, Record: f.Record, Source: f.Source, Outcome: f.Outcome, Reason: f.Reason, Message: f.Message,
			Lines: f.Lines, Header: f.Header, Blank: f.Blank, Skipped: f.Skipped, Records: f.Accepted + f.Superseded + f.Duplicate + f.Doubtful + f.SetAside, Readings: f.Readings, WithoutGas: f.WithoutGas, SetAside: f.SetAside,
			Accepted: f.Accepted, Superseded: f.Superseded, Duplicate: f.Duplicate, Doubtful: f.Doubtful}
		if f.ExportDay != judge.NoDay {
			r.ExportDay = settings.DayText(f.ExportDay)
		}
		all = append(all, r)
	}
	return all
}

// guard ends a night that must not replace the last list.
func (n *night) guard(ctx context.Context) error {
	ours := 0
	for _, f := range n.inputs {
		if f.ours() {
			ours++
		}
	}
	if ours == 0 {
		return settings.Fail(settings.NoInput, "no file in %s fits a layout of %s\nsee: fluedrift help", n.config.Path(n.config.Exports.Folder), n.config.Path(n.config.Exports.Layouts))
	}
	n.notes = append(n.notes, n.clockNotes()...)
	if err := n.settle(n.clockBehind()); err != nil {
		return err
	}
	if err := n.settle(guardInputs(n.config, n.inputs, n.last)); err != nil {
		return err
	}
	if err := n.guardShrunk(); err != nil {
		return err
	}
	n.notes = append(n.notes, silentSources(n.config, n.inputs, n.asOf)...)
	if err := n.guardRhythm(ctx); err != nil {
		return err
	}
	if err := n.guardSerials(ctx); err != nil {
		return err
	}
	checks, err := n.warehouse.Checks(ctx)
	if err != nil {
		return err
	}
	return n.settle(guardChecks(checks))
}

// guardRhythm notes the sources that have written nothing for too long.
func (n *night) guardRhythm(ctx context.Context) error {
	days, err := n.warehouse.RecordDays(ctx)
	if err != nil {
		return err
	}
	n.silent = silentOn(n.config, days, n.asOf)
	for _, s := range n.silent {
		n.notes = append(n.notes, s.note(n.asOf))
	}
	return nil
}

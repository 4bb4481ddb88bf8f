// Package night is one run from the exports to a publication: its steps, the guards
// that keep a good list from being replaced by a bad one, its record (run.json), its
// metrics and its log.
//
// The steps in order: look for input; make files private, take the locks, open the
// output; clear what a broken night left; read the publications before; open a new
// warehouse; read the exports into it; guard what was read; judge, forecast and
// order the units; guard the lists; write them to a stage and put stage and
// warehouse in place. Whatever stops it before, the last publication and the
// warehouse in use stay as they were.
//
// A guard finds faults; a fault refuses the night (settings.Refused) unless
// guards.tolerate names its guard, and then, as all there is to look at, ends it
// with settings.Look after publishing. How a night ended is the condition of its
// error: this package knows no flag, and no exit code but as a number to write into
// record and metrics.
package night

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

// A Night is one run from exports to a publication. Its steps stand in order in
// nightly.go; what it finds on the way is kept here.
type Night struct {
	Options
	Config *settings.Config
	lists  string
	began  time.Time

	last         *Record   // newest publication, for the guards
	recent       []*Record // those of the last guards.shrink_days, the newest first
	back         *LookBack // newest look back older than the as-of day
	before       *Record   // newest with an earlier as-of day, for what changed
	inputs       []Input
	readings     int64 // that stand, of all units
	calibrations int   // on record
	fits         []Fit
	notes        []string
	medians      []watch.ColumnMedian // of the columns of readings
	let          []string             // found by a guard that is tolerated: of the record alone
	aside        []queries.SetAside   // lines that wait for a person
	steps        []step
	silent       []silence
	seen         map[string]ingest.File   // exports of which the warehouse does not keep all that was seen
	mended       mend.Returned            // set aside, with a mended line in their place
	alias        func(code string) string // pseudonym of a technician code; nil: the code itself

	disk      *publish.Disk
	warehouse *queries.Warehouse
	swapping  sync.Mutex // held while the publication is put in place
	published bool
}

// step is one part of a night with the time it took.
type step struct {
	name    string
	seconds float64
}

// Options are what a caller asks of a night.
type Options struct {
	AsOf     int32
	ByClock  bool                                 // the day is the clock's, which may be wrong
	Beside   bool                                 // the lists of another day, beside the newest: latest and the warehouse stay
	Version  string                               // of the program
	Now      func() time.Time                     // the clock, for what is timed
	Log      *slog.Logger                         // steps at debug level, what could not be done as warnings
	Progress func(step string)                    // is told of each step before it begins; nil: nobody watches
	Exit     func(ctx context.Context, err error) // ends the process where a step does not heed a signal; nil: the step is waited for
	Trace    func(publish.Op)                     // sees every change to the output before it is made; nil but in tests
}

// New makes a night of a configuration.
func New(cfg *settings.Config, o Options) (n *Night, err error) {
	n = &Night{Options: o, Config: cfg, lists: cfg.Path(cfg.Output.Lists), began: o.Now()}
	n.alias, err = cfg.Pseudonyms()
	return n, err
}

// do runs one step, times it and says so where somebody watches. A panic in it
// comes back as an error that names the step.
func (n *Night) do(name string, work func() error) error {
	if n.Progress != nil {
		n.Progress(name)
	}
	start := n.Now()
	err := Caught(At("while "+name), work)
	took := n.Now().Sub(start).Seconds()
	n.steps = append(n.steps, step{name, took})
	if err == nil {
		n.Log.Debug("step done", "step", name, "seconds", took)
	}
	return err
}

// checkInput looks for the exports folder before any work is done.
func (n *Night) checkInput() error {
	folder := n.Config.Path(n.Config.Exports.Folder)
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
func (n *Night) openOutput() (err error) {
	store := n.Config.Path(n.Config.Output.Warehouse)
	if n.disk, err = publish.OpenDisk(n.lists, filepath.Dir(store), n.Config.Output.GroupReadable); err != nil {
		return err
	}
	n.disk.Traced = n.Trace
	if err := queries.Remove(n.newPath()); err != nil {
		return fmt.Errorf("cannot clear what a broken night left: %w", err)
	}
	probe := filepath.Base(n.newPath()) // found now, before any work
	return n.disk.Probe(probe)
}

// newWarehouse opens an empty warehouse beside the one in use.
func (n *Night) newWarehouse(ctx context.Context) error {
	o := n.warehouseOptions()
	o.Settings = n.Config.ListsDigest()
	w, err := queries.Create(ctx, n.newPath(), o)
	n.warehouse = w
	return err
}

func (n *Night) warehouseOptions() queries.Options { return WarehouseOptions(n.Version) }

// WarehouseOptions are the same for all that open the warehouse.
func WarehouseOptions(version string) queries.Options {
	return queries.Options{Threads: runtime.GOMAXPROCS(0), Version: version}
}

func (n *Night) newPath() string { return n.Config.Path(n.Config.Output.Warehouse) + ".new" }

// dropWarehouse closes and removes a warehouse that was not put in use.
func (n *Night) dropWarehouse() {
	if n.warehouse != nil {
		n.warehouse.Close()
		n.warehouse = nil
	}
	queries.Remove(n.newPath())
}

// closeWarehouse closes the new warehouse, opens it once more as a reader would,
// which compares its row counts, and sets its mode.
func (n *Night) closeWarehouse(ctx context.Context) error {
	err := n.warehouse.Close()
	n.warehouse = nil
	if err != nil {
		return fmt.Errorf("cannot close the warehouse: %w", err)
	}
	w, err := queries.Open(ctx, n.newPath(), n.warehouseOptions())
	if err != nil {
		return fmt.Errorf("the new warehouse does not read back: %w\nis there space left in %s?", err, filepath.Dir(n.newPath()))
	}
	if err := w.Close(); err != nil {
		return err
	}
	return n.disk.Store().Chmod(filepath.Base(n.newPath()), n.disk.FileMode())
}

// useWarehouse puts the new warehouse in the place of the old.
func (n *Night) useWarehouse(ctx context.Context) error {
	if err := n.closeWarehouse(ctx); err != nil {
		return err
	}
	return n.disk.UseWarehouse(n.storeName())
}

// storeName is the name of the warehouse in its folder.
func (n *Night) storeName() string { return filepath.Base(n.Config.Output.Warehouse) }

// read reads the exports into the warehouse and brings them into relation.
func (n *Night) read(ctx context.Context) error {
	if _, err := n.Config.Layouts(); err != nil {
		return err
	}
	var previous []ingest.Previous
	if n.last != nil {
		for _, f := range n.last.Inputs {
			previous = append(previous, ingest.Previous{Name: f.Name, Digest: f.Digest, Outcome: f.Outcome})
		}
	}
	result, err := ingest.Read(ctx, n.warehouse, ingest.Options{
		Folder: n.Config.Path(n.Config.Exports.Folder), Layouts: n.Config.Path(n.Config.Exports.Layouts),
		AsOf: n.AsOf, Now: n.Now(), Settle: time.Duration(n.Config.Exports.Settle * float64(time.Second)), Previous: previous, Targets: n.Config.IngestTargets(), Technician: n.alias, Limits: n.Config.IngestLimits(),
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
	return n.warehouse.Build(ctx, n.AsOf)
}

// takeInputs notes what became of each file.
func (n *Night) takeInputs(ctx context.Context) error {
	files, err := n.warehouse.Files(ctx)
	if err != nil {
		return err
	}
	n.inputs = append(n.inputs, inputRecords(files)...)
	for i := range n.inputs {
		r := &n.inputs[i]
		r.ToMend = n.seen[r.Name].ToMend
		for _, u := range n.seen[r.Name].Unread {
			r.Unread = append(r.Unread, Unread(u))
		}
		r.Ignored = !r.ours() && n.Config.IsIgnored(r.Name)
	}
	n.aside, err = n.warehouse.SetAside(ctx)
	return err
}

// inputRecords are files as a record of a night holds them.
func inputRecords(files []queries.File) (all []Input) {
	for _, f := range files {
		r := Input{Name: f.Name, Bytes: f.Bytes, Digest: f.Digest, Layout: f.Layout, Record: f.Record, Source: f.Source, Outcome: f.Outcome, Reason: f.Reason, Message: f.Message,
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
func (n *Night) guard(ctx context.Context) error {
	ours := 0
	for _, f := range n.inputs {
		if f.ours() {
			ours++
		}
	}
	if ours == 0 {
		return settings.Fail(settings.NoInput, "no file in %s fits a layout of %s\nsee: fluedrift help", n.Config.Path(n.Config.Exports.Folder), n.Config.Path(n.Config.Exports.Layouts))
	}
	n.notes = append(n.notes, n.clockNotes()...)
	if err := n.settle(n.clockBehind()); err != nil {
		return err
	}
	if err := n.settle(guardInputs(n.Config, n.inputs, n.last)); err != nil {
		return err
	}
	if err := n.guardShrunk(); err != nil {
		return err
	}
	n.notes = append(n.notes, silentSources(n.Config, n.inputs, n.AsOf)...)
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
func (n *Night) guardRhythm(ctx context.Context) error {
	days, err := n.warehouse.RecordDays(ctx)
	if err != nil {
		return err
	}
	n.silent = silentOn(n.Config, days, n.AsOf)
	for _, s := range n.silent {
		n.notes = append(n.notes, s.note(n.AsOf))
	}
	return nil
}

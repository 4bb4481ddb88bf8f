package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"fluedrift/analysis"
	"fluedrift/ingest"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// A night is one run from exports to a publication. Its steps stand in order in
// nightly.go; what it finds on the way is kept here.
type night struct {
	call   *call
	config *config
	asOf   int32
	lists  string
	began  time.Time

	last   *runRecord // newest publication, for the guards
	before *runRecord // newest with an earlier as-of day, for what changed
	inputs []inputRecord
	notes  []string
	steps  []step

	warehouse *queries.Warehouse
}

// step is one part of a night with the time it took.
type step struct {
	name    string
	seconds float64
}

// newNight reads the configuration and the publications before.
func newNight(c *call) (*night, error) {
	cfg, err := readConfig(c.config)
	if err != nil {
		return nil, err
	}
	n := &night{call: c, config: cfg, lists: cfg.path(cfg.Output.Lists), began: c.now()}
	if n.asOf, err = asOfDay(c, cfg); err != nil {
		return nil, err
	}
	return n, nil
}

// asOfDay is the day asked for: the flag, else the configuration, else today.
func asOfDay(c *call, cfg *config) (int32, error) {
	if c.asOf != "" {
		return dayOf(c.asOf)
	}
	if !cfg.Plan.AsOf.IsZero() {
		return dayOf(cfg.Plan.AsOf.Format(time.DateOnly))
	}
	return c.today(), nil
}

// do runs one step, times it and says so where somebody watches.
func (n *night) do(name string, work func() error) error {
	if n.call.interactive && !n.call.quiet {
		fmt.Fprintf(n.call.err, "%s ...\n", name)
	}
	start := n.call.now()
	err := work()
	took := n.call.now().Sub(start).Seconds()
	n.steps = append(n.steps, step{name, took})
	if n.call.verbose && err == nil {
		fmt.Fprintf(n.call.err, "%s: %.2f s\n", name, took)
	}
	return err
}

// checkInput looks for the exports folder before any work is done.
func (n *night) checkInput() error {
	folder := n.config.path(n.config.Exports.Folder)
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fail(exitNoInput, "the exports folder %s is not there\nmount it, or mend exports.folder in the configuration", folder)
	case err != nil:
		return fail(exitNoInput, "cannot read the exports folder: %w", err)
	case len(entries) == 0:
		return fail(exitNoInput, "the exports folder %s holds no export\nthe last list stays", folder)
	}
	return nil
}

// newWarehouse opens an empty warehouse beside the one in use.
func (n *night) newWarehouse(ctx context.Context) error {
	path := n.newPath()
	for _, old := range []string{path, path + ".wal"} {
		if err := os.Remove(old); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("cannot clear what a broken night left: %w", err)
		}
	}
	w, err := queries.Create(ctx, path, warehouseOptions())
	n.warehouse = w
	return err
}

// warehouseOptions are the same for all that open the warehouse.
func warehouseOptions() queries.Options {
	return queries.Options{Threads: runtime.GOMAXPROCS(0), Version: version}
}

func (n *night) newPath() string { return n.config.path(n.config.Output.Warehouse) + ".new" }

// dropWarehouse closes and removes a warehouse that was not put in use.
func (n *night) dropWarehouse() {
	if n.warehouse != nil {
		n.warehouse.Close()
		n.warehouse = nil
	}
	os.Remove(n.newPath())
	os.Remove(n.newPath() + ".wal")
}

// useWarehouse closes the new warehouse and puts it in the place of the old.
func (n *night) useWarehouse() error {
	err := n.warehouse.Close()
	n.warehouse = nil
	if err != nil {
		return fmt.Errorf("cannot close the warehouse: %w", err)
	}
	if err := os.Rename(n.newPath(), n.config.path(n.config.Output.Warehouse)); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(n.newPath()))
}

// read reads the exports into the warehouse and brings them into relation.
func (n *night) read(ctx context.Context) error {
	var previous []ingest.Previous
	if n.last != nil {
		for _, f := range n.last.Inputs {
			previous = append(previous, ingest.Previous{Name: f.Name, Digest: f.Digest, Outcome: f.Outcome})
		}
	}
	_, err := ingest.Read(ctx, n.warehouse, ingest.Options{
		Folder: n.config.path(n.config.Exports.Folder), Layouts: n.config.path(n.config.Exports.Layouts),
		AsOf: n.asOf, RunDay: n.call.today(), Now: n.call.now(), Settle: time.Duration(n.config.Exports.Settle * float64(time.Second)), Previous: previous, Targets: n.config.ingestTargets(),
	})
	if err != nil {
		return err
	}
	return n.warehouse.Build(ctx, n.asOf)
}

// takeInputs notes what became of each file.
func (n *night) takeInputs(ctx context.Context) error {
	files, err := n.warehouse.Files(ctx)
	if err != nil {
		return err
	}
	for _, f := range files {
		r := inputRecord{Name: f.Name, Bytes: f.Bytes, Digest: f.Digest, Layout: f.Layout, Outcome: f.Outcome, Reason: f.Reason, Message: f.Message,
			Lines: f.Lines, Records: f.SetAside + f.Parsed, SetAside: f.SetAside,
			Accepted: f.Accepted, Superseded: f.Superseded, Duplicate: f.Duplicate, Doubtful: f.Doubtful}
		if f.ExportDay != judge.NoDay {
			r.ExportDay = dayText(f.ExportDay)
		}
		n.inputs = append(n.inputs, r)
	}
	return nil
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
		return fail(exitNoInput, "no file in %s fits a layout of %s\nsee: fluedrift help", n.config.path(n.config.Exports.Folder), n.config.path(n.config.Exports.Layouts))
	}
	notes, err := settle(n.config, guardInputs(n.config, n.inputs, n.last))
	n.notes = append(n.notes, notes...)
	if err != nil {
		return err
	}
	checks, err := n.warehouse.Checks(ctx)
	if err != nil {
		return err
	}
	for _, c := range checks {
		if c.Wrong > 0 {
			n.notes = append(n.notes, fmt.Sprintf("check %s: %d wrong: %s", c.Name, c.Wrong, firstThree(c.First)))
		}
	}
	return nil
}

// guardAge ends a night whose newest record is too old.
func (n *night) guardAge(histories []*judge.History) error {
	limit := n.config.Guards.MaxAgeDays
	if limit == 0 {
		return nil
	}
	newest := judge.NoDay
	for _, h := range histories {
		if k := len(h.Visits); k > 0 {
			newest = max(newest, h.Visits[k-1].Day)
		}
	}
	for _, f := range n.inputs {
		if d, err := dayOf(f.ExportDay); err == nil && f.Outcome == "read" && d <= n.asOf {
			newest = max(newest, d)
		}
	}
	if newest == judge.NoDay || n.asOf-newest > int32(limit) {
		return fail(exitNoInput, "the newest record is of %s, %d days before %s: more than guards.max_age_days = %d\nbring newer exports, or raise the limit",
			dayText(newest), n.asOf-newest, dayText(n.asOf), limit)
	}
	return nil
}

// histories reads every unit's history.
func (n *night) histories(ctx context.Context) ([]*judge.History, error) {
	var all []*judge.History
	err := analysis.Histories(ctx, n.warehouse, "", func(h *judge.History) error {
		all = append(all, h)
		return nil
	})
	return all, err
}

// digestOf is the SHA-256 of some bytes in hexadecimal.
func digestOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

package queries

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"fluedrift/model/day"

	_ "github.com/marcboeker/go-duckdb" // the driver "duckdb"
)

// Options of a session. The zero value is usable.
type Options struct {
	Threads  int    // number of threads, 0: one a core
	MemoryMB int    // memory the engine may take before it spills to TempDir, 0: 768
	TempDir  string // where it spills, "": beside the file
	NoSpill  bool   // what needs more memory fails
	Version  string // version of the program, stored by Build for a person to read
	Schema   string // of the tables, stored by Build and compared by Open; "": Schema()
	Settings string // digest of the settings it is built by, stored by Build: see Origin
}

// schema is the schema asked for.
func (o Options) schema() string {
	if o.Schema == "" {
		return Schema()
	}
	return o.Schema
}

// Warehouse is an open warehouse. It belongs to one goroutine. What it is asked
// for stands in its readers.
type Warehouse struct {
	*session
	Records // what was recorded of the fleet, put in relation
	Exports // the files that say so, and their lines that take no part
	Results // what was estimated of it
	Checker // whether it keeps its rules
	Questions

	asOf   day.Day
	origin Origin
	opts   Options
}

// Create makes a new warehouse with empty tables at path. A file of that name,
// or the log of one, is an error: see Remove.
func Create(ctx context.Context, path string, o Options) (*Warehouse, error) {
	for _, name := range []string{path, path + ".wal"} {
		if _, err := os.Lstat(name); err == nil {
			return nil, fmt.Errorf("create warehouse %q: %q exists already\nremove it first: a warehouse is made whole", path, name)
		}
	}
	w, err := open(ctx, path, o, "read_write")
	if err != nil {
		return nil, fmt.Errorf("create warehouse %q: %w", path, err)
	}
	if err := w.run(ctx, tableSteps()); err != nil {
		return nil, errors.Join(fmt.Errorf("create warehouse %q: %w", path, err), w.Close())
	}
	return w, nil
}

// Open opens a finished warehouse for reading. Several processes may do so at
// once. The errors are ErrMissing, ErrBusy, ErrOtherVersion, ErrIncomplete and
// ErrDamaged.
func Open(ctx context.Context, path string, o Options) (*Warehouse, error) {
	if err := readable(path); err != nil {
		return nil, fmt.Errorf("open warehouse %q: %w", path, err)
	}
	w, err := open(ctx, path, o, "read_only")
	if err != nil {
		if Damaged(err) {
			err = fmt.Errorf("%w: %w", ErrDamaged, err)
		}
		return nil, fmt.Errorf("open warehouse %q: %w", path, err)
	}
	if err := (verification{w}).verify(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("open warehouse %q: %w", path, err), w.Close())
	}
	return w, nil
}

// Remove takes away a warehouse file with its log and its spilled data. Names
// that do not exist are no error.
func Remove(path string) error {
	for _, name := range []string{path, path + ".wal"} {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("remove warehouse: %w", err)
		}
	}
	if err := os.RemoveAll(path + ".tmp"); err != nil {
		return fmt.Errorf("remove warehouse: %w", err)
	}
	return nil
}

// AsOf is the day the warehouse was built for, day.None before Build.
func (w *Warehouse) AsOf() day.Day { return w.asOf }

// Origin says whose a warehouse is.
type Origin struct {
	Settings    string // digest of the settings it was built by
	Publication string // the publication it was signed for, "": it was built for none
}

// Origin is what Open found. Other than the version and the row counts it is the
// caller's to compare.
func (w *Warehouse) Origin() Origin { return w.origin }

// Sign notes which publication a built warehouse goes with.
func (w *Warehouse) Sign(ctx context.Context, publication string) error {
	if _, err := w.conn.ExecContext(ctx, "update about.build set publication = ?", publication); err != nil {
		return fmt.Errorf("sign warehouse: %w", err)
	}
	w.origin.Publication = publication
	return nil
}

// readable looks at the file from outside: is it there, whole, and ours?
func readable(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return ErrMissing
	case err != nil:
		return err
	case info.IsDir():
		return fmt.Errorf("%w: it is a folder", ErrOtherVersion)
	}
	if _, err := os.Stat(path + ".wal"); err == nil {
		return fmt.Errorf("%w: its writing did not end, a log lies beside it", ErrIncomplete)
	}
	ours, err := madeByThisEngine(path)
	if err != nil {
		return err
	}
	if !ours {
		return fmt.Errorf("%w: it is no warehouse file of this version", ErrOtherVersion)
	}
	return nil
}

// dayText writes a day as the database reads it.
func dayText(d day.Day) string { return d.Time().Format(time.DateOnly) }

// open starts a session with a warehouse.
func open(ctx context.Context, path string, o Options, mode string) (*Warehouse, error) {
	s, err := openSession(ctx, path, o, mode)
	if err != nil {
		return nil, err
	}
	return &Warehouse{
		session: s, Records: Records{s}, Exports: Exports{s}, Results: Results{s}, Checker: Checker{s}, Questions: Questions{s},
		asOf: day.None, opts: o,
	}, nil
}

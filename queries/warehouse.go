package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	_ "github.com/marcboeker/go-duckdb" // the driver "duckdb"
)

// NoDay stands for a day that is not known.
const NoDay int32 = math.MinInt32

// Options of a session. The zero value is usable.
type Options struct {
	Threads  int    // number of threads, 0: one a core
	MemoryMB int    // memory the engine may take before it spills to TempDir, 0: 768
	TempDir  string // where it spills, "": beside the file
	Version  string // version of the program, stored by Build for a person to read
	Schema   string // of the tables, stored by Build and compared by Open; "": Schema()
	Settings string // digest of the settings it is built by, stored by Build: see Origin
}

// Warehouse is an open warehouse. It belongs to one goroutine.
type Warehouse struct {
	path   string
	asOf   int32
	origin Origin
	opts   Options
	db     *sql.DB
	conn   *sql.Conn
}

// openHere holds the files this process has open: the engine lets one process
// open a file twice and then loses data.
var openHere = struct {
	sync.Mutex
	paths map[string]bool
}{paths: map[string]bool{}}

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
	if err := w.verify(ctx); err != nil {
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

// AsOf is the day the warehouse was built for, NoDay before Build.
func (w *Warehouse) AsOf() int32 { return w.asOf }

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

// Close writes what is outstanding and gives the file back. After Close of a
// built warehouse the file stands alone, without a log beside it.
func (w *Warehouse) Close() error {
	if w.db == nil {
		return nil
	}
	err := errors.Join(w.conn.Close(), w.db.Close())
	w.db, w.conn = nil, nil
	openHere.Lock()
	delete(openHere.paths, w.path)
	openHere.Unlock()
	if err != nil {
		return fmt.Errorf("close warehouse %q: %w", w.path, err)
	}
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

// open starts a session with its settings and locks them.
func open(ctx context.Context, path string, o Options, mode string) (*Warehouse, error) {
	full, err := place(path)
	if err != nil {
		return nil, err
	}
	if err := claim(full); err != nil {
		return nil, err
	}
	w := &Warehouse{path: full, asOf: NoDay, opts: o}
	if err := w.connect(ctx, mode); err != nil {
		openHere.Lock()
		delete(openHere.paths, full)
		openHere.Unlock()
		if heldByAnother(err) {
			return nil, fmt.Errorf("%w by another process: %w", ErrBusy, err)
		}
		return nil, err
	}
	return w, nil
}

// claim notes that this process opens the file.
func claim(full string) error {
	openHere.Lock()
	defer openHere.Unlock()
	if openHere.paths[full] {
		return fmt.Errorf("%w: this process has it open already", ErrBusy)
	}
	openHere.paths[full] = true
	return nil
}

// place gives the absolute path, links resolved, and refuses the letters with
// which the driver would take a part of the name for settings.
func place(path string) (string, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	if folder, err := filepath.EvalSymlinks(filepath.Dir(full)); err == nil {
		full = filepath.Join(folder, filepath.Base(full))
	}
	if i := strings.IndexAny(full, "?#%\x00\n\r"); i >= 0 {
		return "", fmt.Errorf("the path holds the letter %q, which the database driver cannot take\nuse a path without ? # %% and line ends", full[i])
	}
	return full, nil
}

// schema is the schema asked for.
func (o Options) schema() string {
	if o.Schema == "" {
		return Schema()
	}
	return o.Schema
}

// settings the session starts with.
func (o Options) settings(path, mode string) url.Values {
	memory, temp := o.MemoryMB, o.TempDir
	if memory <= 0 {
		memory = 768
	}
	if temp == "" {
		temp = path + ".tmp"
	}
	v := url.Values{
		"access_mode":                  {mode},
		"memory_limit":                 {strconv.Itoa(memory) + "MiB"},
		"temp_directory":               {temp},
		"autoinstall_known_extensions": {"false"},
		"autoload_known_extensions":    {"false"},
		"allow_community_extensions":   {"false"},
		"allow_persistent_secrets":     {"false"},
		"default_null_order":           {"nulls_last"},
		"default_order":                {"asc"},
		"preserve_insertion_order":     {"true"},
	}
	if o.Threads > 0 {
		v.Set("threads", strconv.Itoa(o.Threads))
	}
	return v
}

// connect opens the file, pins one connection (variables and temporary tables
// belong to one) and shuts the outside world off.
func (w *Warehouse) connect(ctx context.Context, mode string) error {
	db, err := sql.Open("duckdb", w.path+"?"+w.opts.settings(w.path, mode).Encode())
	if err != nil {
		return err
	}
	conn, err := db.Conn(ctx)
	if err != nil {
		return errors.Join(err, db.Close())
	}
	for _, set := range []string{"set enable_external_access = false", "set lock_configuration = true"} {
		if _, err := conn.ExecContext(ctx, set); err != nil {
			return errors.Join(fmt.Errorf("%s: %w", set, err), conn.Close(), db.Close())
		}
	}
	w.db, w.conn = db, conn
	return nil
}

// dayText writes a day as the database reads it.
func dayText(day int32) string {
	return time.Unix(int64(day)*86400, 0).UTC().Format(time.DateOnly)
}

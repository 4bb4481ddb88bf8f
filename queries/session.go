package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
)

// session is an open session of the engine with one pinned connection: variables
// and temporary tables belong to one.
type session struct {
	path string // of the file, "" where it has none
	db   *sql.DB
	conn *sql.Conn
}

// openHere holds the files this process has open: the engine lets one process
// open a file twice and then loses data.
var openHere = struct {
	sync.Mutex
	paths map[string]bool
}{paths: map[string]bool{}}

// openSession starts a session with its settings and locks them.
func openSession(ctx context.Context, path string, o Options, mode string) (*session, error) {
	full, err := place(path)
	if err != nil {
		return nil, err
	}
	if err := claim(full); err != nil {
		return nil, err
	}
	s := &session{path: full}
	if err := s.connect(ctx, o, mode); err != nil {
		openHere.Lock()
		delete(openHere.paths, full)
		openHere.Unlock()
		if heldByAnother(err) {
			return nil, fmt.Errorf("%w by another process: %w", ErrBusy, err)
		}
		return nil, err
	}
	return s, nil
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
		return "", fmt.Errorf("the path holds the letter %q, which the database driver cannot take\nuse a path without ? # %% "+
			"and line ends", full[i])
	}
	return full, nil
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
	if o.NoSpill {
		temp = ""
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
func (s *session) connect(ctx context.Context, o Options, mode string) error {
	db, err := sql.Open("duckdb", s.path+"?"+o.settings(s.path, mode).Encode())
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
	s.db, s.conn = db, conn
	return nil
}

// Close writes what is outstanding and gives the file back. After Close of a
// built warehouse the file stands alone, without a log beside it.
func (s *session) Close() error {
	if s.db == nil {
		return nil
	}
	err := errors.Join(s.conn.Close(), s.db.Close())
	s.db, s.conn = nil, nil
	openHere.Lock()
	delete(openHere.paths, s.path)
	openHere.Unlock()
	if err != nil {
		return fmt.Errorf("close warehouse %q: %w", s.path, err)
	}
	return nil
}

// run executes files of statements in order.
func (s *session) run(ctx context.Context, list []step) error {
	for _, step := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		if _, err := s.conn.ExecContext(ctx, step.text); err != nil {
			return fmt.Errorf("%s: %w", step.name, err)
		}
	}
	return nil
}

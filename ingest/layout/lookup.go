package layout

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/ingest/parse"
)

// Lookup is a table that a person wrote, to look texts up in.
type Lookup struct {
	Names []string            // its columns but the first
	Rows  map[string][]string // folded text -> cells of those columns
}

// What becomes of a text that a table does not have.
const (
	UnknownKept    = "keep"
	UnknownMissing = "missing"
	UnknownWrong   = "wrong"
)

var unknowns = []string{UnknownKept, UnknownMissing, UnknownWrong}

// lookupBytes is how much a table may hold.
const lookupBytes = 16 << 20

func checkLookup(s *Step) error {
	switch {
	case !slices.Contains(unknowns, s.Unknown):
		return s.fault("unknown %q is not one of %s", s.Unknown, strings.Join(unknowns, ", "))
	case filepath.Base(s.Table) != s.Table || !strings.HasSuffix(s.Table, ".csv"):
		return s.fault("table %q: write the name of a .csv that lies beside the layout", s.Table)
	}
	return nil
}

// lookedUp are the columns that a table gives, none before it is read.
func lookedUp(s *Step) []string {
	if s.Found == nil {
		return nil
	}
	return s.Found.Names
}

// readTables reads the tables that the steps of a layout look things up in.
func readTables(l *Layout) error {
	read := false
	for i := range l.Steps {
		s := &l.Steps[i]
		if s.Do != LookupIn {
			continue
		}
		at := filepath.Join(filepath.Dir(l.Path), s.Table)
		found, err := readLookup(at)
		if err == nil && s.Unknown == UnknownKept && len(found.Names) > 1 {
			err = fmt.Errorf("%s:1: unknown = %q is for a table of two columns: which one would keep the text?", at, UnknownKept)
		}
		if err != nil {
			return fmt.Errorf("%s:%d: step %s: %w", l.Path, s.Line, s.Do, err)
		}
		s.Found, read = found, true
	}
	if !read {
		return nil
	}
	err := checkMade(l)
	if p, ok := errors.AsType[*problem](err); ok {
		return fmt.Errorf("%s:%d: %w", l.Path, p.line, p.err)
	}
	return err
}

// readLookup reads a table. The error names file and line.
func readLookup(path string) (*Lookup, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("its table: %w", err)
	}
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, lookupBytes+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", path, err)
	case len(text) > lookupBytes:
		return nil, fmt.Errorf("%s: the table has more than %d MiB", path, lookupBytes>>20)
	case !utf8.Valid(text):
		return nil, fmt.Errorf("%s: the table is not UTF-8", path)
	}
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	t := &Lookup{Rows: map[string][]string{}}
	first := map[string]int{}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) && t.Names != nil {
			return t, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		for i := range cells {
			cells[i] = parse.Trim(cells[i])
		}
		line, _ := r.FieldPos(0)
		if t.Names == nil {
			if len(cells) < 2 || slices.Contains(cells, "") {
				return nil, fmt.Errorf("%s:%d: the table needs a header of two columns or more", path, line)
			}
			t.Names = cells[1:]
			continue
		}
		key := parse.Fold(cells[0])
		if other, twice := t.Rows[key]; twice && !slices.Equal(other, cells[1:]) {
			return nil, fmt.Errorf("%s:%d: %q stands in line %d too, with other values", path, line, cells[0], first[key])
		} else if !twice {
			t.Rows[key], first[key] = cells[1:], line
		}
	}
}

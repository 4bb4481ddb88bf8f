package ingest

import (
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

// rowMap is a loaded row: texts of the columns that are not null.
type rowMap map[string]string

// fakeWarehouse keeps what is loaded.
type fakeWarehouse map[string][]rowMap

func (w fakeWarehouse) Load(_ context.Context, name string, rec arrow.Record) error {
	for i := range int(rec.NumRows()) {
		row := rowMap{}
		for c := range int(rec.NumCols()) {
			col := rec.Column(c)
			if col.IsNull(i) {
				continue
			}
			text := col.ValueStr(i)
			if s, ok := col.(*array.String); ok {
				text = s.Value(i)
			}
			row[rec.ColumnName(c)] = text
		}
		w[name] = append(w[name], row)
	}
	return nil
}

// Discard takes back the rows of a file, in every table but that of files.
func (w fakeWarehouse) Discard(_ context.Context, file int32) error {
	for name := range w {
		if name != "source.files" {
			w[name] = slices.DeleteFunc(w[name], func(row rowMap) bool { return row["file_key"] == fmt.Sprint(file) })
		}
	}
	return nil
}

// loads is a warehouse of which only the loading matters.
type loads func(ctx context.Context, table string, rec arrow.Record) error

func (l loads) Load(ctx context.Context, table string, rec arrow.Record) error {
	return l(ctx, table, rec)
}

func (l loads) Discard(context.Context, int32) error { return nil }

// folder makes an exports and a layouts folder from file texts; names that end
// in .toml are layouts.
func folder(t *testing.T, files map[string]string) Options {
	t.Helper()
	dir := t.TempDir()
	o := Options{Folder: filepath.Join(dir, "exports"), Layouts: filepath.Join(dir, "layouts"), AsOf: day.None}
	for name, text := range files {
		at := filepath.Join(o.Folder, name)
		if strings.HasSuffix(name, ".toml") {
			at = filepath.Join(o.Layouts, name)
		}
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
	}
	require.NoError(t, os.MkdirAll(o.Folder, 0o755))
	return o
}

// readInto reads a folder into a fake warehouse.
func readInto(t *testing.T, o Options) (Result, fakeWarehouse) {
	t.Helper()
	w := fakeWarehouse{}
	r, err := read(context.Background(), w, o)
	require.NoError(t, err)
	for _, f := range r.Files {
		if f.Outcome == WasRead {
			require.Equal(t, f.Lines, f.Header+f.Blank+f.Skipped+f.SetAside+f.Parsed+f.Joined, f.Name)
		}
	}
	return r, w
}

// show writes the given columns of a row as "a=1 b=2"; absent ones are left out.
func (r rowMap) show(columns ...string) string {
	if len(columns) == 0 {
		columns = slices.Sorted(maps.Keys(r))
	}
	var parts []string
	for _, c := range columns {
		if v, ok := r[c]; ok {
			parts = append(parts, fmt.Sprintf("%s=%s", c, v))
		}
	}
	return strings.Join(parts, " ")
}

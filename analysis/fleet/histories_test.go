package fleet_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/fleet"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/ingest"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// fromFiles reads the exports of a folder into a warehouse as known on a day.
func fromFiles(t *testing.T, dir string, asOf day.Day) *queries.Warehouse {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "w.duckdb")
	w, err := queries.Create(ctx, path, queries.Options{Threads: 2})
	require.NoError(t, err)
	_, err = ingest.Read(ctx, w, ingest.Options{
		Folder: filepath.Join(dir, "exports"), Layouts: filepath.Join(dir, "layouts"), AsOf: asOf,
	})
	require.NoError(t, err)
	require.NoError(t, w.Build(ctx, asOf))
	checks, err := w.Checks(ctx)
	require.NoError(t, err)
	for _, c := range checks {
		assert.Zero(t, c.Wrong, "%s: %v", c.Name, c.First)
	}
	t.Cleanup(func() { require.NoError(t, w.Close()) })
	return w
}

func historiesOf(t *testing.T, w *queries.Warehouse, serial string) []judge.History {
	var all []judge.History
	r, err := fleet.Load(context.Background(), w, serial)
	require.NoError(t, err)
	for _, h := range r.Histories {
		all = append(all, *h)
	}
	return all
}

// TestHistoriesOfAFleet compares what comes out of the files with what the
// fleet's own reader, which reads no file, says they hold.
func TestHistoriesOfAFleet(t *testing.T) {
	asOf := day.Of(2026, 3, 2)
	f := worlds.Demo(demo.Options{Units: 150, Years: 12, Seed: 3, AsOf: asOf, World: demo.Default()})
	dir := t.TempDir()
	require.NoError(t, f.Write(dir))
	w := fromFiles(t, dir, asOf)
	got, want := historiesOf(t, w, ""), f.Histories()
	require.Len(t, got, len(want))
	for i := range want {
		require.Equal(t, lines(want[i]), lines(got[i]), want[i].Unit.Serial)
	}
	one := historiesOf(t, w, want[7].Unit.Serial)
	require.Len(t, one, 1)
	require.Equal(t, lines(got[7]), lines(one[0]))
	require.Empty(t, historiesOf(t, w, "no such serial"))
}

// TestNothingIsKnownTooEarly builds the same exports as known on an earlier day,
// with and without the files exported after it. Later corrections, registers,
// calibrations and answers change nothing before they became known.
func TestNothingIsKnownTooEarly(t *testing.T) {
	asOf, early := day.Of(2026, 3, 2), day.Of(2024, 7, 1)
	dir := t.TempDir()
	require.NoError(t, worlds.Demo(demo.Options{Units: 150, Years: 12, Seed: 3, AsOf: asOf, World: demo.Default()}).Write(dir))
	all := fromFiles(t, dir, early)
	want := historiesOf(t, all, "")
	files, err := all.Files(context.Background())
	require.NoError(t, err)
	first := map[string]day.Day{}
	for _, f := range files {
		if day, ok := first[f.Record+f.Source]; !ok || f.ExportDay < day {
			first[f.Record+f.Source] = f.ExportDay
		}
	}
	gone := 0
	for _, f := range files {
		if f.ExportDay > early && f.ExportDay > first[f.Record+f.Source] {
			require.NoError(t, os.Remove(filepath.Join(dir, "exports", f.Name)))
			gone++
		}
	}
	require.Positive(t, gone, "the fleet has files of later days")
	got := historiesOf(t, fromFiles(t, dir, early), "")
	require.Len(t, got, len(want))
	for i := range want {
		require.Equal(t, lines(want[i]), lines(got[i]), want[i].Unit.Serial)
		for _, r := range got[i].Readings {
			require.LessOrEqual(t, r.Day, early)
		}
	}
}

// lines writes a history without its marks and places, a value a line.
func lines(h judge.History) []string {
	u := h.Unit
	u.Marks, u.Source = "", ""
	out := []string{"unit " + rounded(u)}
	for _, v := range h.Visits {
		v.Origin = ""
		out = append(out, "visit "+rounded(v))
	}
	for _, r := range h.Readings {
		r.Origin, r.Marks, r.Target.Origin = "", "", ""
		out = append(out, "reading "+rounded(r))
	}
	for _, v := range h.VentRuns {
		out = append(out, "run "+rounded(v))
	}
	for _, x := range h.Fuels {
		out = append(out, "fuel "+rounded(x))
	}
	for _, x := range h.Targets {
		x.Target.Origin = ""
		out = append(out, "target "+rounded(x))
	}
	for _, x := range h.Answers {
		out = append(out, "answer "+rounded(x))
	}
	return out
}

// rounded writes a struct with its numbers to five digits: conversions of units
// of measure may differ in the last ones.
func rounded(v any) string {
	x := reflect.New(reflect.TypeOf(v)).Elem()
	x.Set(reflect.ValueOf(v))
	roundFields(x)
	return fmt.Sprintf("%+v", x.Interface())
}

func roundFields(x reflect.Value) {
	for _, field := range x.Fields() {
		switch f := field; f.Kind() {
		case reflect.Struct:
			roundFields(f)
		case reflect.Float64:
			short, _ := strconv.ParseFloat(strconv.FormatFloat(f.Float(), 'g', 5, 64), 64)
			f.SetFloat(short + 0) // no minus zero
		}
	}
}

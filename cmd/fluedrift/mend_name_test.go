package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"fluedrift/ingest"
	"fluedrift/ingest/layout"
)

// A file to mend has a name of its own, whatever names its layout takes, and one
// that the layout takes; hidden characters of the export's name are written out.
func TestFileToMendHasANameOfItsOwn(t *testing.T) {
	day, err := dayOf("2025-03-03")
	require.NoError(t, err)
	for _, c := range []struct {
		names, export string
		want          string
		packed        bool
	}{
		{`["readings_*.csv"]`, "readings_2025-03-01.csv", "readings_2025-03-03_to-fix.csv", false},
		{`["readings_2025-03-01.csv"]`, "readings_2025-03-01.csv", "readings_2025-03-01_to-fix.csv", false},
		{`["depot_????-??-??.csv"]`, "north/depot_2025-03-01.csv", "depot_2025-03-03_to-fix.csv", false},
		{`["depot_????-??-??.csv"]`, "depot_2025-03-03.csv", "depot_2025-03-03_to-fix.csv", false},
		{`["depot.csv"]`, "depot.csv", "depot_to-fix.csv", false},
		{`["depot.csv.gz"]`, "depot.csv.gz", "depot_to-fix.csv.gz", true},
		{`["depot.csv"]`, "depot.csv.gz", "depot_to-fix.csv", false},
		{`["depot*.csv"]`, "depot_2025-03-03_to-fix.csv", "depot_2025-03-03_to-fix.csv", false}, // numbered, since an export has it
		{`["depot*"]`, "depot\u202e\x1b\xff.csv", "depot(U+202E)(U+001B)(FF)_to-fix.csv", false},
	} {
		dir := t.TempDir()
		text, err := os.ReadFile("testdata/small/layouts/readings.toml")
		require.NoError(t, err)
		write(t, filepath.Join(dir, "l.toml"), strings.Replace(string(text), `["readings_*.csv"]`, c.names, 1))
		all, err := layout.Load(dir)
		require.NoError(t, err)
		n := &night{asOf: day, inputs: []inputRecord{{Name: c.export}}}
		name, packed := n.mendName(all[0], c.export)
		require.Equal(t, c.want, name)
		require.Equal(t, c.packed, packed, c.export)
		require.Contains(t, name, ingest.MendMark)
		require.True(t, fits(all[0], name), "%s is not read by the layout of %s", name, c.export)
		var made []mend
		source := mendSource{taken: n.exportNames()}
		one := source.openMend(&made, name, []byte("head"))
		require.NotEqual(t, filepath.Base(c.export), one.name, "the export's own name")
		require.True(t, fits(all[0], one.name), one.name)
	}
}

// Names in the lists folder and every JSON file show what hides or steers in the
// names and texts of exports.
func TestHiddenCharactersAreWrittenOut(t *testing.T) {
	t.Parallel()
	dir := smallFolder(t)
	config := filepath.Join(dir, "fluedrift.toml")
	name := filepath.Join(dir, "exports", "readings_2025-03-01.csv")
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	hostile := "readings_2025-03-02\u202egnp\x1b[31m\u007f.csv"
	bad := strings.Replace(string(text), "\n", "\nC9,00\u202e417\u2066\U000e0041,2025-02-05,yearly,high,after,9.l,20,no\n", 1)
	write(t, filepath.Join(dir, "exports", hostile), bad)
	code, said := ran(t, "nightly", "-config", config)
	require.Equal(t, exitLook, code, said)
	folder := filepath.Join(dir, "lists", "latest")
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	mends := 0
	for _, e := range entries {
		require.NotContains(t, e.Name(), "\u202e")
		require.False(t, strings.ContainsFunc(e.Name(), steers), "%q", e.Name())
		if e.Name() == "readings_2025-03-03(U+202E)gnp(U+001B)[31m(U+007F)"+ingest.MendMark+".csv" {
			mends++
		}
		if filepath.Ext(e.Name()) != ".json" {
			continue
		}
		text, err := os.ReadFile(filepath.Join(folder, e.Name()))
		require.NoError(t, err)
		require.True(t, utf8.Valid(text))
		require.False(t, strings.ContainsFunc(string(text), steers), e.Name())
		if e.Name() == "records-to-fix.json" {
			require.Contains(t, string(text), `\u202e`)
			require.Contains(t, string(text), `\udb40\udc41`, "beyond the first plane")
		}
	}
	require.Equal(t, 1, mends)
	for _, format := range []string{"json", "text"} {
		require.False(t, strings.ContainsFunc(runCommand(t, 0, "inspect", "-config", config, "-format", format), steers), format)
	}
}

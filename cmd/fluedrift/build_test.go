package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A build stops after reading: no forecasts, no lists. What reads forecasts says what
// to run first, and what reads records works.
func TestBuildStopsAfterReading(t *testing.T) {
	t.Parallel()
	dir := smallFolder(t)
	config := filepath.Join(dir, "fluedrift.toml")
	require.Contains(t, runCommand(t, exitDone, "build", "-config", config), " units in "+filepath.Join(dir, "warehouse.duckdb"))
	require.NoFileExists(t, filepath.Join(dir, "lists", "latest"))
	require.Equal(t, "0", count(t, config, "result.fits"))
	require.NotEqual(t, "0", count(t, config, "joined.readings"))
	for _, reader := range readers[:3] {
		code, said := ran(t, append([]string{reader[0], "-config", config}, reader[1:]...)...)
		require.Equal(t, exitNoWarehouse, code, "%v: %s", reader, said)
		require.Contains(t, said, "run nightly first\n")
		require.Equal(t, []string{"nightly", "-config", config}, remedyIn(t, said))
	}
	code, said := ran(t, "list", "-config", config)
	require.Equal(t, exitNoWarehouse, code, said)
	code, said = ran(t, "build", "-config", config) // once more, where still no night has published
	require.Equal(t, exitDone, code, said)
}

// count is how many rows a relation of the warehouse has.
func count(t *testing.T, config, relation string) string {
	t.Helper()
	text := runCommand(t, exitDone, "query", "-config", config, "-format", "csv", "-e", "select count(*) as n from "+relation)
	lines := bytes.Fields([]byte(text))
	return string(lines[len(lines)-1])
}

// A build takes no forecasts away: beside a published list it writes only where it is
// told to, and nowhere that is read or made by something else.
func TestBuildBesideAPublishedList(t *testing.T) {
	t.Parallel()
	dir := afterNight(t, smallNight)
	config, warehouse := filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "warehouse.duckdb")
	before, err := os.ReadFile(warehouse)
	require.NoError(t, err)
	unchanged := func() {
		t.Helper()
		after, err := os.ReadFile(warehouse)
		require.NoError(t, err)
		require.True(t, bytes.Equal(before, after), "the warehouse in use has changed")
		nothingTemporary(t, dir)
	}
	code, said := ran(t, "build", "-config", config)
	require.Equal(t, exitUsage, code, said)
	require.Contains(t, said, "name the file to build with -o FILE")
	unchanged()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("mine"), 0o600))
	for _, at := range []string{
		"exports/w.duckdb", "layouts/w.duckdb", "fluedrift.toml", "lists/latest", "warehouse.duckdb.new",
		"notes.txt",
	} {
		code, said = ran(t, "build", "-config", config, "-o", filepath.Join(dir, at))
		require.Equal(t, exitUsage, code, "%s: %s", at, said)
		unchanged()
	}
	other := filepath.Join(dir, "other.duckdb")
	code, said = ran(t, "build", "-config", config, "-o", other)
	require.Equal(t, exitDone, code, said)
	require.FileExists(t, other)
	unchanged()
	require.Contains(t, runCommand(t, exitDone, "unit", "-config", config, "00417"), "00417")

	code, said = ran(t, "build", "-config", config, "-o", warehouse)
	require.Equal(t, exitDone, code, said)
	code, said = ran(t, "unit", "-config", config, "00417")
	require.Equal(t, exitNoWarehouse, code, said)
	require.Contains(t, said, "run nightly first")
	require.NotEqual(t, "0", count(t, config, "joined.readings"))
}

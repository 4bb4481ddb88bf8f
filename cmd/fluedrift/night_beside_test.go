package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A night of another day than the configuration's writes its edition and leaves
// latest and the warehouse alone, but with -publish, and but where latest shows
// that very day.
func TestNightOfAnotherDayGoesBesideTheNewest(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	config := filepath.Join(dir, "fluedrift.toml")
	withOutput(t, config, `metrics = "night.prom"`)
	latest := func() string {
		to, err := os.Readlink(filepath.Join(dir, "lists", "latest"))
		require.NoError(t, err)
		return to
	}
	warehouse, err := os.ReadFile(filepath.Join(dir, "warehouse.duckdb"))
	require.NoError(t, err)
	same := func(want bool) {
		now, err := os.ReadFile(filepath.Join(dir, "warehouse.duckdb"))
		require.NoError(t, err)
		require.Equal(t, want, bytes.Equal(warehouse, now))
	}

	require.Contains(t, runCommand(t, 0, "nightly", "-config", config, "-as-of", "2025-03-02"),
		"latest and the warehouse stay as they are: -publish moves them")
	require.Equal(t, "2025-03-03", latest())
	same(true)
	require.Contains(t, runCommand(t, 0, "list", "-config", config, "-as-of", "2025-03-02"), "As of 2 Mar 2025")
	require.Contains(t, runCommand(t, 0, "list", "-config", config), "As of 3 Mar 2025")
	runCommand(t, 0, "unit", "-config", config, "00417")
	text, err := os.ReadFile(filepath.Join(dir, "night.prom"))
	require.NoError(t, err)
	require.Contains(t, string(text), "fluedrift_night_published 0\n")
	nothingTemporary(t, dir)

	code, said := ran(t, "unit", "-config", config, "-as-of", "2025-03-02", "00417")
	require.Equal(t, exitNoWarehouse, code)
	if long() {
		mends(t, said, []string{"unit", "-as-of", "2025-03-02", "00417"}, config)
		runCommand(t, 0, "nightly", "-config", config)
	}

	runCommand(t, 0, "nightly", "-config", config, "-as-of", "2025-03-02", "-publish")
	require.Equal(t, "2025-03-02", latest())
	same(false)
	runCommand(t, 0, "unit", "-config", config, "00417")

	if !long() {
		return
	}
	// A repeat of the day that latest shows takes its place, with its warehouse.
	runCommand(t, 0, "nightly", "-config", config, "-as-of", "2025-03-02")
	require.Equal(t, "2025-03-02", latest())
	runCommand(t, 0, "unit", "-config", config, "00417")
	runCommand(t, 0, "nightly", "-config", config)
	require.Equal(t, "2025-03-03", latest())

	// The flag that names the configuration's own day is no other day.
	runCommand(t, 0, "nightly", "-config", config, "-as-of", "2025-03-03")
	require.Equal(t, "2025-03-03", latest())
	require.FileExists(t, filepath.Join(dir, "lists", "2025-03-03.3", "run.json"))
}

// The first list of all is the newest, whatever its day: there is none beside which it
// could go.
func TestTheFirstListIsTheNewest(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := t.TempDir()
	require.NoError(t, copyTree("testdata/small", dir))
	config := filepath.Join(dir, "fluedrift.toml")
	runCommand(t, 0, "nightly", "-config", config, "-as-of", "2025-03-02")
	require.Contains(t, runCommand(t, 0, "list", "-config", config), "As of 2 Mar 2025")
	runCommand(t, 0, "unit", "-config", config, "00417")
}

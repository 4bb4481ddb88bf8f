//go:build linux

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// within runs a night under a bound of its own, and under a hard limit of the system on
// what the process may hold.
func within(t *testing.T, config string, boundMB, hardMB int) *exec.Cmd {
	t.Helper()
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	bound := fmt.Sprintf("[guards]\nmax_memory_mb = %d\n", boundMB)
	require.NoError(t, os.WriteFile(config, []byte(strings.Replace(string(text), "[guards]\n", bound, 1)), 0o600))
	self, err := exec.LookPath("fluedrift")
	require.NoError(t, err)
	c := exec.Command("sh", "-c", fmt.Sprintf(`ulimit -d %d; exec "$0" nightly -config "$1"`, hardMB<<10), self, config)
	c.Env = append(os.Environ(), "GOMAXPROCS=1", "GOGC=100")
	return c
}

// A bound on memory changes no list: a night under a hard limit of the system, with the
// key a little below it, publishes what a night without either does.
func TestABoundOnMemoryChangesNoList(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	ref := reference(t)
	dir := fastDir(t)
	nightProcess(t, 0, within(t, thirtyUnits(t, dir), 384, 448))
	got, err := readPublished(dir)
	require.NoError(t, err)
	for name, want := range ref.files {
		if name != "run.json" { // which holds the digest of the configuration
			require.Equal(t, want, got[name], name)
		}
	}
}

// A night that needs more than its bound ends before the system ends it, says so with the
// key to raise, and leaves nothing of its own.
func TestTooLittleMemoryIsSaid(t *testing.T) {
	t.Parallel()
	dir := fastDir(t)
	said := nightProcess(t, 1, within(t, thirtyUnits(t, dir), 64, 448))
	require.Contains(t, said, "memory is not enough: ")
	require.Contains(t, said, "guards.max_memory_mb is 64")
	require.Contains(t, said, "the last list stays")
	require.NotContains(t, said, "goroutine", "no crash")
	for _, name := range []string{"lists/latest", "warehouse.duckdb", "warehouse.duckdb.new"} {
		require.NoFileExists(t, filepath.Join(dir, name))
	}
}

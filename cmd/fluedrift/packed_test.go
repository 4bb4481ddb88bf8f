package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Packed lists say what lists that are not packed say: commands that print them, and the
// night after, which compares itself with them. Where publications may take no more
// than a megabyte, the oldest go, and those before the last two are gone.
func TestPackedListsAndLittleRoom(t *testing.T) {
	aWholeNight(t)
	listed := map[string]map[string]string{}
	for _, over := range []string{"0", "1"} {
		dir := t.TempDir()
		require.NoError(t, copyTree("testdata/small", dir))
		config := filepath.Join(dir, "fluedrift.toml")
		withOutput(t, config, "pack_json_over = "+over+"\nkeep_mb = 1")
		for _, day := range []string{"2025-03-02", "2025-03-03", "2025-03-04", "2025-03-05"} {
			runCommand(t, 0, "nightly", "-config", config, "-as-of", day, "-publish")
		}
		latest := filepath.Join(dir, "lists", "latest")
		_, err := os.Stat(filepath.Join(latest, "watchlist.json.gz"))
		require.Equal(t, over == "0", os.IsNotExist(err), "packed: %v", err)
		_, err = os.Stat(filepath.Join(latest, "watchlist.json"))
		require.Equal(t, over == "1", os.IsNotExist(err), "not packed: %v", err)
		listed[over] = map[string]string{}
		for _, name := range []string{"watchlist", "changed"} {
			listed[over][name] = runCommand(t, 0, "list", "-config", config, "-format", "json", name)
		}
		listed[over]["unit"] = runCommand(t, 0, "unit", "-config", config, "00417")
		require.Contains(t, listed[over]["unit"], "Rank ")
		require.FileExists(t, filepath.Join(dir, "lists", "2025-03-04", "run.json"), "the one that the newest is compared with")
		require.NoDirExists(t, filepath.Join(dir, "lists", "2025-03-02.1"))
		require.NoFileExists(t, filepath.Join(dir, "lists", "2025-03-02"))
	}
	require.Equal(t, listed["0"], listed["1"])
}

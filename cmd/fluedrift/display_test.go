package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// People read the units of the register's layout, or those of [display]; programs read
// the same bytes whatever is displayed.
func TestUnitsOfTheReader(t *testing.T) {
	dir := afterNight(t, smallNight)
	config := filepath.Join(dir, "fluedrift.toml")
	text := func() string { return runCommand(t, exitDone, "unit", "-config", config, "00417") }
	program := func() (all []string) {
		for _, format := range []string{"csv", "json"} {
			all = append(all, runCommand(t, exitDone, "unit", "-config", config, "-format", format, "00417"),
				runCommand(t, exitDone, "list", "-config", config, "-format", format, "startup-gaps"))
		}
		return all
	}
	require.Contains(t, text(), "Vent run: 24 ft straight.", "the register has feet")
	feet := program()
	before := latestFiles(t, dir)

	own, err := os.ReadFile(config)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(config, append(own, "\n[display]\nunits = \"metric\"\n"...), 0o600))
	require.Contains(t, text(), "Vent run: 7.3 m straight.", "as soon as it is asked for")
	require.Equal(t, feet, program())

	aWholeNight(t) // what it publishes
	runNight(t, config)
	require.Equal(t, feet, program())
	now := latestFiles(t, dir)
	require.Contains(t, now["lists.html"], "7.3 m straight")
	require.Contains(t, before["lists.html"], "24 ft straight")
	compared := 0
	for name := range now {
		if ext := filepath.Ext(name); (ext == ".csv" || ext == ".json") && name != "run.json" {
			require.Equal(t, before[name], now[name], name)
			compared++
		}
	}
	require.Greater(t, compared, 18)
}

// latestFiles are the files of the newest publication.
func latestFiles(t *testing.T, dir string) map[string]string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "lists", "latest", "*"))
	require.NoError(t, err)
	texts := map[string]string{}
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		texts[filepath.Base(f)] = string(text)
	}
	return texts
}

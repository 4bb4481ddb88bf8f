package main

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Where the day of an export is not known the as-of day bounds the days of its
// lines, never the machine's clock: other clocks, one list.
func TestClockBoundsNoDay(t *testing.T) {
	aWholeNight(t)
	var first map[string]string
	for i, clock := range []string{"2025-03-03", "2031-01-01", "2025-03-25"} {
		if i == 2 && !long() {
			break
		}
		dir := t.TempDir()
		require.NoError(t, copyTree("testdata/small", dir))
		change := func(name, old, new string) {
			path := filepath.Join(dir, name)
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Contains(t, string(text), old)
			require.NoError(t, os.WriteFile(path, []byte(strings.Replace(string(text), old, new, 1)), 0o644))
		}
		change("layouts/readings.toml", "from    = \"name\"\npattern = \"yyyy-mm-dd\"", "from = \"unknown\"")
		change("fluedrift.toml", "[plan]", "[guards]\nmax_set_aside = 0.5\nmax_file_set_aside = 0.5\n[plan]")
		change("exports/readings_2025-03-01.csv", "C3,31-7,2023-11-20,yearly,high",
			"C4,00418,2025-03-04,yearly,high,before,9.1,20,no\nC5,00417,2025-03-20,yearly,high,before,9.9,700,no\nC3,31-7,2023-11-20,yearly,high")
		day, err := time.Parse(time.DateOnly, clock)
		require.NoError(t, err)
		s := systemStreams()
		s.out, s.err, s.now = io.Discard, io.Discard, func() time.Time { return day.Add(12 * time.Hour) }
		code := run(context.Background(), []string{"nightly", "-config", filepath.Join(dir, "fluedrift.toml")}, s)
		require.Contains(t, []int{exitDone, exitLook}, code, clock)
		lists := map[string]string{}
		for _, name := range []string{"watchlist.csv", "records-to-fix.csv", "co.csv"} {
			text, err := os.ReadFile(filepath.Join(dir, "lists", "latest", name))
			require.NoError(t, err)
			lists[name] = string(text)
		}
		require.Contains(t, lists["records-to-fix.csv"], "is after 2025-03-04", clock)
		if first == nil {
			first = lists
		}
		require.Equal(t, first, lists, clock)
	}
}

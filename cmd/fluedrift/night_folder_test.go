//go:build linux

package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A file that grows while the night looks at it: n07.
func TestGrowingFile(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	text = bytes.Replace(text, []byte("settle_seconds = 0"), []byte("settle_seconds = 0.3"), 1)
	text = bytes.Replace(text, []byte("[guards]\n"), []byte("[guards]\ngroup_change_tolerated = 1\n"), 1) // half a file's readings move groups
	require.NoError(t, os.WriteFile(config, text, 0o644))
	name := filepath.Join(dir, "exports", "north_readings_2026-01-06.csv")
	whole, err := os.ReadFile(name)
	require.NoError(t, err)
	old := time.Now().Add(-time.Hour)
	require.NoError(t, filepath.WalkDir(filepath.Join(dir, "exports"), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Chtimes(path, old, old)
	}))
	grow := func() (stop func()) {
		require.NoError(t, os.WriteFile(name, whole[:len(whole)/2], 0o644))
		end, over := make(chan struct{}), make(chan struct{})
		go func() {
			defer close(over)
			f, _ := os.OpenFile(name, os.O_APPEND|os.O_WRONLY, 0)
			defer f.Close()
			for at := len(whole) / 2; at < len(whole)-1; at++ {
				select {
				case <-end:
					return
				case <-time.After(5 * time.Millisecond):
					f.Write(whole[at : at+1])
				}
			}
		}()
		return func() { close(end); <-over }
	}
	stop := grow()
	said := nightProcess(t, exitLook, process(config))
	stop()
	require.Contains(t, said, fmt.Sprintf("1 of %d files incomplete, read once whole: north_readings_2026-01-06.csv", suite(16, 18)))
	require.NoError(t, os.WriteFile(name, whole, 0o644))
	require.NoError(t, os.Chtimes(name, old, old))
	if long() {
		nightProcess(t, 0, process(config))
	} else { // what that night leaves
		require.NoError(t, os.RemoveAll(filepath.Join(dir, "lists")))
		require.NoError(t, reference(t).left.under("lists").write(dir))
	}
	samePublishedLists(t, reference(t).files, publishedFiles(t, dir))
	stop = grow()
	nightProcess(t, exitRefused, process(config))
	stop()
	samePublishedLists(t, reference(t).files, publishedFiles(t, dir))
	if !long() {
		return // a night on the whole file stands above
	}
	require.NoError(t, os.WriteFile(name, whole, 0o644))
	nightProcess(t, 0, process(config))
	samePublishedLists(t, reference(t).files, publishedFiles(t, dir))
}

// copiesUnderNewNames puts the same files again into the folder, some under new
// names: n08.
func copiesUnderNewNames(t *testing.T, dir string) {
	t.Helper()
	for _, name := range []string{"north_readings_2025-01-06.csv", "factory_tests_2026-01-20.csv"} {
		text, err := os.ReadFile(filepath.Join(dir, "exports", name))
		require.NoError(t, err)
		again := strings.Replace(name, ".csv", "_again.csv", 1)
		again = strings.Replace(again, "factory_tests_2026-01-20", "factory_tests_2026-01-20_z", 1)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "exports", again), text, 0o644))
	}
}

// A link to the folder's parent, a dangling link, a pipe, and a file that no
// layout is for are not read: the night says so, its one line too, unless they
// are named in exports.ignore. A folder called x.csv is looked into: n10. The same
// files under new names change no list.
func TestOddThingsInTheFolder(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	exports := filepath.Join(dir, "exports")
	require.NoError(t, os.Symlink("..", filepath.Join(exports, "up")))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(exports, "lost.csv")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(exports, "north_readings_2027-01-01.csv"), 0o644))
	require.NoError(t, os.Mkdir(filepath.Join(exports, "x.csv"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(exports, "x.csv", "letter.pdf"), []byte("a letter"), 0o644))
	c := process(config)
	var out bytes.Buffer
	c.Stdout = &out
	said := nightProcess(t, exitLook, c)
	for _, text := range []string{"4 entries of the exports folder are not read: lost.csv (a link that leads nowhere); " +
		"north_readings_2027-01-01.csv (a pipe, not a file); up (a link; put the file itself into the folder); and 1 more"} {
		require.Contains(t, said, text)
	}
	const lost = "what no layout is for (lost.csv, north_readings_2027-01-01.csv, up and 1 more)"
	require.Regexp(t, "^Not used: .*"+regexp.QuoteMeta(lost), out.String())
	got := publishedFiles(t, dir)
	require.Contains(t, got["watchlist.json"], lost)
	for _, reason := range []string{
		"a link; put the file itself into the folder", "a link that leads nowhere", "a pipe, not a file",
		"a folder with the name of a file", "no layout matches this file name",
	} {
		require.Contains(t, got["run.json"], reason)
	}
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	ignore := `ignore = ["up", "lost.*", "x.csv", "*2027*", "*.csv"]` // what a layout matches is read all the same
	require.NoError(t, os.WriteFile(config, bytes.Replace(text, []byte("settle_seconds"), []byte(ignore+"\nsettle_seconds"), 1), 0o644))
	copiesUnderNewNames(t, dir)
	nightProcess(t, 0, process(config))
	got = publishedFiles(t, dir)
	samePublishedLists(t, reference(t).files, got)
	require.Contains(t, got["run.json"], `the same bytes as \"north_readings_2025-01-06.csv\"`)
	require.Contains(t, got["run.json"], `the same bytes as \"factory_tests_2026-01-20.csv\"`)
}

// An empty folder never replaces a list: n04 (code11_no_input has the rest).
func TestEmptyFolderKeepsTheList(t *testing.T) {
	t.Parallel()
	dir := fastDir(t)
	require.NoError(t, reference(t).left.write(dir))
	config := filepath.Join(dir, "fluedrift.toml")
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "exports")))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "exports"), 0o755))
	said := nightProcess(t, exitNoInput, process(config))
	require.Contains(t, said, "holds no export")
	samePublished(t, reference(t).files, publishedFiles(t, dir), "after an empty night")
}

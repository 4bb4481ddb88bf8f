package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/datasets/demo"
	"fluedrift/queries"
)

// long says whether the long suite is asked for.
func long() bool { return os.Getenv("FLUEDRIFT_LONG") != "" }

// suite is how many of something a test tries: few in the normal suite, all in
// the long one.
func suite(few, all int) int {
	if long() {
		return all
	}
	return few
}

// onlyLong leaves a test, or a part of one, to the long suite.
func onlyLong(t testing.TB) {
	t.Helper()
	if !long() {
		t.Skip("in the long suite: FLUEDRIFT_LONG=1")
	}
}

// allNights says whether the whole nights are asked for that the normal suite leaves out.
func allNights() bool { return long() || os.Getenv("FLUEDRIFT_NIGHTS") != "" }

// aWholeNight leaves a test out of the normal suite, which plays the nights that
// show the most for their processor time. The others show the like at another
// place: .ci/run and the long suite play them all.
func aWholeNight(t testing.TB) {
	t.Helper()
	if !allNights() {
		t.Skip("a whole night more, in .ci/run and the long suite: FLUEDRIFT_NIGHTS=1")
	}
}

// fastDir is a fresh folder, in memory where the machine has one: these tests
// sync much and need no disk.
func fastDir(t testing.TB) string {
	dir, err := os.MkdirTemp("/dev/shm", "fluedrift-test-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

// thirty is a fleet of 30 units in 20 exports, made once; the normal suite makes
// do with 12.
var thirty = sync.OnceValues(func() (map[string][]byte, error) {
	dir, err := os.MkdirTemp("", "fluedrift-test-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	f := demo.New(demo.Options{Units: suite(12, 30), Years: 4, Seed: 5, AsOf: testAsOf, World: demo.Default()})
	if err := f.Write(dir); err != nil {
		return nil, err
	}
	files := map[string][]byte{}
	return files, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil || strings.HasPrefix(name, "truth") {
			return err
		}
		files[name], err = os.ReadFile(path)
		return err
	})
})

// thirtyUnits writes the fleet of 30 units into a folder and returns the
// configuration.
func thirtyUnits(t testing.TB, dir string) (config string) {
	config, err := writeThirty(dir)
	require.NoError(t, err)
	return config
}

func writeThirty(dir string) (config string, err error) {
	files, err := thirty()
	if err != nil {
		return "", err
	}
	for name, text := range files {
		path := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, text, 0o644)); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, "fluedrift.toml"), nil
}

// undisturbed runs nights of the 30 units for the days given ("": the
// configuration's) and returns what a reader finds, all that they left, and how
// long the last took.
func undisturbed(days ...string) (r undisturbedNights) {
	dir, err := os.MkdirTemp("/dev/shm", "fluedrift-test-")
	if err != nil {
		dir, err = os.MkdirTemp("", "fluedrift-test-")
	}
	if err != nil {
		return undisturbedNights{err: err}
	}
	defer os.RemoveAll(dir)
	config, err := writeThirty(dir)
	if err != nil {
		return undisturbedNights{err: err}
	}
	for _, day := range days {
		start := time.Now()
		if out, err := process(config, "-as-of", day, "-publish").CombinedOutput(); err != nil {
			return undisturbedNights{err: fmt.Errorf("%w: %s", err, out)}
		}
		r.took = time.Since(start)
	}
	if r.files, r.err = readPublished(dir); r.err == nil {
		r.left, r.err = readTree(dir)
	}
	return r
}

// process is a night in a process of its own, on one core in the normal suite:
// the tests run side by side.
func process(config string, args ...string) *exec.Cmd {
	c := exec.Command("fluedrift", append([]string{"nightly", "-config", config}, args...)...)
	if !long() {
		c.Env = append(os.Environ(), "GOMAXPROCS=1")
	}
	return c
}

// nightProcess runs one and holds its exit code; it returns the error stream.
func nightProcess(t testing.TB, want int, c *exec.Cmd) string {
	t.Helper()
	var errs bytes.Buffer
	c.Stderr = &errs
	err := c.Run()
	if want == 0 {
		require.NoError(t, err, errs.String())
		return errs.String()
	}
	var exit *exec.ExitError
	require.ErrorAs(t, err, &exit, errs.String())
	require.Equal(t, want, exit.ExitCode(), errs.String())
	return errs.String()
}

// nightHere runs one in this process and returns its code and error stream.
func nightHere(config string, now time.Time, args ...string) (code int, errs string) {
	var out, e bytes.Buffer
	s := quietStreams(&out, &e)
	s.now = func() time.Time { return now }
	code = run(context.Background(), append([]string{"nightly", "-config", config}, args...), s)
	return code, e.String()
}

// Noon of the as-of day where the machine stands, since that is the day a night takes.
var testNow = time.Date(2026, time.March, 2, 12, 0, 0, 0, time.Local)

// publishedFiles is what a reader finds under lists/latest: every file, run.json
// without its timing.
func publishedFiles(t testing.TB, dir string) map[string]string {
	t.Helper()
	all, err := readPublished(dir)
	require.NoError(t, err)
	return all
}

func readPublished(dir string) (map[string]string, error) {
	all := map[string]string{}
	latest := filepath.Join(dir, "lists", "latest")
	entries, err := os.ReadDir(latest)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(latest, e.Name()))
		if err != nil {
			return nil, err
		}
		if e.Name() == "run.json" {
			text = text[:bytes.Index(text, []byte(`"timing"`))]
		}
		all[e.Name()] = string(text)
	}
	return all, nil
}

// samePublished holds two publications equal and names the files that differ.
func samePublished(t testing.TB, want, got map[string]string, what string) {
	t.Helper()
	for name := range want {
		if want[name] != got[name] {
			require.Failf(t, "publications differ", "%s: %s differs", what, name)
		}
	}
	require.Len(t, got, len(want), what)
}

// nothingTemporary holds that a night left nothing behind but what it publishes
// and its locks.
func nothingTemporary(t testing.TB, dir string) {
	t.Helper()
	for _, folder := range []string{dir, filepath.Join(dir, "lists")} {
		entries, err := os.ReadDir(folder)
		require.NoError(t, err)
		for _, e := range entries {
			name := e.Name()
			if strings.HasPrefix(name, ".") && name != ".lock" || strings.Contains(name, ".new") || strings.HasSuffix(name, ".wal") ||
				strings.HasSuffix(name, ".tmp") {
				require.Failf(t, "left behind", "%s/%s", folder, name)
			}
		}
	}
}

// opens opens a warehouse as a reader does.
func opens(path string) error {
	w, err := queries.Open(context.Background(), path, night.WarehouseOptions(version()))
	if err != nil {
		return err
	}
	_, err = w.Units(context.Background(), "")
	return errors.Join(err, w.Close())
}

// wholePublication compares the lists of a publication with the digests in its run.json.
func wholePublication(root *os.Root, name string) error {
	r, err := publish.ReadRun(filepath.Join(root.Name(), name))
	if err != nil {
		return err
	}
	for _, l := range r.Lists {
		if err := publish.SameDigest(root, name, l.Name, l.Digest); err != nil {
			return err
		}
	}
	return nil
}

// wholeOrNone is what every reader must find at any moment: a publication that
// is whole, or, where none was made yet, none; and a warehouse that opens.
func wholeOrNone(dir string) error {
	root, err := os.OpenRoot(filepath.Join(dir, "lists"))
	if err != nil {
		return nil // no night came so far
	}
	defer root.Close()
	if _, err := root.Lstat("latest"); err == nil {
		if err := wholePublication(root, "latest"); err != nil {
			return fmt.Errorf("latest: %w", err)
		}
	}
	path := filepath.Join(dir, "warehouse.duckdb")
	if _, err := os.Stat(path); err == nil {
		if err := opens(path); err != nil {
			return fmt.Errorf("warehouse: %w", err)
		}
	}
	return nil
}

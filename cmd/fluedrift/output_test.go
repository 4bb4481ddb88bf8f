//go:build linux

package main

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"

	"github.com/stretchr/testify/require"
)

// smallFolder copies the small fleet into a folder of its own.
func smallFolder(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	require.NoError(t, copyTree("testdata/small", dir))
	return dir
}

// inspectInto inspects the small fleet with -o and returns the exit code and the
// error stream.
func inspectInto(dir, output string) (code int, said string) {
	var out, errs bytes.Buffer
	code = run(context.Background(), []string{"inspect", "-config", filepath.Join(dir, "fluedrift.toml"), "-o", output},
		quietStreams(&out, &errs))
	return code, errs.String()
}

// listInto prints the list of the small fleet with -o.
func listInto(dir, output string) (code int, said string) {
	var out, errs bytes.Buffer
	code = run(context.Background(), []string{"list", "-config", filepath.Join(dir, "fluedrift.toml"), "-o", output},
		quietStreams(&out, &errs))
	return code, errs.String()
}

// A character device is written to and stays what it is. It is made here, with
// the numbers of the null device: never is a device of the machine used.
func TestOutputOntoADevice(t *testing.T) {
	t.Parallel()
	dir := afterNight(t, smallNight)
	device := filepath.Join(t.TempDir(), "device")
	if err := syscall.Mknod(device, syscall.S_IFCHR|0o666, 1<<8|3); err != nil {
		t.Skipf("no right to make a device: %v", err)
	}
	if f, err := os.OpenFile(device, os.O_WRONLY, 0); err != nil {
		t.Skipf("devices do not work in the temporary folder: %v", err)
	} else {
		f.Close()
	}
	link := filepath.Join(t.TempDir(), "link")
	require.NoError(t, os.Symlink(device, link))
	for _, output := range []string{device, link} {
		code, said := listInto(dir, output)
		require.Zero(t, code, said)
		info, err := os.Stat(device)
		require.NoError(t, err)
		require.Equal(t, fs.ModeDevice|fs.ModeCharDevice, info.Mode().Type(), "the device was replaced")
		target, err := os.Readlink(link)
		require.NoError(t, err)
		require.Equal(t, device, target)
	}
}

// A named pipe is written to.
func TestOutputOntoAPipe(t *testing.T) {
	t.Parallel()
	dir := afterNight(t, smallNight)
	pipe := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	hold, err := os.OpenFile(pipe, os.O_RDWR, 0) // so that neither end waits for the other for ever
	require.NoError(t, err)
	defer hold.Close()
	code, said := listInto(dir, pipe)
	require.Zero(t, code, said)
	info, err := os.Lstat(pipe)
	require.NoError(t, err)
	require.Equal(t, fs.ModeNamedPipe, info.Mode().Type(), "the pipe was replaced")
	text := make([]byte, 64<<10)
	n, err := hold.Read(text)
	require.NoError(t, err)
	require.Contains(t, string(text[:n]), "00417")
}

// A socket of this machine is written to.
func TestOutputOntoASocket(t *testing.T) {
	t.Parallel()
	dir := afterNight(t, smallNight)
	socket := filepath.Join(t.TempDir(), "socket")
	listener, err := net.Listen("unix", socket)
	require.NoError(t, err)
	defer listener.Close()
	require.NoError(t, listener.(*net.UnixListener).SetDeadline(time.Now().Add(20*time.Second)))
	got := make(chan string, 1)
	go func() {
		from, err := listener.Accept()
		if err != nil {
			got <- err.Error()
			return
		}
		defer from.Close()
		text, _ := io.ReadAll(from)
		got <- string(text)
	}()
	code, said := listInto(dir, socket)
	require.Zero(t, code, said)
	require.Contains(t, <-got, "00417")
}

// Through a link the file it points to is replaced, with the rights it had, and
// the link stays; a link to nothing makes the file.
func TestOutputThroughALink(t *testing.T) {
	t.Parallel()
	dir, elsewhere := afterNight(t, smallNight), t.TempDir()
	target := filepath.Join(elsewhere, "findings.txt")
	link := filepath.Join(dir, "link.txt")
	require.NoError(t, os.Symlink(target, link))
	for _, before := range []string{"", "old"} {
		if before != "" {
			require.NoError(t, os.WriteFile(target, []byte(before), 0o640))
			require.NoError(t, os.Chmod(target, 0o640))
		}
		code, said := listInto(dir, link)
		require.Zero(t, code, said)
		to, err := os.Readlink(link)
		require.NoError(t, err, "the link was replaced")
		require.Equal(t, target, to)
		text, err := os.ReadFile(target)
		require.NoError(t, err)
		require.Contains(t, string(text), "00417")
	}
	info, err := os.Stat(target)
	require.NoError(t, err)
	require.Equal(t, fs.FileMode(0o640), info.Mode().Perm())
	entries, err := os.ReadDir(elsewhere)
	require.NoError(t, err)
	require.Len(t, entries, 1)
}

// /dev/stdout is the standard output: what a shell put there before stays, and
// the file it leads to is not replaced.
func TestOutputOntoStandardOutput(t *testing.T) {
	t.Parallel()
	dir := afterNight(t, smallNight)
	path := filepath.Join(t.TempDir(), "out.txt")
	f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY, 0o600)
	require.NoError(t, err)
	_, err = f.WriteString("before\n")
	require.NoError(t, err)
	for _, name := range []string{"/dev/stdout", "/proc/self/fd/1", "/dev/fd/1"} {
		c := exec.Command("fluedrift", "list", "-config", filepath.Join(dir, "fluedrift.toml"), "-o", name)
		var errs bytes.Buffer
		c.Stdout, c.Stderr = f, &errs
		require.NoError(t, c.Run(), errs.String())
	}
	require.NoError(t, f.Close())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(string(text), "before\n"), "%.80s", text)
	require.Equal(t, 3, strings.Count(string(text), "As of 3 Mar 2025"))
}

// No result is written over what the program reads, by whatever name it goes.
func TestOutputOntoAnInput(t *testing.T) {
	t.Parallel()
	dir := smallFolder(t)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "key"), []byte("0123456789abcdef"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "minutes.csv"), []byte("from,to,minutes\n"), 0o600))
	appendTo(t, filepath.Join(dir, "fluedrift.toml"), "[output]\npseudonym_key = \"key\"\n[crews]\nminutes_file = \"minutes.csv\"\n")
	require.NoError(t, os.Symlink("exports", filepath.Join(dir, "other-name")))
	require.NoError(t, os.Symlink("exports/readings_2025-03-01.csv", filepath.Join(dir, "link.csv")))
	require.NoError(t, os.Link(filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "hard.toml")))
	for output, says := range map[string]string{
		"exports/readings_2025-03-01.csv": "in the exports folder",
		"exports/new.csv":                 "in the exports folder",
		"other-name/new.csv":              "in the exports folder",
		"link.csv":                        "in the exports folder",
		"layouts/readings.toml":           "in the layouts folder",
		"fluedrift.toml":                  "is the configuration",
		"hard.toml":                       "is the configuration",
		"key":                             "is output.pseudonym_key",
		"minutes.csv":                     "is crews.minutes_file",
		"warehouse.duckdb":                "is output.warehouse",
		"lists/2025-03-03/watchlist.csv":  "publication",
		"lists/latest/run.json":           "publication",
	} {
		before := treeOf(t, dir)
		code, said := inspectInto(dir, filepath.Join(dir, output))
		require.Equal(t, exitUsage, code, "%s: %s", output, said)
		require.Contains(t, said, says, output)
		require.Equal(t, before, treeOf(t, dir), output)
	}
	// Nor over a file that was named to be looked at.
	other := filepath.Join(t.TempDir(), "other.csv")
	require.NoError(t, os.WriteFile(other, []byte("a,b\n1,2\n"), 0o600))
	var out, errs bytes.Buffer
	code := run(context.Background(), []string{"inspect", "-o", other, other}, quietStreams(&out, &errs))
	require.Equal(t, exitUsage, code, errs.String())
	text, err := os.ReadFile(other)
	require.NoError(t, err)
	require.Equal(t, "a,b\n1,2\n", string(text))
}

// appendTo adds a text to a file.
func appendTo(t *testing.T, path, text string) {
	t.Helper()
	f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = f.WriteString(text)
	require.NoError(t, err)
	require.NoError(t, f.Close())
}

// treeOf is every name below a folder with what stands there.
func treeOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		all[path] = d.Type().String()
		if d.Type().IsRegular() {
			text, err := os.ReadFile(path)
			all[path] = fmt.Sprintf("%x", text)
			return err
		}
		return nil
	}))
	return all
}

// Each of these configurations would write over something else, and says so
// before anything is written, the metrics of the failed night included.
func TestConfiguredOutputTouchesOnlyItself(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	for _, c := range []struct{ output, says string }{
		{`warehouse = "exports/readings_2025-03-01.csv"`, "output.warehouse: "},
		{`warehouse = "exports/warehouse.duckdb"`, "output.warehouse: "},
		{`warehouse = "layouts/w.duckdb"`, "output.warehouse: "},
		{`warehouse = "fluedrift.toml"`, "output.warehouse: "},
		{`warehouse = "notes.txt"`, "no warehouse of this program"},
		{`warehouse = "strange.duckdb"`, "no warehouse of this program"},
		{`lists = "exports"`, "output.lists: "},
		{`lists = "exports/lists"`, "output.lists: "},
		{`lists = "layouts"`, "output.lists: "},
		{`metrics = "exports/readings_2025-03-01.csv"`, "output.metrics: "},
		{`metrics = "exports/fluedrift.prom"`, "output.metrics: "},
		{`metrics = "layouts/readings.toml"`, "output.metrics: "},
		{`metrics = "fluedrift.toml"`, "output.metrics: "},
		{`metrics = "warehouse.duckdb"`, "output.metrics: "},
		{`metrics = "notes.txt"`, "no metrics of this program"},
	} {
		t.Run(c.output, func(t *testing.T) {
			dir := smallFolder(t)
			require.NoError(t, os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("mine"), 0o600))
			if strings.Contains(c.output, "strange") {
				strangeDatabase(t, filepath.Join(dir, "strange.duckdb"))
			}
			appendTo(t, filepath.Join(dir, "fluedrift.toml"), "[output]\n"+c.output+"\n")
			before := treeOf(t, dir)
			code, said := nightHere(filepath.Join(dir, "fluedrift.toml"), testNow)
			after := treeOf(t, dir)
			if strings.HasPrefix(c.says, "no metrics") {
				require.Equal(t, exitLook, code, said)
				require.Equal(t, before[filepath.Join(dir, "notes.txt")], after[filepath.Join(dir, "notes.txt")])
			} else {
				require.Equal(t, exitUsage, code, said)
				require.Equal(t, before, after)
			}
			require.Contains(t, said, c.says)
		})
	}
}

// strangeDatabase makes a file of the same engine that somebody else works with.
func strangeDatabase(t *testing.T, path string) {
	t.Helper()
	db, err := sql.Open("duckdb", path)
	require.NoError(t, err)
	_, err = db.Exec("create table mine as select 42 as answer")
	require.NoError(t, err)
	require.NoError(t, db.Close())
}

// Metrics go by the same rule: through a link, to a device, to a pipe that nobody
// reads (which holds no night up), and over a file of this program alone.
func TestMetricsGoByTheSameRule(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	text := []byte("# TYPE fluedrift_x gauge\nfluedrift_x 1\n")
	target, link := filepath.Join(dir, "there.prom"), filepath.Join(dir, "link.prom")
	require.NoError(t, os.Symlink(target, link))
	for range 2 {
		require.NoError(t, publish.SaveMetrics(new(settings.Config), link, text))
		info, err := os.Lstat(target)
		require.NoError(t, err)
		require.Equal(t, fs.FileMode(0o644), info.Mode(), "a plain file that all may read")
		_, err = os.Readlink(link)
		require.NoError(t, err, "the link was replaced")
	}
	pipe := filepath.Join(dir, "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	require.ErrorIs(t, publish.SaveMetrics(new(settings.Config), pipe, text), syscall.ENXIO)
	reader, err := os.OpenFile(pipe, os.O_RDWR, 0)
	require.NoError(t, err)
	defer reader.Close()
	require.NoError(t, publish.SaveMetrics(new(settings.Config), pipe, text))
	got := make([]byte, 100)
	n, err := reader.Read(got)
	require.NoError(t, err)
	require.Equal(t, string(text), string(got[:n]))
	info, err := os.Lstat(pipe)
	require.NoError(t, err)
	require.Equal(t, fs.ModeNamedPipe, info.Mode().Type())
	if device := filepath.Join(dir, "device"); syscall.Mknod(device, syscall.S_IFCHR|0o666, 1<<8|3) == nil {
		if err := publish.SaveMetrics(new(settings.Config), device, text); err == nil {
			info, err := os.Lstat(device)
			require.NoError(t, err)
			require.Equal(t, fs.ModeDevice|fs.ModeCharDevice, info.Mode().Type())
		}
	}
	// A configuration that is wrong still says where nothing may be written.
	small := smallFolder(t)
	appendTo(t, filepath.Join(small, "fluedrift.toml"), "[output]\nmetrics = \"exports/new.prom\"\nno_such_key = 1\n")
	code, said := nightHere(filepath.Join(small, "fluedrift.toml"), testNow)
	require.Equal(t, exitUsage, code)
	require.Contains(t, said, "lies in the exports folder")
	require.NoFileExists(t, filepath.Join(small, "exports", "new.prom"))
}

// Folders of results go by it too, and so does each file in them.
func TestResultFoldersGoByTheSameRule(t *testing.T) {
	t.Parallel()
	dir := smallFolder(t)
	c := &call{streams: quietStreams(io.Discard, io.Discard)}
	c.config, c.output, c.intoFolder = filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "exports"), true
	_, err := c.readConfig()
	require.Equal(t, exitUsage, codeOf(err))
	require.ErrorContains(t, err, "-o: ")
	c.output = dir
	cfg, err := c.readConfig()
	require.NoError(t, err)

	one := []publish.File{{Name: "report.html", Lines: 0, Write: func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }}}
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "lists", "days"), 0o755))
	folder := filepath.Join(dir, "lists", "days", "2025-03-03")
	require.NoError(t, os.Symlink(filepath.Join(dir, "exports"), folder))
	err = publish.WriteBeside(cfg, folder, one)
	require.Equal(t, exitUsage, codeOf(err))
	require.NoFileExists(t, filepath.Join(dir, "exports", "report.html"))

	elsewhere := t.TempDir()
	require.NoError(t, os.Symlink(filepath.Join(dir, "exports", "readings_2025-03-01.csv"), filepath.Join(elsewhere, "report.html")))
	err = publish.WriteBeside(cfg, elsewhere, one)
	require.Equal(t, exitUsage, codeOf(err))
	text, err := os.ReadFile(filepath.Join(dir, "exports", "readings_2025-03-01.csv"))
	require.NoError(t, err)
	require.NotEqual(t, "new", string(text))
}

// A warehouse of this program is replaced, whatever its version and state: one
// that was cut or damaged is known by the lock beside it. An input inside what a
// night clears up is refused.
func TestWarehouseOfThisProgramIsReplaced(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	config, warehouse := filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "warehouse.duckdb")
	whole, err := os.ReadFile(warehouse)
	require.NoError(t, err)
	for what, text := range map[string][]byte{"empty": nil, "cut": whole[:len(whole)/2], "no database": []byte("gone")} {
		if !long() {
			break // the night that finds a link finds it cut as well
		}
		require.NoError(t, os.WriteFile(warehouse, text, 0o600))
		code, said := nightHere(config, testNow)
		require.Zero(t, code, "%s: %s", what, said)
		require.NoError(t, wholeOrNone(dir))
	}
	moved := filepath.Join(dir, "elsewhere", "moved.duckdb")
	require.NoError(t, os.Mkdir(filepath.Dir(moved), 0o755))
	require.NoError(t, errors.Join(os.Rename(warehouse, moved), os.Rename(warehouse+".lock", moved+".lock")))
	require.NoError(t, os.Symlink(moved, warehouse))
	require.NoError(t, os.WriteFile(moved, whole[:len(whole)/2], 0o600))
	before, err := os.Stat(moved)
	require.NoError(t, err)
	code, said := nightHere(config, testNow)
	require.Zero(t, code, said)
	_, err = os.Readlink(warehouse)
	require.NoError(t, err, "the link was replaced")
	require.NoError(t, wholeOrNone(dir))
	after, err := os.Lstat(moved)
	require.NoError(t, err)
	require.False(t, os.SameFile(before, after))

	require.NoError(t, os.Rename(filepath.Join(dir, "exports"), filepath.Join(dir, "lists", "2024-01-01.1")))
	appendTo(t, config, "folder = \"lists/2024-01-01.1\"\n")
	code, said = nightHere(config, testNow)
	require.Equal(t, exitUsage, code)
	require.Contains(t, said, "the exports folder: ")
	require.Contains(t, said, "lies among the publications")
}

//go:build linux

package main

import (
	"bytes"
	"compress/gzip"
	"encoding/csv"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/queries"
)

// hostile are texts that mean something to a database, a page, a spreadsheet or
// a terminal.
var hostile = []string{
	`U'); drop table record.units; --`,
	`<script>alert(1)</script>`,
	`"><img src=x onerror=alert(1)>`,
	`=HYPERLINK("http://example.invalid","x")`,
	`+1+cmd`, `@SUM(1)`, `-2+3`,
	`{{.}} ${x} %s`,
}

// hostileFleet writes the small exports with hostile serials, sites, areas and
// a file name of the same kind.
func hostileFleet(t *testing.T) (dir string) {
	dir = fastDir(t)
	require.NoError(t, copyTree("testdata/small", dir))
	exports := filepath.Join(dir, "exports")
	units := readCSV(t, filepath.Join(exports, "boilers_2025-03-01.csv"))
	readings := readCSV(t, filepath.Join(exports, "readings_2025-03-01.csv"))
	for i, text := range hostile {
		unit := append([]string(nil), units[1]...)
		for j := range unit {
			if unit[j] == "00417" || regexp.MustCompile(`^(Place|Round)$`).MatchString(units[0][j]) {
				unit[j] = text
			}
		}
		units = append(units, unit)
		for _, line := range readings[1:3] {
			reading := append([]string(nil), line...)
			reading[0], reading[1] = fmt.Sprintf("X%d%s", i, text), text
			readings = append(readings, reading)
		}
	}
	broken := append([]string(nil), readings[1]...)
	broken[len(broken)-3] = "\x1b[31mred\u202e" // in a number: set aside, shown in records-to-fix
	readings = append(readings, broken)
	writeCSV(t, filepath.Join(exports, "boilers_2025-03-01.csv"), units)
	writeCSV(t, filepath.Join(exports, "readings_2025-03-01.csv"), readings)
	require.NoError(t, os.WriteFile(filepath.Join(exports, "readings_\x1b[2J<b>.csv"), []byte("no header\n"), 0o644))
	return dir
}

func readCSV(t *testing.T, path string) [][]string {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	all, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	require.NoError(t, err)
	return all
}

func writeCSV(t *testing.T, path string, rows [][]string) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	require.NoError(t, w.WriteAll(rows))
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
}

// Text of an export never becomes SQL, HTML, a formula or a terminal escape.
func TestHostileText(t *testing.T) {
	t.Parallel()
	dir := hostileFleet(t)
	config := filepath.Join(dir, "fluedrift.toml")
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(config, append(text, "\n[guards]\nmax_set_aside = 0.9\nmax_refused_share = 0.9\n"...), 0o644))
	code, errs := nightHere(config, testNow)
	require.Equal(t, exitLook, code, errs)

	t.Run("SQL", func(t *testing.T) {
		w := openBuilt(t, dir)
		units, err := w.Units(t.Context(), "")
		require.NoError(t, err)
		require.Len(t, units, 3+len(hostile))
		for _, serial := range hostile {
			one, err := w.Units(t.Context(), serial)
			require.NoError(t, err)
			require.Len(t, one, 1, serial)
			require.Equal(t, serial, one[0].Serial)
		}
		checks, err := w.Checks(t.Context())
		require.NoError(t, err)
		require.NotEmpty(t, checks)
		require.NoError(t, w.Close())
	})
	t.Run("HTML", func(t *testing.T) {
		pages := 0
		for name, text := range publishedFiles(t, dir) {
			if !strings.HasSuffix(name, ".html") {
				continue
			}
			pages++
			require.NotContains(t, text, "<script>alert", name)
			require.NotContains(t, text, "<img src=x", name)
			require.NotContains(t, text, "<b>.csv", name)
		}
		require.Positive(t, pages)
		page := runCommand(t, 0, "unit", "-config", config, "-format", "html", hostile[1])
		require.NotContains(t, page, "<script>alert")
		require.Contains(t, page, "alert(1)")
	})
	t.Run("formula", func(t *testing.T) {
		cells := 0
		for name, text := range publishedFiles(t, dir) {
			if !strings.HasSuffix(name, ".csv") {
				continue
			}
			rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
			require.NoError(t, err, name)
			for _, row := range rows {
				for _, cell := range row {
					cells++
					require.NotRegexp(t, `^\s*([=@\t\r]|[+-][^0-9.])`, cell, name)
				}
			}
		}
		require.Greater(t, cells, 100)
	})
	t.Run("terminal", func(t *testing.T) {
		steers := regexp.MustCompile("[\x00-\x08\x0b-\x1f\x7f\u0080-\u009f\u202a-\u202e\u2066-\u2069]")
		require.NotRegexp(t, steers, errs)
		require.Contains(t, errs, `\u001b[2J`)
		require.NotRegexp(t, steers, runCommand(t, 0, "list", "-config", config))
		require.NotRegexp(t, steers, runCommand(t, 0, "list", "-config", config, "records-to-fix"))
		require.NotRegexp(t, steers, runCommand(t, 0, "unit", "-config", config, hostile[0]))
		looked := runCommand(t, 0, "inspect", "-config", config)
		require.NotRegexp(t, steers, looked)
		require.Contains(t, looked, `readings_\u001b[2J<b>.csv: `)
	})
}

// With a key, no technician code is in the warehouse, in any list or in what a
// command prints; the same key gives the same pseudonyms.
func TestPseudonymsEverywhere(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	files, err := thirty()
	require.NoError(t, err)
	codes := map[string]bool{}
	for name, text := range files {
		if !strings.HasPrefix(name, "exports/north_readings") {
			continue
		}
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil {
			continue
		}
		for j, head := range rows[0] {
			if !strings.Contains(strings.ToLower(head), "tech") {
				continue
			}
			for _, row := range rows[1:] {
				if j < len(row) && len(row[j]) > 2 {
					codes[row[j]] = true
				}
			}
		}
	}
	require.NotEmpty(t, codes, "the exports name no technician")

	dir := fastDir(t)
	require.NoError(t, reference(t).left.write(dir))
	config := filepath.Join(dir, "fluedrift.toml")
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	require.NotEmpty(t, found(t, dir, codes), "without a key the codes are there: the search works")

	text = bytes.Replace(text, []byte("[output]\n"), []byte("[output]\nhabits_by_technician = true\npseudonym_key = \"key\"\n"), 1)
	require.NoError(t, os.WriteFile(config, text, 0o644))
	key := filepath.Join(dir, "key")
	require.NoError(t, os.WriteFile(key, []byte("short\n"), 0o600))
	code, errs := nightHere(config, testNow)
	require.Equal(t, exitUsage, code)
	require.Contains(t, errs, "at least 16 are needed")
	require.NoError(t, os.WriteFile(key, []byte("0123456789abcdef\n"), 0o600))
	require.NoError(t, os.Chmod(key, 0o644))
	code, errs = nightHere(config, testNow)
	require.Equal(t, exitUsage, code)
	require.Contains(t, errs, "everybody may read")
	require.NoError(t, os.Chmod(key, 0o600))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "lists")))
	code, errs = nightHere(config, testNow)
	require.Zero(t, code, errs)
	require.Empty(t, found(t, dir, codes))
	w := openBuilt(t, dir)
	seen := map[string]bool{}
	for v, err := range w.Visits(t.Context(), queries.Slice{From: 0, Until: 1 << 30}) {
		require.NoError(t, err)
		seen[v.Technician] = true
		require.False(t, codes[v.Technician])
	}
	require.NoError(t, w.Close())
	require.Greater(t, len(seen), 1)
	for one := range seen {
		require.Regexp(t, `^(T-[A-Z2-7]{10})?$`, one)
	}
	alias, err := mustConfig(t, config).Pseudonyms()
	require.NoError(t, err)
	for c := range codes {
		require.True(t, seen[alias(c)], "the pseudonym of %s", c)
	}
}

// found lists the codes that stand as words in any published file.
func found(t *testing.T, dir string, codes map[string]bool) (all []string) {
	for name, text := range publishedFiles(t, dir) {
		for c := range codes {
			if regexp.MustCompile(`\b` + regexp.QuoteMeta(c) + `\b`).MatchString(text) {
				all = append(all, name+": "+c)
			}
		}
	}
	return all
}

// Files and folders are private whatever the umask, or readable by the group
// where the configuration says so. TestSameBytesInAnySurroundings holds the first
// on a night of its own, the normal suite's too.
func TestModes(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	for _, m := range []struct {
		key          string
		file, folder fs.FileMode
	}{{"", 0o600, 0o700}, {"group_readable = true\n", 0o640, 0o750}} {
		if m.key == "" && !long() {
			continue
		}
		for _, umask := range []int{0, 0o22, 0o77} {
			dir := fastDir(t)
			require.NoError(t, copyTree("testdata/small", dir))
			config := filepath.Join(dir, "fluedrift.toml")
			text, err := os.ReadFile(config)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(config, append(text, "\n[output]\nmetrics = \"night.prom\"\n"+m.key...), 0o644))
			self, err := exec.LookPath("fluedrift")
			require.NoError(t, err)
			nightProcess(t, 0, exec.Command("sh", "-c", fmt.Sprintf(`umask %o; exec "$0" nightly -config "$1"`, umask), self, config))
			privateModes(t, dir, m.file, m.folder)
			info, err := os.Stat(filepath.Join(dir, "night.prom"))
			require.NoError(t, err)
			require.Equal(t, fs.FileMode(0o644), info.Mode().Perm(), "a collector of another user reads the metrics")
			if !long() {
				break
			}
		}
	}
}

// privateModes holds the files and folders that a night leaves to their modes.
func privateModes(t *testing.T, dir string, file, folder fs.FileMode) {
	t.Helper()
	for _, top := range []string{"warehouse.duckdb", "lists"} {
		require.NoError(t, filepath.WalkDir(filepath.Join(dir, top), func(path string, d fs.DirEntry, err error) error {
			require.NoError(t, err)
			info, err := d.Info()
			require.NoError(t, err)
			switch {
			case d.Type()&fs.ModeSymlink != 0 || d.Name() == ".lock":
			case d.IsDir():
				require.Equal(t, folder, info.Mode().Perm(), path)
			default:
				require.Equal(t, file, info.Mode().Perm(), path)
			}
			return nil
		}))
	}
}

// Each limit on sizes ends with its name and what to do.
func TestLimits(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	var bomb bytes.Buffer
	z := gzip.NewWriter(&bomb)
	head, err := os.ReadFile("testdata/small/exports/readings_2025-03-01.csv")
	require.NoError(t, err)
	first, _, _ := bytes.Cut(head, []byte("\n"))
	z.Write(append(first, '\n'))
	line := bytes.Repeat([]byte("C9,00417,2024-03-05,yearly,high,before,9.1,20,no\n"), 20000)
	for range 3 {
		z.Write(line)
	}
	require.NoError(t, z.Close())
	for _, limit := range []struct {
		name, keys, file string
		text             []byte
		code             int
		says             string
	}{
		{"number of files", "max_files = 2", "", nil, exitRefused, "holds 3 entries, more than 2"},
		{
			"bytes of a file", "max_file_mb = 1", "readings_2025-03-02.csv",
			append(append([]byte{}, first...), append([]byte("\n"), append(line[:len(line):len(line)],
				line...)...)...)[:1<<20+1], exitRefused, "too-large: the file has 1048577 bytes, more than 1048576",
		},
		{
			"unpacked bytes", "max_unpacked_mb = 1", "readings_2025-03-02.csv.gz", bomb.Bytes(), exitRefused,
			"too-large: the file unpacks to more than 1048576 bytes",
		},
		{"length of a line", "", "readings_2025-03-02.csv", append(append([]byte{}, first...),
			append([]byte("\n"), bytes.Repeat([]byte("x"), 17<<20)...)...), exitRefused, "line 2 is longer than 16777216 bytes"},
	} {
		t.Run(limit.name, func(t *testing.T) {
			dir := fastDir(t)
			require.NoError(t, copyTree("testdata/small", dir))
			config := filepath.Join(dir, "fluedrift.toml")
			text, err := os.ReadFile(config)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(config, bytes.Replace(text, []byte("[exports]\n"), []byte("[exports]\n"+limit.keys+"\n"), 1), 0o644))
			if limit.file != "" {
				require.NoError(t, os.WriteFile(filepath.Join(dir, "exports", limit.file), limit.text, 0o644))
			}
			code, errs := nightHere(config, testNow)
			require.Equal(t, limit.code, code, errs)
			require.Contains(t, errs, limit.says)
			require.NoError(t, wholeOrNone(dir))
			require.NoFileExists(t, filepath.Join(dir, "lists", "latest"))
		})
	}
}

// A night needs no network: it runs in a namespace that has none.
func TestNoNetwork(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	require.NoError(t, copyTree("testdata/small", dir))
	c := process(filepath.Join(dir, "fluedrift.toml"))
	c.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNET}
	var errs bytes.Buffer
	c.Stderr = &errs
	if err := c.Start(); err != nil {
		t.Skipf("no right to make a namespace: %v", err)
	}
	require.NoError(t, c.Wait(), errs.String())
}

package main

import (
	"archive/zip"
	"bytes"
	"cmp"
	"compress/gzip"
	"encoding/csv"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fluedrift/cmd/fluedrift/settings"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/unicode"
)

// mendKind is a kind of export: how its layout says so, and how the plain text
// of the small fleet's readings is written in it and read back.
type mendKind struct {
	name         string // of the file, before it is gone through
	layout       [2]string
	write        func(t *testing.T, text string) []byte
	read         func(t *testing.T, content []byte) string
	pseudonymous bool
	often        bool   // with FLUEDRIFT_NIGHTS too
	head         string // of the column of codes, where that is not Who
}

func mendKinds() map[string]mendKind {
	same := func(_ *testing.T, text string) []byte { return []byte(text) }
	back := func(_ *testing.T, content []byte) string { return string(content) }
	const plain = "readings_2025-03-01.csv"
	utf16 := func(e unicode.Endianness) (func(*testing.T, string) []byte, func(*testing.T, []byte) string) {
		return func(t *testing.T, text string) []byte {
				b, err := unicode.UTF16(e, unicode.UseBOM).NewEncoder().Bytes([]byte(text))
				require.NoError(t, err)
				return b
			}, func(t *testing.T, content []byte) string {
				b, err := unicode.UTF16(e, unicode.UseBOM).NewDecoder().Bytes(content)
				require.NoError(t, err)
				return string(b)
			}
	}
	little, littleBack := utf16(unicode.LittleEndian)
	big, bigBack := utf16(unicode.BigEndian)
	file := `type  = "csv"`
	return map[string]mendKind{
		"plain":         {plain, [2]string{file, file}, same, back, false, false, ""},
		"packed":        {plain + ".gz", [2]string{file, file}, packedBytes, back, false, false, ""},
		"packed only":   {plain + ".gz", [2]string{`"readings_*.csv"`, `"readings_*.csv.gz"`}, packedBytes, unpackedText, false, false, ""},
		"utf-16le":      {plain, [2]string{file, file + "\nencoding = \"utf-16le\""}, little, littleBack, false, false, ""},
		"utf-16be":      {plain, [2]string{file, file + "\nencoding = \"utf-16be\""}, big, bigBack, false, false, ""},
		"escape":        {plain, [2]string{file, file + "\nescape = \"\\\\\""}, escaped, back, false, false, ""},
		"lines skipped": {plain, [2]string{file, file + "\nskip_lines = [3]"}, skippedThird, back, false, false, ""},
		"workbook":      {"readings_2025-03-01.xlsx", [2]string{file, "type = \"xlsx\"\nsheet = 1"}, bookOf, textOf, false, false, ""},
		"pseudonyms":    {plain, [2]string{file, file}, withTechnicians, back, true, false, ""},
		"pseudonyms, workbook": {
			"readings_2025-03-01.xlsx",
			[2]string{file, "type = \"xlsx\"\nsheet = 1"},
			func(t *testing.T, text string) []byte { return bookOf(t, string(withTechnicians(t, text))) }, textOf, true, true, "",
		},
	}
}

func packedBytes(t *testing.T, text string) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err := z.Write([]byte(text))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	return b.Bytes()
}

func unpackedText(t *testing.T, content []byte) string {
	z, err := gzip.NewReader(bytes.NewReader(content))
	require.NoError(t, err)
	text, err := io.ReadAll(z)
	require.NoError(t, err)
	return string(text)
}

// escaped puts a call with an escaped quote mark and a delimiter before the
// others.
func escaped(_ *testing.T, text string) []byte {
	head, rest, _ := strings.Cut(text, "\n")
	return []byte(head + "\n" + `"C0 \" a, b",00417,2022-01-05,yearly,high,after,9.0,20,no` + "\n" + rest)
}

func skippedThird(_ *testing.T, text string) []byte {
	lines := strings.SplitAfter(text, "\n")
	return []byte(strings.Join(append(lines[:2:2], append([]string{"-- continued --\n"}, lines[2:]...)...), ""))
}

// withTechnicians adds a column of codes.
func withTechnicians(_ *testing.T, text string) []byte {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	for i := range lines {
		lines[i] += ",N07"
	}
	lines[0] = strings.Replace(lines[0], ",N07", ",Who", 1)
	return []byte(strings.Join(lines, "\n") + "\n")
}

// bookOf stores numbers as numbers, days as dates.
func bookOf(t *testing.T, text string) []byte {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	f := excelize.NewFile()
	form := "yyyy-mm-dd"
	days, err := f.NewStyle(&excelize.Style{CustomNumFmt: &form})
	require.NoError(t, err)
	for r, row := range rows {
		for c, v := range row {
			cell, err := excelize.CoordinatesToCellName(c+1, r+1)
			require.NoError(t, err)
			number, err := strconv.ParseFloat(v, 64)
			switch {
			case r > 0 && c == 2:
				day, err := settings.DayOf(v)
				require.NoError(t, err)
				// day 25569 of the system of 1900 is 1970-01-01, by the definition of both
				require.NoError(t, f.SetCellInt("Sheet1", cell, int64(day)+25569))
				require.NoError(t, f.SetCellStyle("Sheet1", cell, cell, days))
			case err == nil && c > 2:
				require.NoError(t, f.SetCellFloat("Sheet1", cell, number, -1, 64))
			default:
				require.NoError(t, f.SetCellStr("Sheet1", cell, v))
			}
		}
	}
	b, err := f.WriteToBuffer()
	require.NoError(t, err)
	return b.Bytes()
}

// textOf is what a workbook shows.
func textOf(t *testing.T, content []byte) string {
	f, err := excelize.OpenReader(bytes.NewReader(content))
	require.NoError(t, err)
	rows, err := f.GetRows("Sheet1")
	require.NoError(t, err)
	var b strings.Builder
	w := csv.NewWriter(&b)
	require.NoError(t, w.WriteAll(rows))
	return b.String()
}

// mendedBook corrects a cell of a workbook as a person would, in the file.
func mendedBook(t *testing.T, content []byte, wrong string, right float64) []byte {
	f, err := excelize.OpenReader(bytes.NewReader(content))
	require.NoError(t, err)
	at, err := f.SearchSheet("Sheet1", wrong)
	require.NoError(t, err)
	require.Len(t, at, 1)
	require.NoError(t, f.SetCellFloat("Sheet1", at[0], right, -1, 64))
	b, err := f.WriteToBuffer()
	require.NoError(t, err)
	return b.Bytes()
}

// A line set aside goes all the way round in every kind of export: it is offered
// in a file to mend, corrected there, put among the exports, read, and nobody is
// asked to look at it any more; the night before ends 10, the one after 0.
func TestMendedLinesGoRound(t *testing.T) {
	aWholeNight(t)
	for name, kind := range mendKinds() {
		t.Run(name, func(t *testing.T) {
			if !kind.often && os.Getenv("FLUEDRIFT_LONG") == "" {
				t.Skip("in the long suite: FLUEDRIFT_LONG=1; the kind that asks most goes round in .ci/run")
			}
			t.Parallel()
			dir := t.TempDir()
			require.NoError(t, copyTree("testdata/small", dir))
			config := filepath.Join(dir, "fluedrift.toml")
			kind.prepare(t, dir)
			runCommand(t, exitLook, "nightly", "-config", config)
			files, err := filepath.Glob(filepath.Join(dir, "lists", "latest", "readings_2025-03-03_to-fix.*"))
			require.NoError(t, err)
			require.Len(t, files, 1)
			content, err := os.ReadFile(files[0])
			require.NoError(t, err)
			text := kind.read(t, content)
			require.Contains(t, text, "9.l")
			require.Contains(t, text, "to fix")
			require.NotContains(t, text, "N07", "a code")
			fixed := []byte(nil)
			if strings.HasSuffix(files[0], ".xlsx") {
				fixed = mendedBook(t, content, "9.l", 9.1)
			} else {
				fixed = kind.back(t, strings.Replace(text, "9.l", "9.1", 1))
			}
			require.NoError(t, os.WriteFile(filepath.Join(dir, "exports", filepath.Base(files[0])), fixed, 0o600))
			runCommand(t, 0, "nightly", "-config", config, "-as-of", "2025-03-04", "-publish")
			require.Regexp(t, `2025-02-05,.*,9\.1,.*_to-fix`, runCommand(t, 0, "unit", "-config", config, "-format", "csv", "00417"))
			left := runCommand(t, 0, "list", "-config", config, "-format", "csv", "records-to-fix")
			require.NotContains(t, left, "9.l")
		})
	}
}

// A workbook that lacks a part which reading does without is mended like any other.
func TestWorkbookWithoutAPartIsMended(t *testing.T) {
	aWholeNight(t)
	dir := t.TempDir()
	require.NoError(t, copyTree("testdata/small", dir))
	kind := mendKinds()["workbook"]
	kind.write = func(t *testing.T, text string) []byte { return without(t, bookOf(t, text), "_rels/.rels") }
	kind.prepare(t, dir)
	config := filepath.Join(dir, "fluedrift.toml")
	runCommand(t, exitLook, "nightly", "-config", config)
	files, err := filepath.Glob(filepath.Join(dir, "lists", "latest", "*_to-fix.*"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	content, err := os.ReadFile(files[0])
	require.NoError(t, err)
	require.Contains(t, textOf(t, content), "9.l")
}

// without leaves a part out of a zip archive.
func without(t *testing.T, archive []byte, part string) []byte {
	from, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	require.NoError(t, err)
	var b bytes.Buffer
	to := zip.NewWriter(&b)
	for _, f := range from.File {
		if f.Name != part {
			require.NoError(t, to.Copy(f))
		}
	}
	require.NoError(t, to.Close())
	require.Less(t, b.Len(), len(archive))
	return b.Bytes()
}

// prepare writes the small fleet's readings, with a line that cannot be read, in
// a kind of export.
func (k mendKind) prepare(t *testing.T, dir string) {
	was := filepath.Join(dir, "exports", "readings_2025-03-01.csv")
	text, err := os.ReadFile(was)
	require.NoError(t, err)
	require.NoError(t, os.Remove(was))
	lines := string(text) + "C4,00417,2025-02-05,yearly,high,after,9.l,20,no\nC4,00417,2025-02-05,yearly,low,after,8.6,20,no\n"
	require.NoError(t, os.WriteFile(filepath.Join(dir, "exports", k.name), k.write(t, lines), 0o600))
	replace := func(name, old, with string) {
		path := filepath.Join(dir, name)
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Contains(t, string(text), old)
		require.NoError(t, os.WriteFile(path, []byte(strings.Replace(string(text), old, with, 1)), 0o600))
	}
	replace("layouts/readings.toml", k.layout[0], k.layout[1])
	if strings.HasSuffix(k.name, ".xlsx") {
		replace("layouts/readings.toml", `"readings_*.csv"`, `"readings_*.xlsx"`)
		replace("layouts/readings.toml", "dates = \"yyyy-mm-dd\"\n", "")
	}
	if k.pseudonymous {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "key"), []byte("0123456789abcdef0123"), 0o600))
		replace("layouts/readings.toml", "[[column]]", "[[column]]\nheader = \""+cmp.Or(k.head, "Who")+"\"\nfield = \"technician\"\n[[column]]")
		replace("fluedrift.toml", "[plan]", "[output]\npseudonym_key = \"key\"\n[plan]")
	}
}

// back writes a mended text in the kind's form: what the reader of it undoes.
func (k mendKind) back(t *testing.T, text string) []byte {
	switch {
	case strings.HasPrefix(k.layout[1], `"readings_*.csv.gz"`), strings.Contains(k.layout[1], "utf-16"):
		return k.write(t, text)
	}
	return []byte(text)
}

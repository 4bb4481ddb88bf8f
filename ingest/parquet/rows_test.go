package parquet

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/lines"
	"fluedrift/queries"
)

func TestMain(m *testing.M) {
	Serve()
	m.Run()
}

func unlimited(int64) error { return nil }

// openBytes opens a Parquet file of these bytes.
func openBytes(t *testing.T, whole []byte, count func(int64) error) (*Rows, error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "rows.parquet")
	require.NoError(t, os.WriteFile(path, whole, 0o600))
	file, err := os.Open(path)
	require.NoError(t, err)
	r, err := Open(t.Context(), file, int64(len(whole)), count)
	if err != nil {
		require.NoError(t, file.Close())
	}
	return r, err
}

// all reads a file to its end.
func all(t *testing.T, whole []byte) (rows []string, err error) {
	t.Helper()
	r, err := openBytes(t, whole, unlimited)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	for {
		l, err := r.Next()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return rows, err
		}
		rows = append(rows, strings.Clone(l.Text))
	}
}

func testdata(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	require.NoError(t, err)
	return b
}

// TestDamageThatEndsTheReader: these are checksums1 and checksums2 with one byte of a
// page changed and its checksum made to fit. Read in the same process and without
// a limit on memory, each of them ended it (SIGSEGV in the engine, six times of six).
func TestDamageThatEndsTheReader(t *testing.T) {
	paths, err := filepath.Glob("testdata/ends_reader_*.parquet")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		_, err := all(t, testdata(t, filepath.Base(path)))
		refusal, ok := errors.AsType[*lines.Refusal](err)
		require.True(t, ok, "%s: %v", path, err)
		assert.Equal(t, lines.NotText, refusal.Reason, path)
		assert.Contains(t, refusal.Message, "the Parquet file is damaged", path)
	}
}

// TestKilledReader: whatever ends the process in the middle of a file, the rows do
// not end as if they were all.
func TestKilledReader(t *testing.T) {
	r, err := openBytes(t, testdata(t, "checksums1.parquet"), unlimited)
	require.NoError(t, err)
	defer r.Close()
	require.NoError(t, r.child.Process.Kill())
	for err == nil {
		_, err = r.Next()
	}
	if errors.Is(err, io.EOF) {
		t.Skip("the process was faster than its end")
	}
	assert.ErrorContains(t, err, "which ended the process that read it")
}

// TestChecksums: pages with a checksum (files by another implementation, parquet-go
// v0.32.0, pages of version 1 and compressed, of version 2 and not) are compared
// with it: another letter in a page, which nothing else shows, gives no other rows.
func TestChecksums(t *testing.T) {
	for _, name := range []string{"checksums1.parquet", "checksums2.parquet"} {
		whole := testdata(t, name)
		sound, err := all(t, whole)
		require.NoError(t, err, name)
		require.Len(t, sound, 3, name)
		assert.True(t, strings.HasPrefix(sound[0], "Visit\tSerial"), sound[0])
		assert.True(t, strings.HasPrefix(sound[1], "A1\tBX-7\t2023-02-06"), sound[1])
		found := 0
		for at := range whole {
			if !bytes.HasPrefix(whole[at:], []byte("annual")) {
				continue
			}
			bad := bytes.Clone(whole)
			bad[at+1] ^= 0x02
			rows, err := all(t, bad)
			if err == nil { // in what the end says of pages
				assert.Equal(t, sound, rows, "%s: byte %d", name, at)
				continue
			}
			if strings.Contains(err.Error(), "its end says") { // the least and greatest values stand outside the pages
				continue
			}
			found++
			assert.ErrorContains(t, err, `of column "Why": its checksum does not fit its bytes`, "%s: byte %d", name, at)
		}
		assert.Positive(t, found, name)
	}
}

// TestFilesOfOthers: files by two other implementations, of most types, missing and
// least values among them, in three stretches of rows each: what their ends say is
// what is read (Arrow for Go v17.0.0, gzip, pages of version 2; parquet-go v0.32.0).
func TestFilesOfOthers(t *testing.T) {
	for name, want := range map[string]int{"stretches_arrow.parquet": 5, "stretches_parquet_go.parquet": 3} {
		rows, err := all(t, testdata(t, name))
		require.NoError(t, err, name)
		assert.Len(t, rows, 1+want, name)
	}
}

// TestWhatTheEndSays: a value of the pages beyond the greatest that the end tells
// refuses the file, with the lines and the column.
func TestWhatTheEndSays(t *testing.T) {
	chunk := queries.ParquetChunk{Column: "CO2", Rows: 2, Values: 2, Missing: 0, Least: "8.9", Greatest: "9.4"}
	for _, c := range []struct {
		cells []string
		says  string
	}{
		{[]string{"9.4", "8.9"}, ""},
		{[]string{"9.40", "8.9"}, ""},
		{[]string{"9.4", "89"}, `lines 2 to 3: the least value of column "CO2" is "9.4", and its end says "8.9"`},
		{[]string{"8.9", "9.8"}, `the greatest value of column "CO2" is "9.8", and its end says "9.4"`},
		{[]string{"8.9", "9.3"}, `the greatest value of column "CO2" is "9.3", and its end says "9.4"`},
		{[]string{"8.9", ""}, `1 values of column "CO2" are missing, and its end says 0`},
		{[]string{"8.9", "nan"}, ""}, // has no place in the order
		{[]string{"9.4"}, "its end says that it has 2 rows, and 1 can be read"},
	} {
		s := stretches{left: []queries.ParquetChunk{chunk}, columns: []tally{{name: "CO2", order: byNumber}}, line: 1, wanted: 2}
		var err error
		for _, cell := range c.cells {
			err = errors.Join(err, s.add([]string{cell}, []bool{cell == ""}))
		}
		err = errors.Join(err, s.end())
		if c.says == "" {
			assert.NoError(t, err, "%q", c.cells)
			continue
		}
		assert.ErrorContains(t, err, c.says, "%q", c.cells)
	}
}

// TestCutTexts: the bounds of long texts may be cut short, and are bounds then.
func TestCutTexts(t *testing.T) {
	for _, c := range []struct {
		cell, least, greatest string
		agrees                bool
	}{
		{"BX-7", "BX-7", "BX-7", true},
		{"BX-7", "BP-7", "BX-7", false},
		{"BX-7", "BX-7", "BX-8", false},
		{"BX-7 in the cellar of the mill", "BX-7 in the cell", "BX-7 in the celm", true},
		{"BX-7 in the cellar of the mill", "BX-7 in the cems", "BX-7 in the dell", false},
	} {
		one := tally{name: "Serial", order: byText}
		one.add(c.cell, false)
		err := one.agrees(queries.ParquetChunk{Least: c.least, Greatest: c.greatest, Missing: -1})
		assert.Equal(t, c.agrees, err == nil, "%q between %q and %q: %v", c.cell, c.least, c.greatest, err)
	}
}

// TestOrderOfValues: numbers, days and times as the engine writes them are in order.
func TestOrderOfValues(t *testing.T) {
	for _, texts := range [][]string{
		{"-inf", "-1e20", "-12.5", "-0.0", "0.001", "9.4", "12345678901234567890.123", "inf"},
		{
			"5050772-03-14 (BC)", "0044-03-15 (BC)", "0001-01-01", "1969-12-31", "2019-04-14", "2019-04-30", "2019-05-01",
			"2019-12-31", "2020-01-01", "12019-01-01",
		},
		{
			"0044-03-15 (BC) 23:59:59", "1969-12-31 23:59:59", "2019-04-14 00:00:00", "2019-04-14 00:00:00.5", "2019-04-14 07:30:00",
			"2019-04-14 07:30:01.25", "2019-04-15 00:00:00",
		},
		{"2019-04-14 07:30:00+00", "2019-04-14 07:30:00.000001+00", "2019-04-14 07:30:01+00"},
	} {
		for i := range texts[1:] {
			assert.Less(t, numberOf(texts[i]), numberOf(texts[i+1]), "%q, %q", texts[i], texts[i+1])
		}
	}
	for _, text := range []string{"nan", "", "two", "2019-04", "2019-04-14 07", "NULL"} {
		assert.True(t, math.IsNaN(numberOf(text)), text)
	}
}

// TestMoreRowsThanTold: rows are counted as they come too.
func TestMoreRowsThanTold(t *testing.T) {
	tooMany := errors.New("too many rows")
	asked := 0
	r, err := openBytes(t, testdata(t, "checksums1.parquet"), func(rows int64) error {
		if asked++; asked > 1 && rows > 1 {
			return tooMany
		}
		return nil
	})
	require.NoError(t, err)
	defer r.Close()
	for range 2 { // the names of the columns and a row
		_, err = r.Next()
		require.NoError(t, err)
	}
	_, err = r.Next()
	assert.ErrorIs(t, err, tooMany)
}

// TestCancelled: the end of a context is no damage.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	file, err := os.Open("testdata/checksums1.parquet")
	require.NoError(t, err)
	info, err := file.Stat()
	require.NoError(t, err)
	r, err := Open(ctx, file, info.Size(), unlimited)
	require.NoError(t, err)
	defer r.Close()
	cancel()
	for err == nil {
		_, err = r.Next()
	}
	if !errors.Is(err, io.EOF) {
		assert.ErrorIs(t, err, context.Canceled)
	}
}

// FuzzPages: no bytes make the reader of pages fail otherwise than with an error.
func FuzzPages(f *testing.F) {
	for _, name := range []string{"checksums1.parquet", "checksums2.parquet"} {
		whole, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(f, err)
		f.Add(whole[4:400])
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		p := newPages(bytes.NewReader(b), 0, int64(len(b)))
		for err := error(nil); err == nil; {
			_, err = p.page()
		}
	})
}

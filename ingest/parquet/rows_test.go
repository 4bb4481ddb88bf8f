package parquet

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/lines"
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
			if err == nil { // the least and greatest values stand outside the pages
				assert.Equal(t, sound, rows, "%s: byte %d", name, at)
				continue
			}
			found++
			assert.ErrorContains(t, err, `of column "Why": its checksum does not fit its bytes`, "%s: byte %d", name, at)
		}
		assert.Positive(t, found, name)
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
		for p.page() == nil {
		}
	})
}

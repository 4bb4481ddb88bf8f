package ingest

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/lines"
)

// TestArchive: the files of an archive are read as those of a folder, in whatever order
// they stand in it, workbooks and Parquet files too; nothing else of it is.
func TestArchive(t *testing.T) {
	book := filepath.Join(t.TempDir(), "book.xlsx")
	writeBook(t, book, false, bookCells())
	whole, err := os.ReadFile(book)
	require.NoError(t, err)
	files := [][2]string{
		{"2023/tests a.csv", readingsFile(goodRow)},
		{"tests b.csv.gz", zipped(t, readingsFile(goodRowWith("A1", "A2"), "x"))},
		{"2023/book.xlsx", string(whole)},
		{"__MACOSX/tests a.csv", "x"},
		{".tests.csv", "x"},
		{"2023/", ""},
		{"other.txt", "x"},
	}
	o := folder(t, map[string]string{"tests.toml": readingsLayout(nil), "book.toml": bookLayout, "year.zip": packedParts(t, files)})
	r, w := readInto(t, o)
	var got []string
	for _, f := range r.Files {
		got = append(got, f.Name+" "+f.Outcome)
		if f.Outcome == WasRead {
			assert.Equal(t, f.Lines, f.Header+f.Blank+f.Skipped+f.SetAside+f.Parsed, f.Name)
			assert.NotEmpty(t, f.Digest)
		}
	}
	assert.Equal(t, []string{
		"year.zip/2023/book.xlsx read", "year.zip/2023/tests a.csv read", "year.zip/other.txt not ours", "year.zip/tests b.csv.gz read",
	}, got)
	assert.Equal(t, int64(len(readingsFile(goodRow))), r.Files[1].Bytes)
	slices.Reverse(files)
	require.NoError(t, os.WriteFile(filepath.Join(o.Folder, "year.zip"), []byte(packedParts(t, files)), 0o600))
	_, again := readInto(t, o)
	assert.Equal(t, stored(w), stored(again))
}

// TestArchiveRefused: what is wrong with an archive, or with a file in it, is said of it
// and stops no other.
func TestArchiveRefused(t *testing.T) {
	good := packedParts(t, [][2]string{{"tests.csv", readingsFile(goodRow)}, {"tests 2.csv", readingsFile(goodRowWith("A1", "A2"))}})
	at := bytes.Index([]byte(good), []byte("PK\x01\x02"))
	locked := []byte(good)
	binary.LittleEndian.PutUint16(locked[at+8:], binary.LittleEndian.Uint16(locked[at+8:])|1)
	damaged := []byte(good)
	damaged[60] ^= 0x40
	bomb := []byte(good)
	for _, c := range []struct{ name, text, want, says string }{
		{"twice", packedParts(t, [][2]string{{"tests.csv", "x"}, {"tests.csv", "y"}}), "skipped not-a-text-file", "it holds twice"},
		{"a way out", packedParts(t, [][2]string{{"../tests.csv", "x"}}), "skipped not-a-text-file", "no name within a folder"},
		{"within", packedParts(t, [][2]string{{"more.zip", good}}), "skipped not-a-text-file", "unpack the outer one"},
		{"cut", good[:len(good)-30], "skipped incomplete-file", "the copy may not be finished"},
		{"empty", packedParts(t, nil), "skipped empty-file", "holds no file"},
		{"no bytes", "", "skipped empty-file", "no bytes"},
		{"text", readingsFile(goodRow), "skipped not-a-text-file", "no archive"},
		{"locked", string(locked), "refused not-a-text-file", "protected by a password"},
		{"damaged", string(damaged), "refused not-a-text-file", "damaged"},
		{"bomb", string(bomb), "refused too-large", "raise exports.max_unpacked_mb"},
	} {
		o := folder(t, map[string]string{"tests.toml": readingsLayout(nil), "a.zip": c.text, "tests.csv": readingsFile(goodRowWith("A1", "A3"))})
		if c.name == "bomb" {
			o.Limits.UnpackedBytes = int64(len(readingsFile(goodRow)) + 5)
		}
		r, _ := readInto(t, o)
		f := slices.DeleteFunc(slices.Clone(r.Files), func(f File) bool { return f.Outcome == WasRead })
		require.NotEmpty(t, f, c.name)
		assert.Equal(t, c.want, f[0].Outcome+" "+f[0].Reason, "%s: %s", c.name, f[0].Message)
		assert.Contains(t, f[0].Message, c.says, c.name)
		assert.Equal(t, WasRead, byName(r)["tests.csv"].Outcome, c.name)
	}
}

// TestArchiveIsProposedFor: a draft is made for the files in an archive, and none for
// one that cannot be opened.
func TestArchiveIsProposedFor(t *testing.T) {
	o := folder(t, map[string]string{
		"year.zip": packedParts(t, [][2]string{{"tests 1.csv", readingsFile(goodRow, goodRow)}, {"tests 2.csv", readingsFile(goodRow)}}),
		"cut.zip":  "PK\x03\x04",
	})
	all, err := Propose(t.Context(), o, nil, func(string, string) string { return "" })
	require.NoError(t, err)
	require.Len(t, all, 1)
	assert.Equal(t, []string{"year.zip/tests 1.csv", "year.zip/tests 2.csv"}, all[0].Files)
}

// TestArchiveBombs: an archive that claims more members than may be is refused by what
// its end says.
func TestArchiveBombs(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for range 10_001 {
		_, err := z.Create("x")
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	r, _ := readInto(t, folder(t, map[string]string{"tests.toml": readingsLayout(nil), "a.zip": b.String()}))
	assert.Equal(t, Skipped+" "+lines.TooLarge, r.Files[0].Outcome+" "+r.Files[0].Reason)
}

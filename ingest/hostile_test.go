package ingest

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/lines"
)

// blankGzip is a small compressed text with very many blank lines below a header.
func blankGzip(t *testing.T, megabytes int) string {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err := io.WriteString(z, readingsHeader+"\n")
	require.NoError(t, err)
	for range megabytes {
		_, err = z.Write(bytes.Repeat([]byte("\n"), 1<<20))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.String()
}

// TestBlankLinesWithoutEnd: blank lines count towards the limit of rows, and whoever
// looks at a file beyond it does not read on.
func TestBlankLinesWithoutEnd(t *testing.T) {
	o := folder(t, map[string]string{"tests.toml": readingsLayout(nil), "tests.csv.gz": blankGzip(t, 8)})
	o.Limits.Rows = 1000
	r, _ := readInto(t, o)
	assert.Equal(t, Refused+" "+lines.TooLarge, r.Files[0].Outcome+" "+r.Files[0].Reason)
	all, err := Inspect(context.Background(), nil, o, func(string) bool { return true })
	require.NoError(t, err)
	assert.Equal(t, Refused+" "+lines.TooLarge, all[0].Outcome+" "+all[0].Reason)
	assert.LessOrEqual(t, all[0].Lines, int64(1002), "an inspection ends there too")
}

// heapPeak is the most bytes of Go objects, garbage among them, while fn runs with
// the collector at work after every tenth of growth.
func heapPeak(fn func()) (peak uint64) {
	defer debug.SetGCPercent(debug.SetGCPercent(10))
	runtime.GC()
	var before, m runtime.MemStats
	runtime.ReadMemStats(&before)
	done := make(chan struct{})
	go func() { fn(); close(done) }()
	for {
		select {
		case <-done:
			return peak
		case <-time.After(2 * time.Millisecond):
			runtime.ReadMemStats(&m)
			if m.HeapAlloc > before.HeapAlloc {
				peak = max(peak, m.HeapAlloc-before.HeapAlloc)
			}
		}
	}
}

// TestHostileFiles: files made to take the machine down keep to the bound of the
// package comment, whatever becomes of them; shared texts of a workbook to theirs.
func TestHostileFiles(t *testing.T) {
	few := 1
	if long() {
		few = 20
	}
	book := func(part, old, with string) string {
		parts := rawBook(rawRow)
		for i := range parts {
			if parts[i][0] == part {
				parts[i][1] = strings.Replace(parts[i][1], old, with, 1)
			}
		}
		return packedParts(t, parts)
	}
	var members bytes.Buffer
	z := zip.NewWriter(&members)
	for i := range 10_001 {
		_, err := z.Create(fmt.Sprintf("%d", i))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	var far strings.Builder
	for i := range 100 * few {
		fmt.Fprintf(&far, `<row r="%d"><c r="XFC%[1]d" s="1"/><c r="XFD%[1]d"><v>1</v></c></row>`, i+4)
	}
	files := map[string]string{
		"blank lines.csv.gz": blankGzip(t, 2*few),
		"members.xlsx":       members.String(),
		"far.xlsx":           book("own/pages/first.xml", "</sheetData>", far.String()+"</sheetData>"),
		"texts.xlsx":         book("words.xml", "</sst>", strings.Repeat("<si/>", 100_000*few)+"</sst>"),
		"nested.xlsx":        book("own/list.xml", "<sheets>", strings.Repeat("<a>", 300_000*few)+"<sheets>"),
		"sheets.xlsx":        book("own/list.xml", "</sheets>", strings.Repeat("<sheet/>", 50_000*few)+"</sheets>"),
		"attributes.xlsx":    book("own/pages/first.xml", "<sheetData>", "<sheetData "+strings.Repeat(`a="" `, 50_000*few)+">"),
	}
	for name, text := range files {
		kind, layout := "book", strings.Replace(bookLayout, "book*", "*", 1)
		if strings.Contains(name, ".csv") {
			kind, layout = "tests", strings.Replace(readingsLayout(nil), "tests*.csv", "*.csv", 1)
		}
		o := folder(t, map[string]string{kind + ".toml": layout, name: text})
		o.Limits.Rows = 20_000_000
		var f File
		peak := heapPeak(func() {
			r, err := read(context.Background(), fakeWarehouse{}, o)
			assert.NoError(t, err)
			f = r.Files[0]
		})
		t.Logf("%s: %d bytes, %s %s, %d kB", name, len(text), f.Outcome, f.Reason, peak>>10)
		assert.Less(t, peak, uint64(bytesFixed), name)
	}
}

// TestSharedTextsAreCounted: more texts than may be held refuse the workbook.
func TestSharedTextsAreCounted(t *testing.T) {
	if !long() {
		t.Skip("FLUEDRIFT_LONG=1 runs it")
	}
	parts := rawBook(rawRow)
	parts[3][1] = strings.Replace(parts[3][1], "</sst>", strings.Repeat("<si/>", 9<<20)+"</sst>", 1)
	f, _ := readBook(t, packedParts(t, parts))
	assert.Equal(t, lines.TooLarge, f.Reason, f.Message)
	assert.Contains(t, f.Message, "more than 256 MB of texts")
}

// TestGzipFaults: what is wrong with a compressed file is said in words.
func TestGzipFaults(t *testing.T) {
	packed := zipped(t, readingsFile(goodRow))
	flip := func(at int) string {
		b := []byte(packed)
		b[at] ^= 0xff
		return string(b)
	}
	for text, says := range map[string]string{
		packed + "rest of another file":  "behind the compressed content other bytes follow",
		flip(len(packed) - 6):            "does not fit its checksum",
		flip(12):                         "is damaged before byte",
		packed[:len(packed)-3]:           "ends early",
		"Serial;Day\n":                   "is not gzip-compressed",
		packed + zipped(t, goodRow)[:14]: "ends early",
	} {
		o := folder(t, map[string]string{"tests.toml": readingsLayout(nil)})
		require.NoError(t, os.WriteFile(filepath.Join(o.Folder, "tests.csv.gz"), []byte(text), 0o600))
		r, _ := readInto(t, o)
		assert.Contains(t, r.Files[0].Message, says)
		assert.NotContains(t, r.Files[0].Message, "gzip:")
		assert.NotContains(t, r.Files[0].Message, "flate:")
	}
}

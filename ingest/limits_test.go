package ingest

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/lines"
)

// withTexts is the workbook of TestBook with other bytes of one part.
func withTexts(t *testing.T, part string, change func(text string, w io.Writer)) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "good.xlsx")
	writeBook(t, path, false, bookCells())
	z, err := zip.OpenReader(path)
	require.NoError(t, err)
	defer z.Close()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		to, err := w.Create(f.Name)
		require.NoError(t, err)
		if f.Name == part {
			change(string(text), to)
			continue
		}
		_, err = to.Write(text)
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return out.String()
}

// greatTech writes megabytes of a letter where the text T1 stands.
func greatTech(megabytes int, put string) func(string, io.Writer) {
	return func(text string, w io.Writer) {
		before, after, _ := strings.Cut(text, put)
		_, _ = io.WriteString(w, before+strings.Split(put, "T1")[0])
		for range megabytes {
			_, _ = w.Write(bytes.Repeat([]byte("T"), 1<<20))
		}
		_, _ = io.WriteString(w, strings.Split(put, "T1")[1]+after)
	}
}

// TestGreatBookCell: a small workbook whose cell unpacks to many megabytes is
// refused before they are in memory, in the sheet and among the shared texts.
func TestGreatBookCell(t *testing.T) {
	const megabytes = 24
	shared := withTexts(t, "xl/sharedStrings.xml", greatTech(megabytes, ">T1<"))
	inline := withTexts(t, "xl/worksheets/sheet2.xml", func(text string, w io.Writer) {
		greatTech(megabytes, "T1")(strings.Replace(text, `<row r="6"`,
			`<row r="5"><c r="A5" t="inlineStr"><is><t>T1</t></is></c></row><row r="6"`, 1), w)
	})
	for name, c := range map[string]struct{ book, says string }{
		"shared": {shared, "of xl/sharedStrings.xml of the workbook holds more than 1024 kB of text"},
		"inline": {inline, "the cell A5 of the workbook holds more than 1024 kB of text"},
	} {
		require.Less(t, len(c.book), 200<<10)
		o := folder(t, map[string]string{"book.toml": bookLayout, "book.xlsx": c.book})
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		r, _ := readInto(t, o)
		runtime.ReadMemStats(&after)
		assert.Equal(t, Refused+" "+lines.TooLarge, r.Files[0].Outcome+" "+r.Files[0].Reason, name)
		assert.Contains(t, r.Files[0].Message, c.says, name)
		assert.Contains(t, r.Files[0].Message, "exports.max_cell_kb", name)
		assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(100<<20), "%s: bytes taken for a workbook of %d", name, len(c.book))
	}
}

// TestBookCellLimit: the limit is of the text, to the byte, and not of the marks
// around it.
func TestBookCellLimit(t *testing.T) {
	book := withTexts(t, "xl/sharedStrings.xml", func(text string, w io.Writer) {
		_, _ = io.WriteString(w, strings.Replace(text, ">T1<", ">"+strings.Repeat("&quot;", 1000)+"<", 1))
	})
	for limit, want := range map[int64]string{1000: WasRead, 999: Refused} {
		o := folder(t, map[string]string{"book.toml": bookLayout, "book.xlsx": book})
		o.Limits.CellBytes = limit
		r, _ := readInto(t, o)
		assert.Equal(t, want, r.Files[0].Outcome, r.Files[0].Message)
	}
}

// TestGreatBookRow: cells within their limit do not gather beyond that of a line.
func TestGreatBookRow(t *testing.T) {
	book := withTexts(t, "xl/worksheets/sheet2.xml", func(text string, w io.Writer) {
		cells := strings.Repeat(`<c t="inlineStr"><is><t>`+strings.Repeat("T", 1<<20)+`</t></is></c>`, 17)
		_, _ = io.WriteString(w, strings.Replace(text, `<row r="6"`, `<row r="5">`+cells+`</row><row r="6"`, 1))
	})
	r, _ := readInto(t, folder(t, map[string]string{"book.toml": bookLayout, "book.xlsx": book}))
	assert.Equal(t, Refused+" "+lines.TooLarge, r.Files[0].Outcome+" "+r.Files[0].Reason, r.Files[0].Message)
}

// TestRowLimits: a file of one row more than the limit is refused, one of as many
// is read. The rows of a Parquet file are counted apart, before they are read.
func TestRowLimits(t *testing.T) {
	parquet := strings.Replace(readingsLayout(parquetKeys), "tests*.csv", "tests*.parquet", 1)
	book := filepath.Join(t.TempDir(), "book.xlsx")
	writeBook(t, book, false, bookCells()) // rows 3 to 13 below the header
	whole, err := os.ReadFile(book)
	require.NoError(t, err)
	for _, c := range []struct {
		name, text, layout string
		rows               int64
		key                string
	}{
		{"tests.csv", readingsFile(goodRow, "", goodRow), readingsLayout(nil), 3, "exports.max_rows"},
		{"tests.csv.gz", zipped(t, readingsFile(goodRow, goodRow)), readingsLayout(nil), 2, "exports.max_rows"},
		{"book.xlsx", string(whole), bookLayout, 11, "exports.max_rows"},
		{"tests.parquet", testdata(t, "tests.parquet"), parquet, 6, "exports.max_parquet_rows"},
	} {
		for _, under := range []int64{0, 1} {
			o := folder(t, map[string]string{"layout.toml": c.layout, c.name: c.text})
			o.Limits = Config{Rows: c.rows - under, ParquetRows: 1}
			if c.key == "exports.max_parquet_rows" {
				o.Limits = Config{Rows: 1, ParquetRows: c.rows - under}
			}
			r, _ := readInto(t, o)
			if under == 0 {
				assert.Equal(t, WasRead, r.Files[0].Outcome, "%s: %s", c.name, r.Files[0].Message)
				continue
			}
			assert.Equal(t, Refused+" "+lines.TooLarge, r.Files[0].Outcome+" "+r.Files[0].Reason, c.name)
			assert.Contains(t, r.Files[0].Message, c.key, c.name)
		}
	}
}

// TestLimitsNameTheirKeys: who meets a limit reads which key raises it.
func TestLimitsNameTheirKeys(t *testing.T) {
	text := readingsFile(goodRow, goodRow)
	for key, c := range map[string]struct {
		name, text string
		limits     Config
	}{
		"exports.max_file_mb":     {"tests.csv", text, Config{FileBytes: 9}},
		"exports.max_unpacked_mb": {"tests.csv.gz", zipped(t, text), Config{UnpackedBytes: 9}},
	} {
		o := folder(t, map[string]string{"tests.toml": readingsLayout(nil), c.name: c.text})
		o.Limits = c.limits
		r, _ := readInto(t, o)
		assert.Equal(t, Refused+" "+lines.TooLarge, r.Files[0].Outcome+" "+r.Files[0].Reason, key)
		assert.Contains(t, r.Files[0].Message, key)
	}
	assert.ErrorContains(t, Config{Files: 1}.count("exports", 2), "exports.max_files")
	assert.NoError(t, Config{Files: 2}.count("exports", 2))
}

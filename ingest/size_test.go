package ingest

import (
	"bufio"
	"compress/gzip"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/measured"
	"fluedrift/ingest/lines"
	"fluedrift/queries"
)

// The bound of memory that the package comment states: live bytes of Go for
// each line of the long form, and for all else.
const (
	bytesALine = 64
	bytesFixed = 96 << 20
)

// liveHeap reads a folder and returns the most live bytes of Go at any batch,
// above what was live before.
func liveHeap(t *testing.T, o Options) (peak int64, r Result) {
	live := func() int64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return int64(m.HeapAlloc)
	}
	before := live()
	r, err := read(context.Background(), loads(func(context.Context, string, arrow.Record) error {
		peak = max(peak, live()-before)
		return nil
	}), o)
	require.NoError(t, err)
	return peak, r
}

// bigWideLayout is a layout of the wide form with one reading, and bigWide writes
// an invented export of it.
const bigWideLayout = "name = \"wide\"\nrecord = \"readings\"\nform = \"wide\"\nsource = \"mill\"\n[match]\nnames = [\"wide*.csv\"]\n" +
	"[[column]]\nheader = \"Serial\"\nfield = \"serial\"\n[[column]]\nheader = \"Date\"\nfield = \"day\"\n" +
	"[[column]]\nheader = \"CO2\"\nfield = \"co2\"\nfire = \"high\"\ncondition = \"as found\"\n"

func bigWide(t *testing.T, path string, n int) {
	f, err := os.Create(path)
	require.NoError(t, err)
	w := bufio.NewWriter(f)
	fmt.Fprintln(w, "Serial,Date,CO2")
	for i := range n {
		fmt.Fprintf(w, "BX-%05d,20%02d-%02d-%02d,9.%d\n", i%20000, 10+i/20000%14, 1+i%12, 1+i%28, i%10)
	}
	require.NoError(t, w.Flush())
	require.NoError(t, f.Close())
}

// TestMemory: a file four times as long needs no more memory than the stated
// bytes a line, in the long form, and no more at all in the wide.
func TestMemory(t *testing.T) {
	small, large := 8_000, 32_000
	if long() {
		small, large = 500_000, 6_000_000
	} else {
		defer func(rows int) { batchRows = rows }(batchRows)
		batchRows = 4096
	}
	peaks := map[string]int64{}
	for _, n := range []int{small, large} {
		o := folder(t, map[string]string{"tests.toml": readingsLayout(nil), "wide.toml": bigWideLayout})
		o.AsOf = mustDay(t, "2030-01-01")
		bigExport(t, filepath.Join(o.Folder, "tests.csv"), n)
		peak, r := liveHeap(t, o)
		require.Equal(t, int64(n), r.Files[0].Parsed, "%v %s", r.Files[0].Reasons, r.Files[0].Message)
		peaks[fmt.Sprint("long ", n)] = peak
		assert.Less(t, peak, int64(bytesFixed+bytesALine*n))
		require.NoError(t, os.Remove(filepath.Join(o.Folder, "tests.csv")))
		bigWide(t, filepath.Join(o.Folder, "wide.csv"), n)
		peak, r = liveHeap(t, o)
		require.Equal(t, int64(n), r.Files[0].Parsed)
		peaks[fmt.Sprint("wide ", n)] = peak
	}
	t.Logf("live bytes: %v", peaks)
	assert.Less(t, peaks[fmt.Sprint("long ", large)]-peaks[fmt.Sprint("long ", small)], int64(bytesALine*(large-small)+1<<20))
	assert.Less(t, peaks[fmt.Sprint("wide ", large)]-peaks[fmt.Sprint("wide ", small)], int64(1<<20))
}

// TestManyFiles: a folder of very many small files is read file by file; with
// FLUEDRIFT_LONG=1 there are 100,000.
func TestManyFiles(t *testing.T) {
	n := 200
	if long() {
		n = 100_000
	}
	o := folder(t, map[string]string{"tests.toml": readingsLayout(nil)})
	for i := range n {
		at := filepath.Join(o.Folder, fmt.Sprintf("%03d", i%500))
		if i < 500 {
			require.NoError(t, os.MkdirAll(at, 0o755))
		}
		row := strings.NewReplacer("A1", fmt.Sprint("A", i), "BX-7", fmt.Sprint("BX-", i%1000)).Replace(goodRow)
		require.NoError(t, os.WriteFile(filepath.Join(at, fmt.Sprintf("tests_%06d.csv", i)), []byte(readingsFile(row)), 0o644))
	}
	peak, r := liveHeap(t, o)
	require.Len(t, r.Files, n)
	assert.Equal(t, n, filesWith(r, WasRead))
	t.Logf("%d files, %d live bytes", n, peak)
	assert.Less(t, peak, int64(bytesFixed+4096*n))
}

// TestManyStrangeFiles: a folder of files that no layout matches, with one export
// among them, is read to the end, and none takes a kilobyte of live memory; with
// FLUEDRIFT_LONG=1 there are 100,000. The limit of the folder counts them.
func TestManyStrangeFiles(t *testing.T) {
	n := 2_000
	if long() {
		n = 100_000
	}
	o := folder(t, map[string]string{"tests.toml": readingsLayout(nil), "tests.csv": readingsFile(goodRow)})
	for i := range n {
		require.NoError(t, os.WriteFile(filepath.Join(o.Folder, fmt.Sprintf("scan_%06d.dat", i)), []byte("x"), 0o644))
	}
	o.Limits.Files = n
	_, err := read(context.Background(), fakeWarehouse{}, o)
	require.ErrorIs(t, err, ErrTooMany)
	o.Limits.Files = n + 1
	peak, r := liveHeap(t, o)
	assert.Equal(t, []int{n, 1}, []int{filesWith(r, NotOurs), filesWith(r, WasRead)})
	t.Logf("%d files, %d live bytes each", n, peak/int64(n))
	assert.Less(t, peak, int64(1000*n))
}

// TestGreatCells: cells of megabytes are loaded before they gather.
func TestGreatCells(t *testing.T) {
	o := folder(t, map[string]string{"tests.toml": readingsLayout(nil)})
	great := goodRowWith("T1", strings.Repeat("T", 2<<20))
	var text strings.Builder
	fmt.Fprintln(&text, readingsHeader)
	for i := range 24 {
		fmt.Fprintln(&text, strings.Replace(great, "A1", fmt.Sprintf("A%d", i), 1))
	}
	require.NoError(t, os.WriteFile(filepath.Join(o.Folder, "tests.csv"), []byte(text.String()), 0o644))
	sizes := map[string][]int64{}
	r, err := read(context.Background(), loads(func(_ context.Context, table string, rec arrow.Record) error {
		sizes[table] = append(sizes[table], rec.NumRows())
		return nil
	}), o)
	require.NoError(t, err)
	assert.Equal(t, int64(24), r.Files[0].Parsed, r.Files[0].Message)
	assert.Equal(t, []int64{8, 8, 8}, sizes["record.visits"], "16 MiB of text, no more")
}

// TestGreatLines: a line of some megabytes is one line; one beyond the limit
// refuses its file alone, and compressed nothing is other.
func TestGreatLines(t *testing.T) {
	great := func(n int) string { return goodRowWith("T1", strings.Repeat("T", n)) }
	o := folder(t, map[string]string{
		"tests.toml": readingsLayout(nil), "tests a.csv": readingsFile(great(3<<20), goodRow), "tests b.csv": readingsFile(great(lines.Limit),
			goodRow),
		"tests d.csv": readingsFile(strings.Repeat("\x00", 600)),
	})
	f, err := os.Create(filepath.Join(o.Folder, "tests c.csv.gz"))
	require.NoError(t, err)
	z := gzip.NewWriter(f)
	fmt.Fprintln(z, readingsHeader)
	for range 40 {
		_, err = z.Write(make([]byte, 1<<20))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	require.NoError(t, f.Close())
	r, _ := readInto(t, o)
	assert.Equal(t, []string{WasRead, Refused, Refused, Refused}, outcomes(r))
	assert.Equal(t, int64(2), r.Files[0].Parsed)
	for _, f := range r.Files[1:] {
		assert.Equal(t, lines.NotText, f.Reason, f.Message)
	}
}

// TestTenMillion reads ten million readings into a warehouse and puts them in
// relation, and holds the peak of the whole process to 2 GiB. Long only; run it
// alone, since the peak is that of the process.
func TestTenMillion(t *testing.T) {
	if !long() {
		t.Skip("FLUEDRIFT_LONG=1 runs it")
	}
	const n = 10_000_000
	o := folder(t, map[string]string{"tests.toml": readingsLayout(nil)})
	o.AsOf = mustDay(t, "2030-01-01")
	size := bigExport(t, filepath.Join(o.Folder, "tests.csv"), n)
	ctx := context.Background()
	w, err := queries.Create(ctx, filepath.Join(t.TempDir(), "w.duckdb"), queries.Options{Threads: 2})
	require.NoError(t, err)
	r, err := Read(ctx, w, o)
	require.NoError(t, err)
	require.Equal(t, int64(n), r.Files[0].Parsed)
	read := peakOfProcess(t)
	require.NoError(t, w.Build(ctx, o.AsOf))
	require.NoError(t, w.Close())
	t.Logf("%d bytes of export; peak of the process %d MiB after reading, %d MiB after relating", size, read>>20, peakOfProcess(t)>>20)
	kept := measured.Of(t, "reading")
	kept.Number("ten million readings", "after reading, MiB", float64(read>>20), 0, "")
	kept.Number("ten million readings", "after relating, MiB", float64(peakOfProcess(t)>>20), 0, "at most 2048")
	assert.Less(t, peakOfProcess(t), int64(2<<30))
}

// peakOfProcess is the most memory the process ever held, in bytes.
func peakOfProcess(t *testing.T) int64 {
	text, err := os.ReadFile("/proc/self/status")
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(text), "VmHWM:")
	require.True(t, ok)
	var kib int64
	_, err = fmt.Sscan(rest, &kib)
	require.NoError(t, err)
	return kib << 10
}

// filesWith counts the files with an outcome.
func filesWith(r Result, outcome string) (n int) {
	for _, f := range r.Files {
		if f.Outcome == outcome {
			n++
		}
	}
	return n
}

package ingest

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/stretchr/testify/require"

	"fluedrift/queries"
)

// bigExport writes an invented long export of n readings, four a visit.
func bigExport(t testing.TB, path string, n int) int64 {
	f, err := os.Create(path)
	require.NoError(t, err)
	w := bufio.NewWriterSize(f, 1<<20)
	fmt.Fprintln(w, readingsHeader)
	fires, conditions := [2]string{"high", "low"}, [2]string{"found-so", "left-so"}
	for i := range n {
		visit := i / 4
		fmt.Fprintf(w, "V%d,BX-%05d,20%02d-%02d-%02d,annual,T%02d,M%03d,%s,%s,%.1f,%.1f,%d,%d,%.1f\n",
			visit, visit%20000, 10+visit/20000%14, 1+visit%12, 1+visit%28, visit%40, visit%200, fires[i%2], conditions[i/2%2],
			8.5+float64(i%13)/10, 4.5+float64(i%17)/10, 10+i%30, 120+i%90, -5+float64(i%300)/10)
	}
	require.NoError(t, w.Flush())
	info, err := f.Stat()
	require.NoError(t, err)
	require.NoError(t, f.Close())
	return info.Size()
}

// BenchmarkRead reads a long export into rows (nowhere) and into a warehouse:
// FLUEDRIFT_ROWS sets the readings (default 200,000).
func BenchmarkRead(b *testing.B) {
	n := 200_000
	if s := os.Getenv("FLUEDRIFT_ROWS"); s != "" {
		n, _ = strconv.Atoi(s)
	}
	dir := b.TempDir()
	o := Options{Folder: filepath.Join(dir, "exports"), Layouts: filepath.Join(dir, "layouts"), AsOf: 20000, RunDay: 20000}
	require.NoError(b, os.MkdirAll(o.Folder, 0o755))
	require.NoError(b, os.MkdirAll(o.Layouts, 0o755))
	require.NoError(b, os.WriteFile(filepath.Join(o.Layouts, "tests.toml"), []byte(readingsLayout(nil)), 0o644))
	size := bigExport(b, filepath.Join(o.Folder, "tests.csv"), n)
	check := func(b *testing.B, r Result, err error) {
		require.NoError(b, err)
		require.Equal(b, int64(n), r.Files[0].Parsed)
	}
	b.Run("rows", func(b *testing.B) {
		b.SetBytes(size)
		for range b.N {
			r, err := read(context.Background(), func(context.Context, string, arrow.Record) error { return nil }, o)
			check(b, r, err)
		}
		goMemory(b)
	})
	b.Run("warehouse", func(b *testing.B) {
		b.SetBytes(size)
		for i := range b.N {
			w, err := queries.Create(context.Background(), filepath.Join(dir, fmt.Sprint(i, time.Now().UnixNano())), queries.Options{MemoryMB: 1024})
			require.NoError(b, err)
			r, err := Read(context.Background(), w, o)
			check(b, r, err)
			require.NoError(b, w.Close())
		}
		goMemory(b)
	})
}

// engineScan is the engine's own typed reading of the long export with every
// column aggregated, the measure a build is compared with.
const engineScan = `select count(*), max("Visit"), max("Serial"), max("Date"), max("Why"), max("Tech"), max("Meter"), max("Fire"), max("Taken"),
	max("CO2"), max("O2"), max("CO"), max("Flue"), max("Air")
	from read_csv(?, header = true, auto_detect = false, delim = ',', quote = '"', columns = {'Visit': 'varchar', 'Serial': 'varchar', 'Date': 'date',
	'Why': 'varchar', 'Tech': 'varchar', 'Meter': 'varchar', 'Fire': 'varchar', 'Taken': 'varchar', 'CO2': 'double', 'O2': 'double', 'CO': 'double',
	'Flue': 'double', 'Air': 'double'})`

// BenchmarkAgainstEngine measures, in one run, the processor time from an
// export to the finished warehouse as a multiple of the engine's own typed scan
// of the same file. FLUEDRIFT_ROWS sets the readings (default 200,000).
func BenchmarkAgainstEngine(b *testing.B) {
	n := 200_000
	if s := os.Getenv("FLUEDRIFT_ROWS"); s != "" {
		n, _ = strconv.Atoi(s)
	}
	dir := b.TempDir()
	o := Options{Folder: filepath.Join(dir, "exports"), Layouts: filepath.Join(dir, "layouts"), AsOf: 20000, RunDay: 20000}
	require.NoError(b, os.MkdirAll(o.Folder, 0o755))
	require.NoError(b, os.MkdirAll(o.Layouts, 0o755))
	require.NoError(b, os.WriteFile(filepath.Join(o.Layouts, "tests.toml"), []byte(readingsLayout(nil)), 0o644))
	path := filepath.Join(o.Folder, "tests.csv")
	bigExport(b, path, n)
	var scan, read, whole float64
	for i := range b.N {
		start := cpuSeconds(b)
		db, err := sql.Open("duckdb", "?threads=2")
		require.NoError(b, err)
		var rows int
		var rest [13]any
		into := []any{&rows}
		for j := range rest {
			into = append(into, &rest[j])
		}
		require.NoError(b, db.QueryRow(engineScan, path).Scan(into...))
		require.Equal(b, n, rows)
		require.NoError(b, db.Close())
		scan += cpuSeconds(b) - start
		start = cpuSeconds(b)
		w, err := queries.Create(context.Background(), filepath.Join(dir, fmt.Sprint("w", i, b.N)), queries.Options{Threads: 2})
		require.NoError(b, err)
		_, err = Read(context.Background(), w, o)
		require.NoError(b, err)
		read += cpuSeconds(b) - start
		require.NoError(b, w.Build(context.Background(), o.AsOf))
		require.NoError(b, w.Close())
		whole += cpuSeconds(b) - start
	}
	b.ReportMetric(scan/float64(b.N), "CPU-s-scan")
	b.ReportMetric(read/float64(b.N), "CPU-s-read")
	b.ReportMetric(whole/float64(b.N), "CPU-s-build")
	b.ReportMetric(whole/scan, "times-scan")
}

// cpuSeconds is the processor time of the process, user and system.
func cpuSeconds(b *testing.B) float64 {
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

func goMemory(b *testing.B) {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	b.ReportMetric(float64(m.Sys)/(1<<20), "MiB-of-Go")
}

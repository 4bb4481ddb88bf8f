//go:build unix

package measured_test

import (
	"bufio"
	"database/sql"
	"encoding/csv"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	_ "fluedrift/queries" // the driver
)

// engineScan is the floor that stages are divided by.
const engineScan = "floor: the engine's typed scan of all CSV exports"

// floorsOf measures the least that any reader of the CSV exports of a folder takes: the
// lines counted, split into cells, typed by the engine. The engine scans the files of
// the first office, a row a reading, with every column typed; all files are taken to cost
// as much a byte.
func floorsOf(t *testing.T, exports string, add func(name string, cpu float64)) {
	files, err := filepath.Glob(filepath.Join(exports, "*.csv"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	add("floor: wc -l of all CSV exports", took(t, exec.Command("wc", append([]string{"-l"}, files...)...)).cpu)
	start := ownCPU(t)
	for _, path := range files {
		split(t, path)
	}
	add("floor: encoding/csv of all CSV exports", ownCPU(t)-start)
	var all, scanned float64
	for _, path := range files {
		info, err := os.Stat(path)
		require.NoError(t, err)
		all += float64(info.Size())
		if strings.HasPrefix(filepath.Base(path), "north_readings_") {
			scanned += float64(info.Size())
		}
	}
	add(engineScan, scan(t, filepath.Join(exports, "north_readings_*.csv"))*all/scanned)
}

// ownCPU is what this process has taken, seconds.
func ownCPU(t *testing.T) float64 {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds()
}

// split reads a file to its end with the standard library.
func split(t *testing.T, path string) {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(bufio.NewReaderSize(f, 1<<16))
	r.ReuseRecord, r.FieldsPerRecord, r.LazyQuotes = true, -1, true
	if strings.HasPrefix(filepath.Base(path), "releves") {
		r.Comma = ';'
	}
	for {
		if _, err := r.Read(); errors.Is(err, io.EOF) {
			return
		}
	}
}

// typedScan reads every column of the first office's exports with its type; what cannot
// be read is passed over.
const typedScan = `select count(*), max("Visit No"), max(Serial), max(Site), max(Date), max("Time"), max("Reason for visit"), max(Tech),
	max(Meter),
	max("Setting changed"), max(Firing), max(Taken), max("CO2 %"), max("O2 %"), max("CO air-free ppm"), max("Flue F"), max("Burner air F"),
	max("Outdoor F"),
	max("Supply in WC"), max("Fired min"), max("Not reached"), max(Parts), max(Remarks)
from read_csv(?, header = true, auto_detect = false, ignore_errors = true, delim = ',', quote = '"', dateformat = '%m/%d/%Y', columns = {
	'Visit No': 'varchar', 'Serial': 'varchar', 'Site': 'varchar', 'Date': 'date', 'Time': 'varchar', 'Reason for visit': 'varchar',
	'Tech': 'varchar',
	'Meter': 'varchar', 'Setting changed': 'varchar', 'Firing': 'varchar', 'Taken': 'varchar', 'CO2 %': 'double', 'O2 %': 'double',
	'CO air-free ppm': 'varchar', 'Flue F': 'double', 'Burner air F': 'double', 'Outdoor F': 'double', 'Supply in WC': 'double',
	'Fired min': 'double',
	'Not reached': 'varchar', 'Parts': 'varchar', 'Remarks': 'varchar'})`

// scan has the engine read files with two threads, and returns what that took.
func scan(t *testing.T, files string) float64 {
	start := ownCPU(t)
	db, err := sql.Open("duckdb", "?threads=2")
	require.NoError(t, err)
	var rows int
	var rest [22]any
	into := []any{&rows}
	for i := range rest {
		into = append(into, &rest[i])
	}
	require.NoError(t, db.QueryRow(typedScan, files).Scan(into...))
	require.NoError(t, db.Close())
	require.Positive(t, rows)
	return ownCPU(t) - start
}

package queries

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/stretchr/testify/require"
)

// fleetShape of the size test: each unit is visited 25 times in twelve years,
// each visit has four readings, and every tenth file is exported again with one
// value in a hundred corrected.
const visitsAUnit, readingsAVisit, unitsAFile = 25, 4, 500

// TestSize measures loading, building and reading at a million readings, or at
// FLUEDRIFT_READINGS. It runs only with FLUEDRIFT_LONG=1.
func TestSize(t *testing.T) {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("set FLUEDRIFT_LONG=1 to measure at a million readings")
	}
	readings := 1_000_000
	if n, err := strconv.Atoi(os.Getenv("FLUEDRIFT_READINGS")); err == nil {
		readings = n
	}
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "w.duckdb")
	w, err := Create(ctx, path, Options{Threads: 2, Version: "1"})
	require.NoError(t, err)
	units := readings / visitsAUnit / readingsAVisit
	clock := newStopwatch(t)
	loadFleet(t, w, units)
	clock.lap("rows made and loaded")
	t.Logf("of which loading %.2f CPU s", loading.Seconds())
	if os.Getenv("FLUEDRIFT_STEPS") != "" {
		buildBySteps(t, w, clock)
		return
	}
	require.NoError(t, w.Build(ctx, dayOf(t, "2026-01-01")))
	clock.lap("build")
	found := 0
	slices, err := w.Slices(ctx, "")
	require.NoError(t, err)
	for _, s := range slices {
		for _, err := range w.Readings(ctx, s) {
			require.NoError(t, err)
			found++
		}
	}
	clock.lap("read")
	require.Equal(t, readings, found)
	for _, s := range steps("check") {
		c, err := w.check(ctx, s)
		require.NoError(t, err)
		require.Zero(t, c.Wrong, c)
		clock.lap(s.name)
	}
	require.NoError(t, w.Close())
	clock.lap("close")
	w, err = Open(ctx, path, Options{Threads: 2, Version: "1"})
	require.NoError(t, err)
	clock.lap("open")
	one, err := w.Slices(ctx, "U-000007")
	require.NoError(t, err)
	found = 0
	for _, err := range w.Readings(ctx, one[0]) {
		require.NoError(t, err)
		found++
	}
	for _, err := range w.Visits(ctx, one[0]) {
		require.NoError(t, err)
	}
	clock.lap("one unit")
	require.Equal(t, visitsAUnit*readingsAVisit, found)
	require.NoError(t, w.Close())
	info, err := os.Stat(path)
	require.NoError(t, err)
	t.Logf("file %d MB", info.Size()>>20)
}

// buildBySteps builds with a lap a file.
func buildBySteps(t *testing.T, w *Warehouse, clock *stopwatch) {
	ctx := context.Background()
	_, err := w.conn.ExecContext(ctx, "set variable as_of = cast(? as date)", "2026-01-01")
	require.NoError(t, err)
	for _, s := range relationSteps() {
		require.NoError(t, w.run(ctx, []step{s}))
		clock.lap(s.name)
	}
}

type stopwatch struct {
	t    *testing.T
	wall time.Time
	cpu  time.Duration
}

func newStopwatch(t *testing.T) *stopwatch {
	return &stopwatch{t, time.Now(), cpuTime()}
}

// lap logs wall and CPU seconds since the last lap and the highest memory so far.
func (s *stopwatch) lap(name string) {
	status, _ := os.ReadFile("/proc/self/status")
	peak := ""
	for line := range strings.SplitSeq(string(status), "\n") {
		if strings.HasPrefix(line, "VmHWM:") {
			peak = strings.TrimSpace(line[6:])
		}
	}
	s.t.Logf("%-36s %7.2f s %7.2f CPU s, peak %s", name, time.Since(s.wall).Seconds(), (cpuTime() - s.cpu).Seconds(), peak)
	s.wall, s.cpu = time.Now(), cpuTime()
}

func cpuTime() time.Duration {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// loading is the CPU time spent in Load.
var loading time.Duration

// table of columns filled row by row, loaded in batches.
type batch struct {
	t     *testing.T
	w     *Warehouse
	table string
	b     *array.RecordBuilder
	rows  int
}

func newBatch(t *testing.T, w *Warehouse, table string) *batch {
	schema, name, _ := strings.Cut(table, ".")
	known := ask(t, w, block{
		relation: "information_schema.columns where table_schema = '" + schema + "' and table_name = '" + name + "' order by ordinal_position",
		columns:  []string{"column_name", "data_type"},
	})
	var fields []arrow.Field
	for _, k := range known {
		fields = append(fields, arrow.Field{Name: k[0], Type: arrowType(k[1]), Nullable: true})
	}
	return &batch{t: t, w: w, table: table, b: array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))}
}

// add appends a row; columns not named are NULL.
func (b *batch) add(row map[string]any) {
	for i, f := range b.b.Schema().Fields() {
		switch v := row[f.Name].(type) {
		case nil:
			b.b.Field(i).AppendNull()
		case string:
			b.b.Field(i).(*array.StringBuilder).Append(v)
		case float64:
			b.b.Field(i).(*array.Float64Builder).Append(v)
		case bool:
			b.b.Field(i).(*array.BooleanBuilder).Append(v)
		case int:
			appendWhole(b.b.Field(i), v)
		}
	}
	if b.rows++; b.rows%100_000 == 0 {
		b.flush()
	}
}

func appendWhole(b array.Builder, v int) {
	switch b := b.(type) {
	case *array.Int8Builder:
		b.Append(int8(v))
	case *array.Int16Builder:
		b.Append(int16(v))
	case *array.Int32Builder:
		b.Append(int32(v))
	case *array.Int64Builder:
		b.Append(int64(v))
	case *array.Uint64Builder:
		b.Append(uint64(v))
	case *array.Date32Builder:
		b.Append(arrow.Date32(v))
	}
}

func (b *batch) flush() {
	rec := b.b.NewRecord()
	defer rec.Release()
	start := cpuTime()
	defer func() { loading += cpuTime() - start }()
	require.NoError(b.t, b.w.Load(context.Background(), b.table, rec))
}

// loadFleet fills the tables with an invented fleet of even shape.
func loadFleet(t *testing.T, w *Warehouse, units int) {
	files, register := newBatch(t, w, "source.files"), newBatch(t, w, "record.units")
	visits, readings := newBatch(t, w, "record.visits"), newBatch(t, w, "record.readings")
	first, lines := int(dayOf(t, "2014-01-01")), newBatch(t, w, "record.model_lines")
	files.add(map[string]any{
		"file_key": 0, "name": "units.csv", "record": "units", "outcome": "read", "lines": units, "parsed": units,
		"header": 0, "blank": 0, "skipped": 0, "set_aside": 0, "joined": 0,
	})
	for _, fire := range []string{"high", "low"} {
		lines.add(map[string]any{
			"file_key": -1, "line": 1, "fuel": "natural gas", "fire": fire, "target_co2": 9.0, "set_rich": 0.2,
			"set_lean": 0.2,
		})
	}
	file, row := 0, 0
	var line int
	for u := range units {
		serial := fmt.Sprintf("U-%06d", u)
		register.add(map[string]any{
			"file_key": 0, "line": u + 1, "serial": serial, "model_line": "M", "fuel": "natural gas",
			"installed": first - 100, "vent_length_m": float64(u%30) + 1, "key_hash": u + 1, "content_hash": 1,
		})
		if u%unitsAFile == 0 {
			file, line = file+1, 0
			addFile(files, file, first+365*12, min(unitsAFile, units-u))
		}
		for v := range visitsAUnit {
			row++
			day := first + v*170 + u%100
			visits.add(map[string]any{
				"visit_row": row, "file_key": file, "line": line + 1, "visit_id": fmt.Sprintf("V%d-%d", u, v), "serial": serial, "day": day,
				"reason": "annual", "technician": fmt.Sprintf("T-%02d", u%40), "analyzer": fmt.Sprintf("A-%02d", (u+v)%50), "wide": false,
			})
			for k := range readingsAVisit {
				line++
				readings.add(reading(row, file, line, u, v, k, 0))
			}
		}
	}
	again(visits, readings, files, file, row, first)
	for _, b := range []*batch{files, register, visits, readings, lines} {
		b.flush()
		b.b.Release()
	}
}

func addFile(files *batch, key, exportDay, units int) {
	n := units * visitsAUnit * readingsAVisit
	files.add(map[string]any{
		"file_key": key, "name": fmt.Sprintf("readings_%04d.csv", key), "record": "readings", "source": "north", "export_day": exportDay,
		"outcome": "read", "lines": n, "parsed": n, "header": 0, "blank": 0, "skipped": 0, "set_aside": 0, "joined": 0,
	})
}

func reading(row, file, line, u, v, k, corrected int) map[string]any {
	return map[string]any{
		"visit_row": row, "file_key": file, "line": line, "part": 0, "occurrence": 0,
		"fire": []string{"high", "low"}[k%2], "condition": []string{"as found", "as left"}[k/2],
		"co2_percent": 8.5 + float64((u*7+v*3+k)%20)/10 + float64(corrected), "o2_percent": 5.1, "co_ppm": float64((u +
			v) % 60), "co_basis": "as measured",
		"flue_temp_c": 120 + float64((u*13+v*5+k)%400)/10, "air_temp_c": 18.5, "co2_decimals": 1, "o2_decimals": 1,
		"key_hash": hashOf(u, v, k), "content_hash": hashOf(u, v, k+10*corrected) / 3,
	}
}

// hashOf spreads three small numbers over 62 bits.
func hashOf(u, v, k int) int {
	h := uint64(u)<<20 | uint64(v)<<8 | uint64(k)
	h *= 0x9E3779B97F4A7C15
	h ^= h >> 29
	h *= 0xBF58476D1CE4E5B9
	return int(h >> 2)
}

// again exports every tenth file a second time, a day later.
func again(visits, readings, files *batch, last, row, first int) {
	for f := 10; f <= last; f += 10 {
		key := last + f
		addFile(files, key, first+365*12+1, unitsAFile)
		line := 0
		for i := range unitsAFile {
			u := (f-1)*unitsAFile + i
			for v := range visitsAUnit {
				row++
				visits.add(map[string]any{
					"visit_row": row, "file_key": key, "line": line + 1, "visit_id": fmt.Sprintf("V%d-%d", u, v), "serial": fmt.Sprintf("U-%06d", u),
					"day": first + v*170 + u%100, "reason": "annual", "technician": fmt.Sprintf("T-%02d", u%40), "analyzer": fmt.Sprintf("A-%02d",
						(u+v)%50), "wide": false,
				})
				for k := range readingsAVisit {
					line++
					corrected := 0
					if line%100 == 0 {
						corrected = 1
					}
					readings.add(reading(row, key, line, u, v, k, corrected))
				}
			}
		}
	}
}

package queries

import (
	"bufio"
	"context"
	"database/sql"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

var testOptions = Options{Threads: 2, Version: "1"}

// made keeps the bytes of warehouses that several tests start from.
var made = map[string][]byte{}

// built gives the path of a warehouse of one case, built and closed.
func built(t *testing.T, name string) string {
	path := filepath.Join(t.TempDir(), "w.duckdb")
	if text, ok := made[name]; ok {
		require.NoError(t, os.WriteFile(path, text, 0o600))
		return path
	}
	w := filled(t, path, name)
	require.NoError(t, w.Build(context.Background(), dayOf(t, "2022-06-01")))
	require.NoError(t, w.Close())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	made[name] = text
	return path
}

func filled(t *testing.T, path, name string) *Warehouse {
	w, err := Create(context.Background(), path, testOptions)
	require.NoError(t, err)
	load(t, w, name)
	return w
}

// load gives a warehouse the rows of a case.
func load(t *testing.T, w *Warehouse, name string) {
	for _, b := range readCase(t, "testdata/"+name+".txt").given {
		give(t, w, b.relation, b.columns, b.rows)
	}
}

func TestOpenGivesBackWhatWasBuilt(t *testing.T) {
	ctx := context.Background()
	path := built(t, "register")
	assert.NoFileExists(t, path+".wal", "a closed warehouse stands alone")
	assert.NoDirExists(t, path+".tmp")
	w, err := Open(ctx, path, testOptions)
	require.NoError(t, err)
	defer w.Close()
	assert.Equal(t, dayOf(t, "2022-06-01"), w.AsOf())
	units, err := w.Units(ctx, "G-4")
	require.NoError(t, err)
	require.Len(t, units, 1)
	assert.Equal(t, "east", units[0].Area)
	assert.Equal(t, "P1", units[0].Plant)
	assert.Equal(t, "propane", units[0].Fuel)
	assert.Equal(t, day.None, units[0].Installed)
	for _, serial := range []string{"G-40", "x' or '1'='1", "G-4' --"} {
		units, err = w.Units(ctx, serial)
		require.NoError(t, err)
		assert.Empty(t, units, serial)
	}
	assert.Error(t, w.Load(ctx, "record.answers", answerBatch(t, memory.DefaultAllocator, 1)), "a finished warehouse is only read")
}

func TestOpenRefusals(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	refused := func(path string, o Options, want error) {
		t.Helper()
		w, err := Open(ctx, path, o)
		assert.ErrorIs(t, err, want)
		assert.Nil(t, w)
	}
	refused(filepath.Join(dir, "none.duckdb"), testOptions, ErrMissing)
	refused(dir, testOptions, ErrOtherVersion)
	empty := filepath.Join(dir, "empty.duckdb")
	require.NoError(t, os.WriteFile(empty, nil, 0o600))
	refused(empty, testOptions, ErrOtherVersion)
	other := filepath.Join(dir, "other.duckdb")
	require.NoError(t, os.WriteFile(other, make([]byte, 9000), 0o600))
	refused(other, testOptions, ErrOtherVersion)

	path := built(t, "register")
	refused(path, Options{Schema: "2"}, ErrOtherVersion)
	require.NoError(t, os.WriteFile(path+".wal", []byte("rest of a log"), 0o600))
	refused(path, testOptions, ErrIncomplete)
	require.NoError(t, os.Remove(path+".wal"))
	changed, err := open(ctx, path, testOptions, "read_write")
	require.NoError(t, err)
	_, err = changed.conn.ExecContext(ctx, "delete from record.readings where line = 3")
	require.NoError(t, err)
	require.NoError(t, changed.Close())
	refused(path, testOptions, ErrIncomplete)

	half := filepath.Join(dir, "half.duckdb")
	w := filled(t, half, "register")
	require.NoError(t, w.Close())
	refused(half, testOptions, ErrIncomplete)
}

// TestCopyWithoutItsLog copies the file of a session that has not ended: the
// engine opens such a copy without a word.
func TestCopyWithoutItsLog(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	w := filled(t, filepath.Join(dir, "w.duckdb"), "register")
	defer w.Close()
	require.NoError(t, w.Build(ctx, dayOf(t, "2022-06-01")))
	text, err := os.ReadFile(filepath.Join(dir, "w.duckdb"))
	require.NoError(t, err)
	copied := filepath.Join(dir, "copy.duckdb")
	require.NoError(t, os.WriteFile(copied, text, 0o600))
	_, err = Open(ctx, copied, testOptions)
	assert.ErrorIs(t, err, ErrIncomplete)
}

func TestCreateRefusesWhatIsThere(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "w.duckdb")
	for _, left := range []string{path, path + ".wal"} {
		require.NoError(t, os.WriteFile(left, []byte("left over"), 0o600))
		_, err := Create(ctx, path, testOptions)
		assert.ErrorContains(t, err, "exists already")
		require.NoError(t, Remove(path))
		assert.NoFileExists(t, left)
	}
	require.NoError(t, Remove(path), "nothing to remove is no error")
	_, err := Create(ctx, filepath.Join(t.TempDir(), "no folder", "w.duckdb"), testOptions)
	assert.Error(t, err)
}

// TestPaths: the driver takes what follows a ? for settings, drops all settings
// at a # and refuses a %; a colon is no trouble in an absolute path.
func TestPaths(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	for _, name := range []string{"a?b.duckdb", "a#b.duckdb", "a%b.duckdb", "a\nb.duckdb"} {
		_, err := Create(ctx, filepath.Join(dir, name), testOptions)
		assert.ErrorContains(t, err, "use a path without", name)
	}
	t.Chdir(dir)
	for _, name := range []string{"a:b.duckdb", "with blank é.duckdb", ":memory:"} {
		w, err := Create(ctx, name, testOptions)
		require.NoError(t, err, name)
		require.NoError(t, w.Close())
		assert.FileExists(t, filepath.Join(dir, name))
	}
}

// TestBusy holds a warehouse in another process and in this one.
func TestBusy(t *testing.T) {
	ctx := context.Background()
	if held := os.Getenv("FLUEDRIFT_HOLD"); held != "" {
		w, err := open(ctx, held, testOptions, "read_write")
		require.NoError(t, err)
		_, _ = os.Stdout.WriteString("held\n")
		_, _ = io.Copy(io.Discard, os.Stdin)
		require.NoError(t, w.Close())
		return
	}
	path := built(t, "answers")
	holder := exec.Command(os.Args[0], "-test.run=^TestBusy$")
	holder.Env = append(os.Environ(), "FLUEDRIFT_HOLD="+path)
	in, err := holder.StdinPipe()
	require.NoError(t, err)
	out, err := holder.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, holder.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	require.Equal(t, "held\n", line)
	_, err = Open(ctx, path, testOptions)
	assert.ErrorIs(t, err, ErrBusy)
	require.NoError(t, in.Close())
	require.NoError(t, holder.Wait())

	first, err := Open(ctx, path, testOptions)
	require.NoError(t, err, "free again")
	_, err = Open(ctx, path, testOptions)
	assert.ErrorIs(t, err, ErrBusy, "twice in one process loses data")
	require.NoError(t, first.Close())
	require.NoError(t, first.Close(), "closing twice is no error")
}

func TestSessionIsShutOff(t *testing.T) {
	ctx := context.Background()
	w := filled(t, filepath.Join(t.TempDir(), "w.duckdb"), "answers")
	defer w.Close()
	out := filepath.Join(t.TempDir(), "out.csv")
	for _, text := range []string{
		"copy source.files to '" + out + "'", "select 1 from read_csv('/etc/hostname')", "set memory_limit = '9GB'",
		"set enable_external_access = true", "install httpfs", "attach '" + out + "' as other",
	} {
		_, err := w.conn.ExecContext(ctx, text)
		assert.Error(t, err, text)
	}
	assert.NoFileExists(t, out)
}

func TestInterrupted(t *testing.T) {
	w := inMemory(t)
	load(t, w, "answers")
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	err := w.run(ctx, []step{{"long", "select sum(a.range * b.range) from range(1000000) as a cross join range(1000000) as b"}})
	assert.ErrorIs(t, err, context.DeadlineExceeded)
	assert.ErrorIs(t, w.Build(ctx, 20000), context.DeadlineExceeded)
	for _, err := range w.Readings(ctx, Slice{0, 1}) {
		assert.ErrorIs(t, err, context.DeadlineExceeded)
	}
}

func answerBatch(t *testing.T, from memory.Allocator, rows int) arrow.Record {
	b := array.NewRecordBuilder(from, arrow.NewSchema([]arrow.Field{
		{Name: "file_key", Type: arrow.PrimitiveTypes.Int32},
		{Name: "line", Type: arrow.PrimitiveTypes.Int32},
		{Name: "serial", Type: arrow.BinaryTypes.String},
		{Name: "day", Type: arrow.FixedWidthTypes.Date32},
		{Name: "answer", Type: arrow.BinaryTypes.String},
		{Name: "until", Type: arrow.FixedWidthTypes.Date32, Nullable: true},
		{Name: "key_hash", Type: arrow.PrimitiveTypes.Uint64},
		{Name: "content_hash", Type: arrow.PrimitiveTypes.Uint64},
		{Name: "marks", Type: arrow.BinaryTypes.String, Nullable: true},
	}, nil))
	defer b.Release()
	for i := range rows {
		b.Field(0).(*array.Int32Builder).Append(1)
		b.Field(1).(*array.Int32Builder).Append(int32(i))
		b.Field(2).(*array.StringBuilder).Append("U'; drop table record.answers; --")
		b.Field(3).(*array.Date32Builder).Append(20000)
		b.Field(4).(*array.StringBuilder).Append("planned")
		b.Field(5).AppendNull()
		b.Field(6).(*array.Uint64Builder).Append(uint64(i))
		b.Field(7).(*array.Uint64Builder).Append(1)
		b.Field(8).AppendNull()
	}
	return b.NewRecord()
}

// TestLoad: a loaded batch leaves nothing in memory, whether it was taken or
// not; a table nobody knows and a word outside the lists are errors.
func TestLoad(t *testing.T) {
	ctx := context.Background()
	w := inMemory(t)
	load(t, w, "answers")
	from := memory.NewCheckedAllocator(memory.DefaultAllocator)
	defer from.AssertSize(t, 0)
	rec := answerBatch(t, from, 3000)
	defer rec.Release()
	require.NoError(t, w.Load(ctx, "record.answers", rec))
	assert.ErrorContains(t, w.Load(ctx, "record.visits", rec), `load "record.visits" (3000 rows)`)
	assert.ErrorContains(t, w.Load(ctx, "record.nothing", rec), "no such table")
	assert.ErrorContains(t, w.Load(ctx, "../read/build", rec), "no such table")
	require.NoError(t, w.Load(ctx, "record.answers", rec), "a refused batch does not stand in the way of the next")
	assert.Equal(t, [][]string{{"6004"}}, ask(t, w, block{relation: "record.answers", columns: []string{"count(*)"}}))
}

// TestLoadAfterBuild: rows of results loaded after the building count when the
// file is opened.
func TestLoadAfterBuild(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "w.duckdb")
	w := filled(t, path, "answers")
	require.NoError(t, w.Build(ctx, 20000))
	rec := answerBatch(t, memory.DefaultAllocator, 5)
	defer rec.Release()
	require.NoError(t, w.Load(ctx, "record.answers", rec))
	require.NoError(t, w.Close())
	w, err := Open(ctx, path, testOptions)
	require.NoError(t, err)
	defer w.Close()
	assert.Equal(t, [][]string{{"9"}}, ask(t, w, block{relation: "record.answers", columns: []string{"count(*)"}}))
}

// Of somebody else's databases none is ours: one without the last table of a build,
// one with a view of that name, one that stopped before the table had its row.
func TestOurs(t *testing.T) {
	for ddl, want := range map[string]bool{
		"create table build as select 1 as version":                            false,
		"create schema about; create view about.build as select 1 as version":  false,
		"create schema about; create table about.build (version integer)":      false,
		"create schema about; create table about.build as select 1 as version": true,
	} {
		path := filepath.Join(t.TempDir(), "other.duckdb")
		db, err := sql.Open("duckdb", path)
		require.NoError(t, err)
		_, err = db.Exec(ddl)
		require.NoError(t, err)
		require.NoError(t, db.Close())
		ours, err := Ours(t.Context(), path)
		require.NoError(t, err, ddl)
		require.Equal(t, want, ours, ddl)
	}
}

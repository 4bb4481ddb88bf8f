package queries

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// aWarehouse is one of no rows, opened to read.
func aWarehouse(t *testing.T, o Options) *Warehouse {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "w.duckdb")
	w, err := Create(ctx, path, Options{Version: "test"})
	require.NoError(t, err)
	require.NoError(t, w.Build(ctx, 20000))
	require.NoError(t, w.Close())
	w, err = Open(ctx, path, o)
	require.NoError(t, err)
	t.Cleanup(func() { w.Close() })
	return w
}

var someRows = Limits{Rows: 10, Time: time.Minute}

// TestAnswersHoldValuesExactly: what the engine holds comes out digit by digit.
func TestAnswersHoldValuesExactly(t *testing.T) {
	w := aWarehouse(t, Options{})
	a, err := w.Ask(context.Background(), `select 0.1::double + 0.2 as a, 12.50::decimal(9, 2) as b, 7::ubigint as c,
		18446744073709551615::ubigint as d, date '2024-02-29' as e, timestamp '2024-02-29 01:02:03.5' as f, true as g,
		[1, null] as h, {'day': date '2024-02-29', 'x': 1.5::double} as i, null::integer as j, 'Ø'::varchar as k,
		'nan'::double as l, sum(x)::hugeint as m, '\xAB'::blob as n
		from range(3) r(x)`, someRows)
	require.NoError(t, err)
	require.Len(t, a.Rows, 1)
	var texts []string
	for _, c := range a.Rows[0] {
		texts = append(texts, c.Text)
	}
	assert.Equal(t, []string{
		"0.30000000000000004", "12.50", "7", "18446744073709551615", "2024-02-29", "2024-02-29T01:02:03.5", "true",
		`[1,null]`, `{"day":"2024-02-29","x":1.5}`, "", "Ø", "NaN", "3", "ab",
	}, texts)
	assert.Equal(t, []Kind{
		NumberKind, NumberKind, NumberKind, TextKind, DayKind, TextKind, TextKind, TextKind, TextKind, NumberKind, TextKind,
		NumberKind, NumberKind, TextKind,
	}, a.Kinds)
	assert.False(t, a.Rows[0][9].Known)
	assert.False(t, a.Rows[0][11].Known)
	assert.False(t, a.More)
}

// TestQuestionsOnlyRead: whatever a statement tries to change or to reach is refused,
// and the files beside the warehouse stay as they were.
func TestQuestionsOnlyRead(t *testing.T) {
	w := aWarehouse(t, Options{})
	folder := filepath.Dir(w.path)
	aside := filepath.Join(folder, "aside.csv")
	require.NoError(t, os.WriteFile(aside, []byte("a\n1\n"), 0o600))
	before := filesIn(t, folder)
	for _, statement := range []string{
		"", " ; ", "-- nothing", "select 1; select 2", "selec 1", "select nothing from nowhere",
		"create table x as select 1", "insert into about.build select * from about.build", "delete from about.build",
		"update about.build set publication = 'mine'", "drop table about.build", "create schema mine",
		"copy about.build to '" + filepath.Join(folder, "out.csv") + "'", "export database '" + folder + "/out'",
		"select * from read_csv('" + aside + "')", "select * from '" + aside + "'", "select * from read_text('/etc/hostname')",
		"attach '" + filepath.Join(folder, "other.duckdb") + "'", "install httpfs", "load '/tmp/other.duckdb_extension'", "set threads = 8",
		"set enable_external_access = true", "pragma enable_external_access", "select $1",
	} {
		_, err := w.Ask(context.Background(), statement, someRows)
		assert.ErrorIs(t, err, ErrQuestion, statement)
	}
	assert.Equal(t, before, filesIn(t, folder))
}

// filesIn are the names and bytes of a folder's files.
func filesIn(t *testing.T, folder string) map[string]string {
	all := map[string]string{}
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(folder, e.Name()))
		require.NoError(t, err)
		all[e.Name()] = string(text)
	}
	return all
}

// TestQuestionsHaveLimits of rows, time and memory.
func TestQuestionsHaveLimits(t *testing.T) {
	w := aWarehouse(t, Options{MemoryMB: 64, NoSpill: true, Threads: 1})
	a, err := w.Ask(context.Background(), "select * from range(11)", someRows)
	require.NoError(t, err)
	assert.Len(t, a.Rows, 10)
	assert.True(t, a.More)
	_, err = w.Ask(context.Background(), "select count(*) from range(100000000000) r(x) where hash(x) = 1",
		Limits{Rows: 1, Time: 200 * time.Millisecond})
	require.ErrorIs(t, err, ErrTooLong)
	_, err = w.Ask(context.Background(), "select list(hash(x)) from range(100000000) r(x)", someRows)
	require.ErrorIs(t, err, ErrTooLarge)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err = w.Ask(ctx, "select 1", someRows)
	require.True(t, errors.Is(err, context.Canceled), err)
	_, err = w.Ask(context.Background(), "select 1 as one", someRows)
	require.NoError(t, err, "a question after one that was stopped")
}

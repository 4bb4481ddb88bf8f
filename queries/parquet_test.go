package queries

import (
	"context"
	"database/sql"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// parquetFile lets the engine write the rows of a query.
func parquetFile(t *testing.T, name, query string) string {
	t.Helper()
	db, err := sql.Open("duckdb", "")
	require.NoError(t, err)
	defer db.Close()
	plain := filepath.Join(t.TempDir(), "rows.parquet")
	_, err = db.Exec("copy (" + query + ") to '" + plain + "' (format parquet)")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.Rename(plain, path))
	return path
}

// TestParquet reads values of each type back as text, from a file whose name is
// a pattern and longer than one stretch, nested columns among them.
func TestParquet(t *testing.T) {
	ctx := context.Background()
	path := parquetFile(t, "a[1]*.parquet", `select 'V' || i as id, {'a': 1, 'b': [i]} as nested, [1, 2] as list, 9.1::double as co2, i as n,
		date '2023-02-06' as d, timestamp '2023-02-06 07:30:00' as at, null::varchar as none, i % 2 = 0 as even from range(70000) t(i)`)
	p, err := OpenParquet(ctx, path)
	require.NoError(t, err)
	assert.Equal(t, []ParquetColumn{
		{"id", "VARCHAR"},
		{"nested", "STRUCT(a INTEGER, b BIGINT[])"},
		{"list", "INTEGER[]"},
		{"co2", "DOUBLE"},
		{"n", "BIGINT"},
		{"d", "DATE"},
		{"at", "TIMESTAMP"},
		{"none", "VARCHAR"},
		{"even", "BOOLEAN"},
	}, p.Columns())
	rows, last := 0, ""
	for more := true; more; {
		more, err = p.Rows(ctx, func(cells []string, _ []bool) error {
			rows++
			last = strings.Join(cells, "|")
			return nil
		})
		require.NoError(t, err)
	}
	assert.Equal(t, 70000, rows)
	assert.Equal(t, "V69999|{'a': 1, 'b': [69999]}|[1, 2]|9.1|69999|2023-02-06|2023-02-06 07:30:00||false", last)
	require.NoError(t, p.Close())
}

// TestParquetWritesNothing: a reader that is killed leaves nothing in the folder
// for temporary files, since an open one has nothing there, and it needs none.
func TestParquetWritesNothing(t *testing.T) {
	path := parquetFile(t, "a.parquet", "select i as a from range(10) t(i)")
	folder := t.TempDir()
	for _, folder := range []string{folder, filepath.Join(folder, "is not there")} {
		t.Setenv("TMPDIR", folder)
		p, err := OpenParquet(context.Background(), path)
		require.NoError(t, err)
		rows := 0
		_, err = p.Rows(context.Background(), func([]string, []bool) error { rows++; return nil })
		require.NoError(t, err)
		left, err := filepath.Glob(filepath.Join(folder, "*"))
		require.NoError(t, err)
		assert.Empty(t, left)
		assert.Equal(t, 10, rows)
		require.NoError(t, p.Close())
	}
}

// TestParquetDamaged: a file that is none, or cut, is an error and leaves
// nothing behind.
func TestParquetDamaged(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	path := parquetFile(t, "a.parquet", "select i as a from range(1000) t(i)")
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, b := range [][]byte{nil, []byte("PAR1"), whole[:len(whole)/2], append([]byte("x"), whole[:len(whole)-1]...)} {
		require.NoError(t, os.WriteFile(path, b, 0o644))
		_, err := OpenParquet(context.Background(), path)
		assert.Error(t, err)
	}
	left, err := filepath.Glob(filepath.Join(os.Getenv("TMPDIR"), "fluedrift-*"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

var update = flag.Bool("update", false, "write the Parquet files that the tests of package ingest read")

// TestParquetForIngest writes, with -update, the invented exports that package
// ingest reads in its tests; without it, it holds them to be there.
func TestParquetForIngest(t *testing.T) {
	const rows = `select * from (values
		('A1', 'BX-7', date '2023-02-06', 'annual', 'T1', 'M1', 'high', 'found-so', 9.1::double, 4.9::double, 17::integer, 181.5::decimal(6,2),
	-4::float),
		('A2', '007310', date '2023-02-07', 'annual', 'T1', 'M1', 'low', 'found-so', null, 5.8, 0, 181.0, 19.25),
		('A3', 'BX-7', date '2023-02-08', 'annual', 'T1', 'M1', 'high', 'found-so', 'nan'::double, 4.9, 17, 181.5, 19),
		('A4', 'BX-7', date '2023-02-09', 'annual', null, 'M1', 'high', 'found-so', 9.0, 4.9, 60000, 181.5, 19),
		('A5', '7.31E+03', date '2023-02-09', 'annual', null, 'M1', 'high', 'found-so', 9.0, 4.9, 17, 181.5, 19),
		(null, null, null, null, null, null, null, null, null, null, null, null, null))
		as rows("Visit", "Serial", "Date", "Why", "Tech", "Meter", "Fire", "Taken", "CO2", "O2", "CO", "Flue", "Air")`
	for name, query := range map[string]string{
		"tests.parquet":         rows,
		"tests_numbers.parquet": "select * replace (7310.0::double as \"Serial\", 1e20::double as \"Visit\") from (" + rows + ") limit 1",
		"tests_stamps.parquet":  "select * replace (\"Date\" + interval 450 minutes as \"Date\") from (" + rows + ") limit 1",
		"tests_no_rows.parquet": "select * from (" + rows + ") limit 0",
		"tests_other.parquet":   "select * exclude (\"CO2\"), \"CO2\" as \"Gas\" from (" + rows + ") limit 1",
		"tests_nested.parquet":  "select *, [1, 2] as \"List\" from (" + rows + ") limit 1",
	} {
		at := filepath.Join("..", "ingest", "testdata", name)
		if *update {
			b, err := os.ReadFile(parquetFile(t, name, query))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(at, b, 0o644))
		}
		assert.FileExists(t, at)
	}
}

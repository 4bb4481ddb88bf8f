package queries

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

// A case is a file in testdata: rows given to tables, and for one or more as-of
// days the rows expected in relations.
//
//	# what the case shows
//	given record.units
//	file_key | line | serial | vent_length_m
//	1        | 2    | A-1    | 3.5
//	as of 2024-01-01
//	expect joined.vent_runs
//	run | vent_length_m
//	0   | 3.5
//
// An empty cell is NULL. A column left out is NULL, or 0 or false where NULL is
// not allowed. The order of expected rows does not count: the values are
// invented, and each file says by which rule they follow.
type block struct {
	relation string
	columns  []string
	rows     [][]string
}

type occasion struct {
	asOf   string
	expect []block
}

type givenCase struct {
	given     []block
	occasions []occasion
}

func readCase(t *testing.T, path string) givenCase {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	var c givenCase
	var open *block
	for lines := bufio.NewScanner(f); lines.Scan(); {
		line := strings.TrimSpace(lines.Text())
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "given "):
			c.given = append(c.given, block{relation: line[6:]})
			open = &c.given[len(c.given)-1]
		case strings.HasPrefix(line, "as of "):
			c.occasions = append(c.occasions, occasion{asOf: line[6:]})
		case strings.HasPrefix(line, "expect "):
			o := &c.occasions[len(c.occasions)-1]
			o.expect = append(o.expect, block{relation: line[7:]})
			open = &o.expect[len(o.expect)-1]
		case open.columns == nil:
			open.columns = cells(line)
		default:
			require.Len(t, cells(line), len(open.columns), line)
			open.rows = append(open.rows, cells(line))
		}
	}
	require.NotEmpty(t, c.occasions, path)
	return c
}

func cells(line string) []string {
	parts := strings.Split(line, "|")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts
}

// turnedAlways are the cases that the normal suite turns round too: copies, order
// of exports and intervals.
var turnedAlways = []string{"corrections", "repeats", "fuels_and_targets"}

// TestCases builds each case for its first day and again for each day after it, and
// for the first day a second time with the rows of each table and the files' keys
// turned round (in the normal suite the cases of turnedAlways). The result is the
// same, and no check finds a wrong row. In the long suite each day has a warehouse
// of its own.
func TestCases(t *testing.T) {
	paths, err := filepath.Glob("testdata/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		name := strings.TrimSuffix(filepath.Base(path), ".txt")
		c := readCase(t, path)
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			long := os.Getenv("FLUEDRIFT_LONG") != ""
			runCase(t, c, c.occasions, false)
			if long || slices.Contains(turnedAlways, name) {
				runCase(t, c, c.occasions[:1], true)
			}
			for i := 1; long && i < len(c.occasions); i++ {
				runCase(t, c, c.occasions[i:i+1], false)
			}
		})
	}
}

// runCase gives a warehouse the rows of a case and builds it for day after day.
func runCase(t *testing.T, c givenCase, days []occasion, turn bool) {
	w := inMemory(t)
	keys := turnedKeys(c, turn)
	for _, b := range c.given {
		rows := slices.Clone(b.rows)
		if turn {
			slices.Reverse(rows)
		}
		give(t, w, b.relation, b.columns, renamed(b.columns, rows, keys))
	}
	for i, o := range days {
		build := w.Build
		if i > 0 {
			build = w.BuildAgain
		}
		require.NoError(t, build(t.Context(), dayOf(t, o.asOf)))
		for _, b := range o.expect {
			got := renamed(b.columns, ask(t, w, b), turnedBack(keys))
			assert.Equal(t, table(b.columns, b.rows), table(b.columns, got), "%s as of %s", b.relation, o.asOf)
		}
		checks, err := w.Checks(t.Context())
		require.NoError(t, err)
		for _, c := range checks {
			assert.Zero(t, c.Wrong, "%s as of %s: %v", c.Name, o.asOf, c.First)
		}
	}
}

// inMemory makes a warehouse with empty tables that no file holds: the statements
// are the same, and nothing is written.
func inMemory(t *testing.T) *Warehouse {
	t.Helper()
	s := &session{}
	require.NoError(t, s.connect(t.Context(), Options{Threads: 1}, "read_write"))
	w := &Warehouse{
		session: s, Records: Records{s}, Exports: Exports{s}, Results: Results{s}, Checker: Checker{s},
		asOf: day.None, opts: Options{Version: "1"},
	}
	t.Cleanup(func() { require.NoError(t, w.Close()) })
	require.NoError(t, w.run(t.Context(), tableSteps()))
	return w
}

// turnedKeys gives the files' keys other numbers, in reverse.
func turnedKeys(c givenCase, turn bool) map[string]string {
	keys := map[string]string{}
	for _, b := range c.given {
		if !turn || b.relation != "source.files" {
			continue
		}
		for i, row := range b.rows {
			keys[row[slices.Index(b.columns, "file_key")]] = b.rows[len(b.rows)-1-i][slices.Index(b.columns, "file_key")]
		}
	}
	return keys
}

func turnedBack(keys map[string]string) map[string]string {
	back := map[string]string{}
	for k, v := range keys {
		back[v] = k
	}
	return back
}

// renamed replaces the files' keys wherever a column holds them.
func renamed(columns []string, rows [][]string, keys map[string]string) [][]string {
	out := make([][]string, len(rows))
	for i, row := range rows {
		out[i] = slices.Clone(row)
		for j, column := range columns {
			if new, ok := keys[row[j]]; ok && strings.HasSuffix(column, "file_key") {
				out[i][j] = new
			}
		}
	}
	return out
}

// table writes rows for comparison, in order of their text.
func table(columns []string, rows [][]string) string {
	lines := make([]string, len(rows))
	for i, row := range rows {
		lines[i] = strings.Join(row, " | ")
	}
	slices.Sort(lines)
	return strings.Join(columns, " | ") + "\n" + strings.Join(lines, "\n")
}

// ask gives the named columns of a relation as text.
func ask(t *testing.T, w *Warehouse, b block) [][]string {
	rows, err := w.conn.QueryContext(context.Background(), "select "+strings.Join(b.columns, ", ")+" from "+b.relation)
	require.NoError(t, err)
	defer rows.Close()
	var out [][]string
	for rows.Next() {
		values, places := make([]any, len(b.columns)), make([]any, len(b.columns))
		for i := range values {
			places[i] = &values[i]
		}
		require.NoError(t, rows.Scan(places...))
		row := make([]string, len(values))
		for i, v := range values {
			switch v := v.(type) {
			case nil:
			case time.Time:
				row[i] = v.Format(time.DateOnly)
			default:
				row[i] = fmt.Sprint(v)
			}
		}
		out = append(out, row)
	}
	require.NoError(t, rows.Err())
	return out
}

// tableColumns keeps what columnsOf found: all warehouses have the same tables.
var tableColumns sync.Map

// columnsOf gives name, type and nullability of each column of a table.
func columnsOf(t *testing.T, w *Warehouse, relation string) [][]string {
	if known, ok := tableColumns.Load(relation); ok {
		return known.([][]string)
	}
	schema, name, _ := strings.Cut(relation, ".")
	known := ask(t, w, block{
		relation: "information_schema.columns where table_schema = '" + schema + "' and table_name = '" + name + "' order by ordinal_position",
		columns:  []string{"column_name", "data_type", "is_nullable"},
	})
	require.NotEmpty(t, known, relation)
	tableColumns.Store(relation, known)
	return known
}

// give loads rows written as text into a table.
func give(t *testing.T, w *Warehouse, relation string, columns []string, rows [][]string) {
	known := columnsOf(t, w, relation)
	for _, c := range columns {
		require.True(t, slices.ContainsFunc(known, func(k []string) bool { return k[0] == c }), "%s has no column %s", relation, c)
	}
	var fields []arrow.Field
	for _, k := range known {
		fields = append(fields, arrow.Field{Name: k[0], Type: arrowType(k[1]), Nullable: true})
	}
	b := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	defer b.Release()
	for _, row := range rows {
		for i, k := range known {
			cell := ""
			if at := slices.Index(columns, k[0]); at >= 0 {
				cell = row[at]
			} else if k[2] == "NO" {
				cell = map[bool]string{true: "false", false: "0"}[k[1] == "BOOLEAN"]
			}
			if cell == "" {
				b.Field(i).AppendNull()
				continue
			}
			require.NoError(t, b.Field(i).AppendValueFromString(cell), "%s.%s", relation, k[0])
		}
	}
	rec := b.NewRecord()
	defer rec.Release()
	require.NoError(t, w.Load(context.Background(), relation, rec))
}

func arrowType(sql string) arrow.DataType {
	types := map[string]arrow.DataType{
		"INTEGER": arrow.PrimitiveTypes.Int32, "BIGINT": arrow.PrimitiveTypes.Int64, "SMALLINT": arrow.PrimitiveTypes.Int16,
		"TINYINT": arrow.PrimitiveTypes.Int8, "UBIGINT": arrow.PrimitiveTypes.Uint64, "DOUBLE": arrow.PrimitiveTypes.Float64,
		"DATE": arrow.FixedWidthTypes.Date32, "BOOLEAN": arrow.FixedWidthTypes.Boolean,
	}
	if t, ok := types[sql]; ok {
		return t
	}
	return arrow.BinaryTypes.String
}

// day of a date written yyyy-mm-dd, for tests.
func dayOf(t *testing.T, text string) day.Day {
	d, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return day.Day(d.Unix() / 86400)
}

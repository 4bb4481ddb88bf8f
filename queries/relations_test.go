package queries

import (
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// column is a column as the engine knows it.
type column struct{ relation, name, comment string }

// describedColumns asks the engine for all columns of a warehouse.
func describedColumns(t *testing.T, w *Warehouse) (all []column) {
	a, err := w.Ask(context.Background(), `select schema_name || '.' || table_name, column_name, comment from duckdb_columns()
		where not internal order by schema_name, table_name, column_index`, Limits{Rows: 1 << 20, Time: 1 << 40})
	require.NoError(t, err)
	for _, row := range a.Rows {
		all = append(all, column{row[0].Text, row[1].Text, row[2].Text})
	}
	return all
}

// commentsFor writes the statements that describe a relation.
func commentsFor(t *testing.T, r Relation, view bool, all []column) string {
	var out strings.Builder
	say := func(of, name, words string) {
		fmt.Fprintf(&out, "comment on %s %s is '%s';\n", of, name, strings.ReplaceAll(words, "'", "''"))
	}
	of := "table"
	if view {
		of = "view"
	}
	say(of, r.Name, r.Grain+": "+r.Why)
	for _, c := range all {
		if c.relation != r.Name {
			continue
		}
		m, known := meaningOf(r.Name, c.name)
		assert.True(t, known, "%s.%s is not described in comment/columns.csv", r.Name, c.name)
		if m.Unit != "" {
			m.Meaning += " (" + m.Unit + ")"
		}
		say("column", r.Name+"."+c.name, m.Meaning)
	}
	return out.String()
}

// viewsOf are the relations of a warehouse that are views.
func viewsOf() map[string]bool {
	views := map[string]bool{}
	for _, s := range steps("build") {
		for _, m := range makesOf.FindAllStringSubmatch(s.text, -1) {
			views[m[1]] = strings.Contains(m[0], "create view")
		}
	}
	return views
}

// keptComments compares the files of statements, or writes them.
func keptComments(t *testing.T, want map[string]string) {
	kept, err := filepath.Glob("comment/*.sql")
	require.NoError(t, err)
	if *update {
		for _, name := range kept {
			require.NoError(t, os.Remove(name))
		}
		for name, text := range want {
			require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
		}
		return
	}
	require.ElementsMatch(t, kept, slices.Collect(maps.Keys(want)), "a file a relation: -update writes them")
	for name, text := range want {
		is, err := os.ReadFile(name)
		require.NoError(t, err)
		require.Equal(t, text, string(is), "go test ./queries -run EveryColumn -update writes %s", name)
	}
}

// TestEveryColumnIsDescribed: the warehouse says of each schema, relation and column
// what it holds, in the words of one table; no word of the table is without a column.
// -update writes the statements.
func TestEveryColumnIsDescribed(t *testing.T) {
	ctx := context.Background()
	w, err := Create(ctx, filepath.Join(t.TempDir(), "w.duckdb"), Options{Version: "test"})
	require.NoError(t, err)
	defer w.Close()
	require.NoError(t, w.Build(ctx, 20000))
	all := describedColumns(t, w)
	views, want := viewsOf(), map[string]string{}
	for _, r := range Relations() {
		want["comment/"+r.Name+".sql"] = commentsFor(t, r, views[r.Name], all)
	}
	keptComments(t, want)
	require.NoError(t, w.Describe(ctx))
	used := map[string]bool{}
	for _, c := range describedColumns(t, w) {
		assert.NotEmpty(t, c.comment, "%s.%s", c.relation, c.name)
		if _, special := meanings()[c.relation+"."+c.name]; special {
			used[c.relation+"."+c.name] = true
			continue
		}
		used[c.name] = true
	}
	unused := slices.DeleteFunc(slices.Sorted(maps.Keys(meanings())), func(name string) bool { return used[name] })
	assert.Empty(t, unused, "described in comment/columns.csv, and no column is called so")
	a, err := w.Ask(ctx, `select count(*) from (
		select comment from duckdb_tables() where not internal union all select comment from duckdb_views() where not internal
	) where comment is null`, Limits{Rows: 1, Time: 1 << 40})
	require.NoError(t, err)
	assert.Equal(t, "0", a.Rows[0][0].Text)
	for _, r := range Relations() {
		assert.NotEmpty(t, r.Columns(), r.Name)
	}
	a, err = w.Ask(ctx, "select * from about.schemas", Limits{Rows: 100, Time: 1 << 40})
	require.NoError(t, err)
	require.Len(t, a.Rows, len(SchemaWords))
	for i, s := range SchemaWords {
		assert.Equal(t, []string{s.Name, s.Holds}, []string{a.Rows[i][0].Text, a.Rows[i][1].Text})
	}
}

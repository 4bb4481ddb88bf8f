package main

import (
	"context"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/queries"
)

// TestJoinsLeadSomewhere: each arrow of help warehouse begins and ends at columns that
// are there.
func TestJoinsLeadSomewhere(t *testing.T) {
	has := map[string]bool{}
	for _, r := range queries.Relations() {
		for _, c := range r.Columns() {
			has[r.Name+"."+c.Name] = true
		}
	}
	for _, j := range joins {
		for c := range strings.FieldsSeq(j.columns) {
			assert.Contains(t, has, j.from+"."+c)
			if to := renamedKeys[c]; to != "" {
				c = to
			}
			assert.Contains(t, has, j.to+"."+c)
		}
	}
}

// TestQuestionsOfHelpAreAnswered by an empty warehouse too.
func TestQuestionsOfHelpAreAnswered(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "w.duckdb")
	w, err := queries.Create(ctx, path, queries.Options{})
	require.NoError(t, err)
	defer w.Close()
	require.NoError(t, w.Build(ctx, 20000))
	for _, q := range questions {
		_, err := w.Ask(ctx, q.statement, queries.Limits{Rows: 10, Time: time.Minute})
		require.NoError(t, err, q.asks)
	}
}

// TestOtherProgramsReadTheWarehouse: the examples of help warehouse, where the
// programs are installed: the engine's own shell, its packages for Python, R and
// Node.js. None of them was written here.
func TestOtherProgramsReadTheWarehouse(t *testing.T) {
	dir := t.TempDir()
	all, err := smallNight()
	require.NoError(t, err)
	require.NoError(t, all.write(dir))
	const statement = "select count(*) || ' ' || count(c.comment) from joined.units u, duckdb_columns() c where c.schema_name = 'joined'"
	programs := []struct {
		name      string
		installed []string // ends well where it is, with the engine's package
		reads     []string
	}{
		{"duckdb", []string{"-version"}, []string{"-readonly", "-noheader", "-list", "warehouse.duckdb", statement}},
		{"python3", []string{"-c", "import duckdb"}, []string{"-c", "import duckdb; print(duckdb.connect('warehouse.duckdb', " +
			"read_only=True).sql(\"\"\"" + statement + "\"\"\").fetchone()[0])"}},
		{"Rscript", []string{"-e", "library(duckdb)"}, []string{"-e", "cat(DBI::dbGetQuery(DBI::dbConnect(duckdb::duckdb(), " +
			"'warehouse.duckdb', read_only = TRUE), \"" + statement + "\")[[1]])"}},
		{"node", []string{"-e", "require('@duckdb/node-api')"}, []string{"-e", "const d = require('@duckdb/node-api'); (async () => { " +
			"const i = await d.DuckDBInstance.create('warehouse.duckdb', {access_mode: 'READ_ONLY'}); " +
			"const r = await (await i.connect()).runAndReadAll(\"" + statement + "\"); console.log(r.getRows()[0][0]) })()"}},
	}
	w, err := queries.Open(context.Background(), filepath.Join(dir, "warehouse.duckdb"), queries.Options{})
	require.NoError(t, err)
	own, err := w.Ask(context.Background(), statement, queries.Limits{Rows: 1, Time: time.Minute})
	require.NoError(t, err)
	require.NoError(t, w.Close())
	read := 0
	for _, p := range programs {
		if exec.Command(p.name, p.installed...).Run() != nil {
			t.Logf("%s with the engine's package is not installed", p.name)
			continue
		}
		read++
		c := exec.Command(p.name, p.reads...)
		c.Dir = dir
		out, err := c.Output()
		require.NoError(t, err, p.name)
		assert.Equal(t, own.Rows[0][0].Text, strings.TrimSpace(string(out)), p.name)
	}
	if read == 0 {
		t.Skip("no other program that reads the warehouse is installed")
	}
}

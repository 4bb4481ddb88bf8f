package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// byContract casts rows by a Table Schema with the library of those who keep that format,
// for Node.js, and prints what it refuses.
const byContract = `
const { Schema } = require('tableschema');
(async () => {
  const { schema, rows } = JSON.parse(require('fs').readFileSync(0, 'utf8'));
  const s = await Schema.load(schema, { strict: true }), wrong = [];
  rows.forEach((row, i) => { try { s.castRow(row) } catch (e) { wrong.push(i) } });
  console.log(JSON.stringify(wrong));
})().catch(e => { console.error(e); process.exit(1) });`

// refused are the rows of an export that its contract refuses, by a checker we did not
// write.
func refused(t *testing.T, schema layout.TableSchema, header []string, rows [][]string) []int {
	var ordered [][]string
	for _, row := range rows {
		var one []string
		for _, f := range schema.Fields {
			cell := ""
			if at := slices.Index(header, f.Name); at >= 0 {
				cell = row[at]
			}
			one = append(one, cell)
		}
		ordered = append(ordered, one)
	}
	text, err := json.Marshal(map[string]any{"schema": schema, "rows": ordered})
	require.NoError(t, err)
	var wrong []int
	inNode(t, t.TempDir(), byContract, text, &wrong, "tableschema")
	return wrong
}

// TestExportsKeepTheirContract: the exports of the small fleet are what inspect -schema
// says of their layouts, and a damaged cell of a measure or a day is not, by a checker
// that was not written here (Node.js with tableschema).
func TestExportsKeepTheirContract(t *testing.T) {
	all, err := layout.Load("testdata/small/layouts")
	require.NoError(t, err)
	files, err := filepath.Glob("testdata/small/exports/*.csv")
	require.NoError(t, err)
	for _, l := range all {
		schema, seen := layout.SchemaOf(l), 0
		for _, file := range files {
			if ok, _ := path.Match(l.Match.Names[0], filepath.Base(file)); !ok {
				continue
			}
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			r := csv.NewReader(bytes.NewReader(text))
			r.Comma = rune(l.File.Delimiter[0])
			rows, err := r.ReadAll()
			require.NoError(t, err)
			seen += len(rows) - 1
			assert.Empty(t, refused(t, schema, rows[0], rows[1:]), file)
			damaged := 0
			for _, f := range schema.Fields {
				if at := slices.Index(rows[0], f.Name); at >= 0 && (f.Type == "number" || f.Type == "date") {
					broken := slices.Clone(rows[1])
					broken[at] = "x9"
					assert.Len(t, refused(t, schema, rows[0], [][]string{broken}), 1, f.Name)
					damaged++
				}
			}
			assert.NotZero(t, damaged, file)
		}
		assert.NotZero(t, seen, l.Name)
	}
}

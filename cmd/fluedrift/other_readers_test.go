package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/queries"
)

// inNode runs a script of Node.js in a folder, on a text, and reads what it prints as
// JSON. It skips the test where the program or one of the packages is not installed; a
// script that then fails is a failure.
func inNode(t *testing.T, folder, script string, stdin []byte, into any, packages ...string) {
	t.Helper()
	for _, name := range packages {
		if exec.Command("node", "-e", fmt.Sprintf("require.resolve(%q)", name)).Run() != nil {
			t.Skipf("Node.js with %s is not installed", name)
		}
	}
	c := exec.Command("node", "-e", script)
	c.Dir, c.Stdin = folder, bytes.NewReader(stdin)
	var errs bytes.Buffer
	c.Stderr = &errs
	out, err := c.Output()
	require.NoError(t, err, "%s", errs.String())
	require.NoError(t, json.Unmarshal(out, into), "%s", out)
}

// sameCell compares two texts of a cell, numbers by what they are.
func sameCell(want, got string) bool {
	a, noNumber := strconv.ParseFloat(want, 64)
	b, neither := strconv.ParseFloat(got, 64)
	return want == got || noNumber == nil && neither == nil && a == b
}

// sameParquet holds every cell of a Parquet file to rows of texts under their names,
// and returns how many columns are of each type.
func sameParquet(t *testing.T, want [][]string, path string) (kinds map[string]int) {
	p, err := queries.OpenParquet(context.Background(), path)
	require.NoError(t, err)
	defer p.Close()
	columns := p.Columns()
	require.Len(t, columns, len(want[0]), path)
	kinds = map[string]int{}
	for i, c := range columns {
		require.Equal(t, want[0][i], c.Name, path)
		kinds[c.Type]++
	}
	line := 0
	for more := true; more; {
		more, err = p.Rows(context.Background(), func(cells []string, _ []bool) error {
			line++
			for i, cell := range cells {
				same := cell == want[line][i] || columns[i].Type == "DOUBLE" && sameCell(want[line][i], cell)
				require.True(t, same, "%s, line %d, %s: %q and %q", path, line, columns[i].Name, want[line][i], cell)
			}
			return nil
		})
		require.NoError(t, err)
	}
	require.Equal(t, len(want)-1, line, path)
	return kinds
}

// csvRows are the rows of a list as its CSV has them, each with the day before it.
func csvRows(t *testing.T, folder, name, asOf string) [][]string {
	rows := readTable(t, folder, name+".csv")
	for i := range rows {
		rows[i] = append([]string{asOf}, rows[i]...)
	}
	rows[0][0] = "as_of"
	return rows
}

// theLists is a folder of the small fleet's publication, and its day.
func theLists(t *testing.T) (folder, asOf string) {
	dir := t.TempDir()
	all, err := smallNight()
	require.NoError(t, err)
	require.NoError(t, all.write(dir))
	folder, err = filepath.EvalSymlinks(filepath.Join(dir, "lists", "latest"))
	require.NoError(t, err)
	return folder, "2025-03-03"
}

// TestParquetListsHoldWhatCSVHolds, cell by cell, as the engine reads them.
func TestParquetListsHoldWhatCSVHolds(t *testing.T) {
	folder, asOf := theLists(t)
	for _, name := range publishedLists {
		want := csvRows(t, folder, name, asOf)
		sameParquet(t, want, filepath.Join(folder, name+".parquet"))
	}
}

// byHyparquet reads Parquet files in another language into rows of texts: numbers as that
// language writes them, days as ISO 8601, nothing as "".
const byHyparquet = `
const h = require('hyparquet'), fs = require('fs'), { compressors } = require('hyparquet-compressors');
(async () => {
  const out = {};
  for (const path of fs.readdirSync('.').filter(name => name.endsWith('.parquet'))) {
    const b = fs.readFileSync(path), file = b.buffer.slice(b.byteOffset, b.byteOffset + b.length);
    const names = h.parquetSchema(h.parquetMetadata(file)).children.map(c => c.element.name);
    const rows = await h.parquetReadObjects({ file, compressors });
    out[path] = [names].concat(rows.map(r => names.map(n =>
      r[n] === null || r[n] === undefined ? '' : r[n] instanceof Date ? r[n].toISOString().slice(0, 10) : String(r[n]))));
  }
  console.log(JSON.stringify(out));
})().catch(e => { console.error(e); process.exit(1) });`

// TestParquetListsInAnotherReader compares with CSV what hyparquet finds.
func TestParquetListsInAnotherReader(t *testing.T) {
	folder, asOf := theLists(t)
	var got map[string][][]string
	inNode(t, folder, byHyparquet, nil, &got, "hyparquet", "hyparquet-compressors")
	for _, name := range publishedLists {
		want, rows := csvRows(t, folder, name, asOf), got[name+".parquet"]
		require.Len(t, rows, len(want), name)
		for i, row := range want {
			for k, cell := range row {
				assert.True(t, sameCell(cell, rows[i][k]), "%s, row %d, %s: %q and %q", name, i, want[0][k], cell, rows[i][k])
			}
		}
	}
}

// byTableSchema checks a data package and reads each of its lists by its schema, with the
// library of those who keep that format.
const byTableSchema = `
const { Package } = require('datapackage');
(async () => {
  const p = await Package.load('datapackage.json', { basePath: '.' }), out = {};
  if (!p.valid) throw new Error(p.errors.join('; '));
  for (const r of p.resources) out[r.name] = (await r.read()).length;
  console.log(JSON.stringify(out));
})().catch(e => { console.error(String(e), (e.errors || []).join('; ')); process.exit(1) });`

// TestTableSchemaIsBorneOut: every cell of every list is what its schema says.
func TestTableSchemaIsBorneOut(t *testing.T) {
	folder, asOf := theLists(t)
	var got map[string]int
	inNode(t, folder, byTableSchema, nil, &got, "datapackage")
	for _, name := range publishedLists {
		assert.Equal(t, len(csvRows(t, folder, name, asOf))-1, got[name], name)
	}
}

// byCSVW reads each list as W3C's metadata vocabulary says, with rdf-parser-csvw (and
// jsonld, n3, rdf-ext), into rows of values by column.
const byCSVW = `
const fs = require('fs'), path = require('path'), jsonld = require('jsonld'), N3 = require('n3');
const load = async name => (await import(require.resolve(name))).default;
(async () => {
  const rdf = await load('rdf-ext'), CsvParser = await load('rdf-parser-csvw');
  const vocabulary = JSON.parse(fs.readFileSync(path.join(path.dirname(require.resolve('rdf-parser-csvw')), 'test/support/csvw.json')));
  const documentLoader = async url => ({ contextUrl: null, documentUrl: url, document: vocabulary });
  const all = JSON.parse(fs.readFileSync('csv-metadata.json')), out = {};
  for (const table of all.tables) {
    const base = 'http://x/' + table.url, one = { '@context': all['@context'], ...table };
    const quads = await jsonld.toRDF(one, { documentLoader, format: 'application/n-quads', base });
    const metadata = rdf.dataset(new N3.Parser({ format: 'N-Quads' }).parse(quads)), rows = {};
    const parser = new CsvParser({ metadata, baseIRI: base, factory: rdf, timezone: 'utc' });
    for await (const q of parser.import(fs.createReadStream(table.url, 'utf8'))) {
      const ours = q.object.termType === 'Literal' && !q.predicate.value.startsWith('http://www.w3.org/ns/csvw#');
      if (!ours) continue;
      const column = decodeURIComponent(q.predicate.value.split('#').pop());
      (rows[q.subject.value] = rows[q.subject.value] || {})[column] = q.object.value;
    }
    out[table.url] = Object.values(rows);
  }
  console.log(JSON.stringify(out));
})().catch(e => { console.error(e); process.exit(1) });`

// TestCSVWIsBorneOut: a reader of CSV on the Web that we did not write finds in each list
// the cells that stand there.
func TestCSVWIsBorneOut(t *testing.T) {
	folder, asOf := theLists(t)
	var got map[string][]map[string]string
	inNode(t, folder, byCSVW, nil, &got, "rdf-parser-csvw", "jsonld", "n3", "rdf-ext")
	for _, name := range publishedLists {
		want := csvRows(t, folder, name, asOf)
		require.Len(t, got[name+".csv"], len(want)-1, name)
		for i, row := range want[1:] {
			for k, cell := range row[1:] {
				column := want[0][k+1]
				assert.True(t, sameCell(cell, got[name+".csv"][i][column]), "%s, row %d, %s: %q and %q", name, i+1, column, cell,
					got[name+".csv"][i][column])
			}
		}
	}
}

// TestJSONListsHoldWhatCSVHolds, cell by cell, by the reader of the language's library.
func TestJSONListsHoldWhatCSVHolds(t *testing.T) {
	folder, asOf := theLists(t)
	for _, name := range publishedLists {
		text, err := os.ReadFile(filepath.Join(folder, name+".json"))
		require.NoError(t, err)
		var list struct {
			Rows []map[string]any `json:"rows"`
		}
		read := json.NewDecoder(bytes.NewReader(text))
		read.UseNumber()
		require.NoError(t, read.Decode(&list))
		want := csvRows(t, folder, name, asOf)
		require.Len(t, list.Rows, len(want)-1, name)
		for i, row := range want[1:] {
			for k, cell := range row[1:] {
				got := ""
				if v := list.Rows[i][want[0][k+1]]; v != nil {
					got = fmt.Sprint(v)
				}
				assert.True(t, sameCell(strings.TrimPrefix(cell, "'"), got), "%s, row %d, %s: %q and %q", name, i+1, want[0][k+1], cell, got)
			}
		}
	}
}

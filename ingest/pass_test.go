package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// ofOtherFiles are the rows of a table without the key of their file, those of
// the file of that key left out.
func ofOtherFiles(w fakeWarehouse, table, key string) (all []string) {
	for _, row := range w[table] {
		if row["file_key"] == key {
			continue
		}
		delete(row, "file_key")
		all = append(all, row.show())
	}
	return all
}

// TestRefusedAtItsEnd: a file whose end shows that it must not be read leaves no
// row behind, whether its rows were loaded already or not, and those of the files
// beside it are the same as without it.
func TestRefusedAtItsEnd(t *testing.T) {
	defer func(rows int) { batchRows = rows }(batchRows)
	good := func(visit string) string {
		return readingsFile(goodRowWith("A1", visit), goodRowWith("2023-02-06", "6.2.2023"), goodRowWith("A1", "C1", ",17,", ",l7,"))
	}
	var cut strings.Builder
	cut.WriteString(readingsHeader)
	for i := range 20 {
		fmt.Fprintf(&cut, "\n%s\nA%d,BX-7,6.2.2023,annual,T1,M1,high,found-so,9.1,4.9,400,181,19\n"+
			"C%[2]d,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,4O0,181,19", goodRowWith("A1", fmt.Sprintf("B%d", i)), i)
	}
	for _, rows := range []int{1, 3, 5, 1000} {
		batchRows = rows
		files := map[string]string{"tests.toml": readingsLayout(nil), "tests_a.csv": good("V1"), "tests_c.csv": good("V2")}
		_, want := readInto(t, folder(t, files))
		files["tests_b.csv"] = cut.String()
		o := folder(t, files)
		if rows == 3 {
			build(t, o, mustDay(t, "2023-03-01")) // its checks hold
		}
		r, got := readInto(t, o)
		assert.Equal(t, []string{WasRead, Incomplete, WasRead}, outcomes(r))
		assert.Len(t, got["source.files"], 3)
		assert.Empty(t, r.Files[1].Parsed+r.Files[1].Lines)
		assert.NotEmpty(t, r.Files[1].Digest)
		for _, table := range []string{
			"record.visits", "record.readings", "source.columns", "source.set_aside", "source.cells_set_aside",
			"source.unused_co",
		} {
			for _, row := range got[table] {
				assert.NotEqual(t, "2", row["file_key"], table)
			}
			assert.Equal(t, ofOtherFiles(want, table, ""), ofOtherFiles(got, table, "2"), "%s, batches of %d", table, rows)
			assert.NotEmpty(t, got[table], table)
		}
	}
}

// TestSameSize: a file as large as an earlier one is read unless its bytes are
// the same, whatever its rows are loaded in.
func TestSameSize(t *testing.T) {
	defer func(rows int) { batchRows = rows }(batchRows)
	batchRows = 1
	text := readingsFile(goodRow)
	r, w := readInto(t, folder(t, map[string]string{
		"tests.toml": readingsLayout(nil), "tests_a.csv": text, "tests_b.csv": strings.Replace(text, "A1", "A2", 1), "tests_c.csv": text,
	}))
	assert.Equal(t, []string{WasRead, WasRead, SameBytes}, outcomes(r))
	assert.Equal(t, r.Files[0].Digest, r.Files[2].Digest)
	assert.Len(t, w["record.readings"], 2)
}

// TestDayOfTheExportInAColumn: which days are still to come shows when the whole
// file is read; nothing of a first reading stays.
func TestDayOfTheExportInAColumn(t *testing.T) {
	defer func(rows int) { batchRows = rows }(batchRows)
	for _, batchRows = range []int{1, 1000} {
		l := strings.Replace(readingsLayout(nil), "[match]", "[export_day]\nfrom = \"column\"\ncolumn = \"As of\"\n[match]", 1)
		early, late := goodRowWith("2023-02-06", "2023-03-06"), goodRowWith("A1", "A2")
		r, w := readInto(t, folder(t, map[string]string{
			"tests.toml": l,
			"tests.csv":  asLines(readingsHeader+",As of", early+",2023-02-01", late+",2023-02-07"),
		}))
		f := r.Files[0]
		assert.Equal(t, WasRead, f.Outcome, f.Message)
		assert.Equal(t, mustDay(t, "2023-02-07"), f.ExportDay)
		assert.Equal(t, map[string]int64{futureDate: 1}, f.Reasons)
		assert.Len(t, w["record.readings"], 1)
		assert.Len(t, w["source.set_aside"], 1)
		assert.Equal(t, "0", w["record.visits"][0]["visit_row"])
	}
}

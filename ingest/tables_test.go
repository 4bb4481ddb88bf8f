package ingest

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// Layouts of the register and of the readings in one file.
const (
	firstTable = "name = \"list\"\nrecord = \"units\"\nsource = \"x\"\n[match]\nnames = [\"both*\"]\n[file]\ntable = 1\n" +
		"last_line = \"any\"\n" +
		"[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n[[column]]\nheader = \"Line\"\nfield = \"model_line\"\n"
	secondTable = "name = \"tests\"\nrecord = \"readings\"\nform = \"wide\"\nsource = \"x\"\n[match]\nnames = [\"both*\"]\n" +
		"[file]\ntable = 2\nlast_line = \"any\"\n" +
		"[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n[[column]]\nheader = \"Day\"\nfield = \"day\"\n" +
		"[[column]]\nheader = \"CO2\"\nfield = \"co2\"\nfire = \"high\"\ncondition = \"as found\"\n"
)

// readTables reads files of two tables, and gives them with all that is stored by line.
func readTables(t *testing.T, files map[string]string) ([]File, []string) {
	t.Helper()
	r, w := readInto(t, folder(t, files))
	all := append(shown(w["record.units"], "line", "serial", "model_line"), shown(w["record.readings"], "line", "co2_percent")...)
	all = append(all, shown(w["record.visits"], "line", "serial", "day")...)
	return r.Files, append(all, shown(w["source.set_aside"], "line", "reason")...)
}

// Two tables of one file, each under its header, are read each by its layout; lines of the
// other, and its title, are skipped and counted, and no line is lost.
func TestTwoTables(t *testing.T) {
	text := asLines("Fleet", "", "Boiler,Line", "K1,T40", "K2,T60", "", "Tests", "Boiler,Day,CO2",
		"K1,2024-03-25,9.1", "K2,never,9.2", "", "Boiler,Line", "K3,T60,x")
	files, all := readTables(t, map[string]string{"a.toml": firstTable, "b.toml": secondTable, "both.csv": text})
	require.Len(t, files, 2)
	one, two := files[0], files[1]
	assert.Equal(t, []string{"both.csv", "both[table 2].csv"}, []string{one.Name, two.Name})
	assert.Equal(t, []int64{13, 2, 0, 8, 2, 1}, []int64{one.Lines, one.Header, one.Blank, one.Skipped, one.Parsed, one.SetAside}, one.Message)
	assert.Equal(t, []int64{13, 1, 0, 10, 1, 1}, []int64{two.Lines, two.Header, two.Blank, two.Skipped, two.Parsed, two.SetAside}, two.Message)
	assert.Equal(t, []string{
		"line=4 serial=K1 model_line=T40", "line=5 serial=K2 model_line=T60", "line=9 co2_percent=9.1", "line=9 serial=K1 day=2024-03-25",
		"line=13 reason=wrong-field-count", "line=10 reason=unreadable-date",
	}, all)
	assert.Contains(t, one.Message, "4 lines of other tables are skipped; the first is line 7")
	assert.Equal(t, one.Digest, two.Digest)

	o := folder(t, map[string]string{"a.toml": firstTable, "b.toml": secondTable, "both.csv": text, "other.csv": "x\n"})
	looked, err := Inspect(context.Background(), nil, o, func(name string) bool { return name == "both.csv" })
	require.NoError(t, err)
	require.Len(t, looked, 2, "inspect shows both tables of a file")
	assert.Equal(t, []Fit{{Layout: "tests", OK: true}}, looked[1].Fits)
	assert.Empty(t, looked[1].Draft)
}

// Property: two tables in one file, in any order and taking turns, read as each in a file of
// its own.
func TestTablesReadAsFiles(t *testing.T) {
	for seed := range 25 {
		draw := func(n int) int { return rapid.IntRange(0, n).Example(seed*7 + n) }
		var units, tests []string
		for i := range draw(4) {
			units = append(units, fmt.Sprintf("K%d,T%d", i, 40+i))
		}
		for i := range draw(5) {
			tests = append(tests, fmt.Sprintf("K%d,2024-03-%02d,9.%d", i, i+1, i))
		}
		first, second := append([]string{"Boiler,Line"}, units...), append([]string{"Boiler,Day,CO2"}, tests...)
		apart := func(toml string, table []string) []string {
			files, all := readTables(t, map[string]string{"a.toml": toml, "both.csv": asLines(table...)})
			require.Len(t, files, 1)
			return withoutLines(all)
		}
		want := append(apart(firstTable, first), apart(secondTable, second)...)
		slices.Sort(want)
		cut := draw(len(first)-1) + 1
		for _, text := range [][]string{
			append(slices.Clone(first), second...), append(append(slices.Clone(second), "", "The list"), first...),
			slices.Concat(first[:cut], []string{"x"}, second, []string{""}, first[:1], first[cut:]),
		} {
			_, all := readTables(t, map[string]string{"a.toml": firstTable, "b.toml": secondTable, "both.csv": asLines(text...)})
			got := withoutLines(all)
			slices.Sort(got)
			require.Equal(t, want, got, "seed %d: %q", seed, text)
		}
	}
}

// withoutLines leaves the numbers of lines out.
func withoutLines(all []string) (out []string) {
	for _, s := range all {
		_, rest, _ := strings.Cut(s, " ")
		out = append(out, rest)
	}
	return out
}

// In a sheet of a workbook tables stand below each other too.
func TestTablesOfASheet(t *testing.T) {
	book := func(toml string) string {
		of := strings.NewReplacer("[file]\n", "[file]\ntype = \"xlsx\"\ndates = \"day number 1900\"\n", "last_line = \"any\"\n", "")
		return of.Replace(toml)
	}
	o := folder(t, map[string]string{"a.toml": book(firstTable), "b.toml": book(secondTable)})
	writeSheets(t, filepath.Join(o.Folder, "both.xlsx"), []sheetOf{{name: "x", rows: [][]any{
		{"Fleet"},
		{"Boiler", "Line"},
		{"K1", "T40"},
		{},
		{"Tests"},
		{"Boiler", "Day", "CO2", "Note"},
		{"K1", 45001, 9.1, "n"},
		{"K2", 45002, 9.2},
	}}})
	r, w := readInto(t, o)
	assert.Equal(t, []int64{1, 2}, []int64{r.Files[0].Parsed, r.Files[1].Parsed}, "%v %v", r.Files[0].Message, r.Files[1].Message)
	visits := shown(w["record.visits"], "line", "serial", "day")
	assert.Equal(t, []string{"line=7 serial=K1 day=2023-03-16", "line=8 serial=K2 day=2023-03-17"}, visits)
	assert.Equal(t, []string{`Note`}, r.Files[1].Unmapped)
}

// What cannot be found is said with the layout's line, or refuses the file.
func TestTablesRefused(t *testing.T) {
	for change, says := range map[[2]string]string{
		{"table = 1", "table = -1"}:                  "tables of a file are numbered from 1",
		{"table = 1", "table = 1\nheader = 3"}:       "leave header out",
		{"table = 1", "table = 1\ntype = \"jsonl\""}: "several tables, one below the other",
	} {
		_, err := layout.Parse("x.toml", strings.Replace(firstTable, change[0], change[1], 1))
		require.ErrorContains(t, err, says)
		require.ErrorContains(t, err, "x.toml:")
	}
	files, _ := readTables(t, map[string]string{"a.toml": firstTable, "both.csv": asLines("Boiler,Kind", "K1,T40")})
	assert.Equal(t, Refused+" "+lines.NoHeader, files[0].Outcome+" "+files[0].Reason)
	assert.Contains(t, files[0].Message, "no line of the file has the names of the columns of table 1")
	files, _ = readTables(t, map[string]string{
		"a.toml": firstTable, "b.toml": strings.Replace(firstTable, `"list"`, `"again"`, 1), "both.csv": asLines("Boiler,Line", "K1,T40"),
	})
	assert.Equal(t, lines.TwoLayouts, files[0].Reason, "two layouts for one table")
}

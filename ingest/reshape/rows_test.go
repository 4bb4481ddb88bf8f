package reshape

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

var ventRun = layout.Step{Do: layout.Separate, Column: "Run", Patterns: []string{
	`(?P<length>\d+) ?ft \+ (?P<elbows>\d+) el`, `(?P<length>\d+) ?ft`, `(?P<elbows>\d+) 90s`,
}}

func TestSeparate(t *testing.T) {
	in := wantCells(`
		Unit | Run
		1 | 35 ft + 3 el
		2 | 70ft
		3 | 4 90s
		4 |
		5 | see drawing
		6 | 70ft/5 90s`)
	out, notes, err := reshaped(t, in, ventRun)
	require.NoError(t, err)
	assert.Equal(t, wantCells(`
		Unit | Run | length | elbows
		1 | 35 ft + 3 el | 35 | 3
		2 | 70ft | 70 |
		3 | 4 90s | | 4
		4 | | |
		5 | see drawing | |
		6 | 70ft/5 90s | |`), cellsOf(out))
	assert.Equal(t, []string{`2 cells of column "Run" fit no pattern of its step: the first "see drawing" in line 6`}, notes)

	strict := ventRun
	strict.Required = true
	out, notes, err = reshaped(t, in, strict)
	require.NoError(t, err)
	assert.Empty(t, notes, "they are faults of their cells")
	assert.Nil(t, out[4].Wrong)
	assert.Equal(t, &lines.Fault{
		Column: "Run", Value: "see drawing", Reason: NoPattern, Message: `"see drawing" fits none of the patterns of its step`,
	}, out[5].Wrong)
}

func TestFillDown(t *testing.T) {
	out, _, err := reshaped(t, wantCells(`
		Site | Unit | CO2
		Oak | 1 | 9
		| | 8
		Elm | 2 | 9`), layout.Step{Do: layout.FillDown, Columns: []string{"site", "Unit"}})
	require.NoError(t, err)
	assert.Equal(t, wantCells(`
		Site | Unit | CO2
		Oak | 1 | 9
		Oak | 1 | 8
		Elm | 2 | 9`), cellsOf(out))
}

// What is no row passes by: lines above the header, blank lines, a repeated header,
// lines the layout skips, lines of another width.
func TestWhatIsNoRowPassesBy(t *testing.T) {
	in := table{
		{"Report", ""}, {"Unit", "Run"}, {"1", "35 ft"}, {"", ""}, {"unit", "RUN"}, {"# remark", "7 ft"}, {"2"}, {"", "8 ft"}, {
			"3", "9 ft", "",
			"",
		},
	}
	l := layoutOf(t, ventRun, layout.Step{Do: layout.FillDown, Columns: []string{"Unit"}})
	l.File.Header, l.Footers = 2, []*regexp.Regexp{regexp.MustCompile("^#")}
	src := Rows(&tableRows{table: in}, l, "file.csv", nil)
	var out table
	for range in {
		ln, err := src.Next()
		require.NoError(t, err)
		out = append(out, append([]string{}, ln.Cells...))
		if n := ln.Number; n == 7 || n == 9 {
			assert.Equal(t, WrongFieldCount, ln.Wrong.Reason)
			assert.Regexp(t, `^the line has \d cells and the header 2$`, ln.Wrong.Message)
		}
	}
	assert.Equal(t, table{
		{"Report", ""},
		{"Unit", "Run", "length", "elbows"},
		{"1", "35 ft", "35", ""},
		{"", ""},
		{"Unit", "Run", "length", "elbows"},
		{"# remark", "7 ft"},
		{"2"},
		{"1", "8 ft", "8", ""},
		{"3", "9 ft", "", ""},
	}, out)
}

// A file without a column that a step reads, or with a column that it makes, is refused.
func TestColumnsOfSteps(t *testing.T) {
	_, _, err := reshaped(t, table{{"Unit"}, {"1"}}, ventRun)
	assert.Equal(t, lines.MissingColumn, refusal(t, err).Reason)
	assert.Contains(t, err.Error(), `not in the header: "Run", which the step separate reads`)

	_, _, err = reshaped(t, table{{"Run", "Length"}}, ventRun)
	assert.Equal(t, lines.DuplicateColumn, refusal(t, err).Reason)
	_, _, err = reshaped(t, table{{"Run", "run"}}, ventRun)
	assert.Equal(t, lines.DuplicateColumn, refusal(t, err).Reason)

	lacking := ventRun
	lacking.Optional = true
	out, _, err := reshaped(t, table{{"Unit"}, {"1"}}, lacking)
	require.NoError(t, err)
	assert.Equal(t, table{{"Unit", "length", "elbows"}, {"1", "", ""}}, cellsOf(out))
}

// TestStepsLoseNothing: whatever the rows are, every line of the file is in one row
// that comes out, and steps that add columns leave the others as they were.
func TestStepsLoseNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.SampledFrom([]string{"", " ", "a", "35 ft + 3 el", "7 ft", "Unit", "x\x00"})
		in := table{{"Unit", "Run"}}
		in = append(in, rapid.SliceOfN(rapid.SliceOfN(word, 1, 3), 0, 12).Draw(t, "rows")...)
		out, _, err := reshaped(t, in, ventRun, layout.Step{Do: layout.FillDown, Columns: []string{"length"}})
		require.NoError(t, err)
		numbers := numbersOf(out)
		require.Len(t, numbers, len(in))
		for i, ln := range out {
			require.Equal(t, i+1, numbers[i])
			require.Equal(t, in[i], []string(ln.Cells[:len(in[i])]))
			odd := len(in[i]) != 2 && !lines.Blank(ln.Cells) && !strings.Contains(ln.Text, "\x00")
			require.Equal(t, odd, ln.Wrong != nil, "or an odd row would count as a sound one")
		}
	})
}

// TestSeparateIsUndone: what was put together from parts comes apart into them.
func TestSeparateIsUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		feet, elbows := rapid.IntRange(0, 999).Draw(t, "feet"), rapid.IntRange(0, 20).Draw(t, "elbows")
		cell := strconv.Itoa(feet) + " ft + " + strconv.Itoa(elbows) + " el"
		out, notes, err := reshaped(t, table{{"Run"}, {cell}}, ventRun)
		require.NoError(t, err)
		require.Empty(t, notes)
		require.Equal(t, cell, out[1].Cells[1]+" ft + "+out[1].Cells[2]+" el")
	})
}

// TestFillDownIsUndone: with repeats blanked out, filling gives the rows they were made of.
func TestFillDownIsUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		site := rapid.SampledFrom([]string{"Oak", "Elm", "Ash"})
		full, sparse := table{{"Site", "n"}}, table{{"Site", "n"}}
		for i, s := range rapid.SliceOfN(site, 1, 12).Draw(t, "sites") {
			n, shown := strconv.Itoa(i), s
			if s == full[len(full)-1][0] {
				shown = ""
			}
			full, sparse = append(full, []string{s, n}), append(sparse, []string{shown, n})
		}
		out, _, err := reshaped(t, sparse, layout.Step{Do: layout.FillDown, Columns: []string{"Site"}})
		require.NoError(t, err)
		require.Equal(t, full, cellsOf(out))
	})
}

// FuzzSeparate: whatever the cell, the row stays whole, and the parts are in the cell.
func FuzzSeparate(f *testing.F) {
	for _, cell := range []string{"35 ft + 3 el", "", "7ft", "\xff ft", "4 90s", "9.1/4.9"} {
		f.Add(cell)
	}
	f.Fuzz(func(t *testing.T, cell string) {
		out, _, err := reshaped(t, table{{"Unit", "Run"}, {"1", cell}}, ventRun)
		require.NoError(t, err)
		require.Len(t, out, 2)
		require.Equal(t, []string{"1", cell}, out[1].Cells[:2])
		for _, part := range out[1].Cells[2:] {
			require.True(t, strings.Contains(cell, part))
		}
	})
}

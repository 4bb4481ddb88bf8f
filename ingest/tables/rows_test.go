package tables

import (
	"errors"
	"fmt"
	"html"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/lines"
)

func all(page string, number int) (rows []string, err error) {
	r := Open(io.NopCloser(strings.NewReader(page)), number)
	for {
		l, err := r.Next()
		if errors.Is(err, io.EOF) {
			return rows, r.Close()
		}
		if err != nil {
			return rows, err
		}
		rows = append(rows, fmt.Sprintf("%d %s", l.Number, strings.Join(l.Cells, "|")))
	}
}

// TestCells: entities, blanks, line breaks, cells over columns and rows, tags that are
// left open, and a table within a cell.
func TestCells(t *testing.T) {
	got, err := all(`<html><style>td {}</style><table><TR><td>A &amp; B&nbsp;<td colspan=2>C<br>D<tr><td rowspan="2">1<td>2<td>3
<tr><td>4<td><script>x</script>5<tr><td><table><tr><td>in<td>ner</table><td>6</table><table><tr><td>second</table>`, 1)
	require.NoError(t, err)
	assert.Equal(t, []string{"1 A & B|C D", "2 1|2|3", "3 |4|5", "4 inner|6"}, got)
	got, err = all(`<table><tr><td>a</table><p><table><tr><th>x</th><th></th></tr></table>`, 2)
	require.NoError(t, err)
	assert.Equal(t, []string{"1 x"}, got)
}

func TestRefused(t *testing.T) {
	for page, says := range map[string]string{
		"<p>no table</p>": "the page has no table", "<table><tr><td>1": "the page ends within its table",
		"<table><tr><td>" + strings.Repeat("x", lines.Limit+1): "holds more than",
		"<table><tr>" + strings.Repeat("<td colspan=9999>", 3): "16384 cells",
	} {
		_, err := all(page, 1)
		assert.ErrorContains(t, err, says, "%.40s", page)
	}
	_, err := all("<table><tr><td>1</table>", 2)
	assert.ErrorContains(t, err, "the page has no table 2; it has 1")
}

// TestInverse: cells written as a table, and read again, are the same cells.
func TestInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(1, 4).Draw(t, "width")
		cell := rapid.StringMatching(`([a-c<>&"ä;]( ?[a-c<>&"ä;]){0,3})`)
		rows := rapid.SliceOfN(rapid.SliceOfN(cell, width, width), 1, 5).Draw(t, "rows")
		closed := rapid.Bool().Draw(t, "closed")
		var b strings.Builder
		var want []string
		b.WriteString("<table>")
		for i, row := range rows {
			b.WriteString("<tr>")
			for _, c := range row {
				b.WriteString("<td>" + html.EscapeString(c))
				if closed {
					b.WriteString("</td>\n")
				}
			}
			want = append(want, fmt.Sprintf("%d %s", i+1, strings.Join(row, "|")))
		}
		b.WriteString("</table>")
		got, err := all(b.String(), 1)
		require.NoError(t, err)
		require.Equal(t, want, got)
	})
}

// FuzzTables: no page makes the reader fail otherwise than with an error, and no row is
// wider than may be.
func FuzzTables(f *testing.F) {
	f.Add("<table><tr><td rowspan=3 colspan=2>a<td>b</table>")
	f.Add("<table><tr><th>a</th></tr><tbody><tr><td><table></table></table>")
	f.Fuzz(func(t *testing.T, page string) {
		rows, err := all(page, 1)
		if err == nil && strings.Count(strings.ToLower(page), "<table") == 0 {
			t.Fatalf("%q: %d rows of no table", page, len(rows))
		}
	})
}

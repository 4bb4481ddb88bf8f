package table

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/day"
)

const asOf day.Day = 20514 // 2 March 2026, by date -d 2026-03-02 +%s / 86400

// What is written reads back, cell by cell: header, serials as text with their
// zeros and 16 digits, numbers as numbers.
func TestCSVReadsBack(t *testing.T) {
	list := hostileTable()
	var b bytes.Buffer
	require.NoError(t, WriteCSV(&b, list))
	assert.Equal(t, len(list.Rows)+1, strings.Count(b.String(), "\r\n"))
	assert.NotContains(t, strings.ReplaceAll(b.String(), "\r\n", ""), "\n")
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, len(list.Rows)+1)
	for j, c := range list.Columns {
		assert.Equal(t, c.Name, rows[0][j])
		for i, row := range list.Rows {
			if c.Kind != Text {
				assert.Equal(t, row[j].String(), rows[i+1][j])
			} else {
				assert.Equal(t, harmless(row[j].String()), rows[i+1][j])
			}
		}
	}
}

func TestFormulaSafety(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+T-03,\"x\"": "'+T-03,\"x\"", "-6.5": "'-6.5", "@SUM(1;1)": "'@SUM(1;1)",
		"\t=1": `'\t=1`, "\r=1": `'\r=1`, "\n=1": `'\n=1`,
		" =1": "' =1", "\u00a0=1": "'\u00a0=1", "＝1": "'＝1",
		"a=1": "a=1", "": "", "007": "007", "'=1": "'=1", "Süd-Ost": "Süd-Ost",
		"a\x00b": `a\x00b`, "a\x1b[2J": `a\x1b[2J`, "a\u202eb": `a\u202eb`, "a\xffb": `a\xffb`, "a\u0085": `a\u0085`,
	} {
		assert.Equal(t, want, harmless(in))
	}
	list := Table{
		Name: "x", Columns: []Column{{Name: "t", Kind: Text}, {Name: "n", Kind: Number}},
		Rows: [][]Cell{{TextCell("-6.5"), NumberCell(-6.5, 1)}},
	}
	var b bytes.Buffer
	require.NoError(t, WriteCSV(&b, list))
	assert.Equal(t, "t,n\r\n'-6.5,-6.5\r\n", b.String())
}

// No text, whatever it holds, starts a formula, breaks a line or steers a
// terminal; and CSV gives it back as it was made harmless.
func TestAnyTextIsHarmless(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(t, "text")
		safe := harmless(in)
		trimmed := strings.TrimLeftFunc(safe, unicode.IsSpace)
		assert.False(t, strings.HasPrefix(trimmed, "=") || strings.HasPrefix(trimmed, "+") || strings.HasPrefix(trimmed, "-") ||
			strings.HasPrefix(trimmed, "@"))
		assert.False(t, strings.ContainsFunc(safe, unicode.IsControl))
		var b bytes.Buffer
		require.NoError(t, WriteCSV(&b, Table{Columns: []Column{{Name: "t"}, {Name: "u"}}, Rows: [][]Cell{{TextCell(in), TextCell("x")}}}))
		rows, err := csv.NewReader(&b).ReadAll()
		require.NoError(t, err)
		assert.Equal(t, [][]string{{"t", "u"}, {safe, "x"}}, rows)
	})
}

// One long name leaves the other columns of a text list in sight; the last
// column, which pushes nothing, and the other forms hold it whole.
func TestTextOfLongNames(t *testing.T) {
	long := strings.Repeat("é", 300)
	list := Table{
		Name: "x", Columns: []Column{{Name: "a", Short: "a"}, {Name: "b", Short: "b"}},
		Rows: [][]Cell{{TextCell(long), TextCell(long)}},
	}
	var b bytes.Buffer
	require.NoError(t, WriteText(&b, list))
	assert.Contains(t, b.String(), "\n"+strings.Repeat("é", 57)+"...  "+long+"\n")
	b.Reset()
	require.NoError(t, WriteCSV(&b, list))
	assert.Contains(t, b.String(), long+","+long)
}

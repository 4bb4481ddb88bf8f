package lines

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// rowsOf are the rows of a width that a text holds, and the numbers of the other
// lines.
func rowsOf(text string, width, chunk int) (rows [][]string, other []int, err error) {
	r := newReader(&slow{strings.NewReader(text), chunk}, Dialect{Delimiter: ",", Quote: '"'})
	r.width = width
	for {
		l, err := r.Next()
		switch {
		case errors.Is(err, io.EOF):
			return rows, other, nil
		case err != nil:
			return rows, other, err
		case l.Fault == "" && len(l.Cells) == width:
			rows = append(rows, slices.Clone(l.Cells))
		default:
			other = append(other, l.Number)
		}
	}
}

// TestStrayQuote: one quote too many costs the row it stands in and no other,
// wherever it stands and however much is read at once.
func TestStrayQuote(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(3, 7).Draw(t, "width")
		row := rapid.OneOf( // not both in one row: in few columns, its lines may look like two rows
			rapid.SliceOfN(rapid.StringMatching(`|[a-c][a-c0-9 ]{0,3}|[a-c]; (x, )?y|[a-c]("[a-c]" )?`), width, width),
			rapid.SliceOfN(rapid.StringMatching(`|[a-c][a-c0-9 ]{0,3}|[a-c]\n[a-c]{1,3}( [a-c])?\n?`), width, width))
		rows := rapid.SliceOfN(row, 2, 6).Draw(t, "rows")
		hit := rapid.IntRange(0, len(rows)-1).Draw(t, "hit")
		lines := make([]string, len(rows))
		for i, row := range rows {
			lines[i] = quoting{",", `"`, `"`}.needed(row)
		}
		at := rapid.IntRange(0, len(lines[hit])-1).Draw(t, "at")
		lines[hit] = lines[hit][:at] + `"` + lines[hit][at:]
		got, _, err := rowsOf(strings.Join(lines, ""), width, rapid.IntRange(1, 40).Draw(t, "chunk"))
		if err != nil {
			t.Fatal(err)
		}
		want := slices.Delete(slices.Clone(rows), hit, hit+1)
		if len(got) == len(rows) { // two quotes together may be one that is meant
			got = slices.Delete(got, hit, hit+1)
		}
		if fmt.Sprintf("%q", got) != fmt.Sprintf("%q", want) {
			t.Fatalf("%q: %q, not %q", strings.Join(lines, ""), got, want)
		}
	})
}

// needed writes a row with quotes where they are needed.
func (q quoting) needed(row []string) string {
	out := make([]string, len(row))
	for i, c := range row {
		if out[i] = c; strings.ContainsAny(c, q.delimiter+q.quote+"\n") {
			out[i] = q.quote + strings.ReplaceAll(c, q.quote, q.escape+q.quote) + q.quote
		}
	}
	return strings.Join(out, q.delimiter) + "\n"
}

// TestOpenQuotes has what the property does not draw: several stray quotes, prose
// with delimiters in a cell of several lines, the end of the text in an open quote.
func TestOpenQuotes(t *testing.T) {
	for _, c := range []struct {
		text  string
		width int
		rows  int
		other []int
	}{
		{"a,\"b,c\nd,e,f\ng,h\",i\nj,k,l\n", 3, 2, []int{1, 3}},                     // the two would leave a row of three cells
		{"a,\"dear all, see you,\nbye\",c\nd,e,f\n", 3, 2, nil},                     // two lines of prose
		{"a,b,c,d,\"seals, trap, jet\nin, order, so, far, yes\nend\"\n", 5, 1, nil}, // a line of prose as wide as a row
		{"a,b,c,d,\"x\n1,2,3,4,5\ny\"\n", 5, 1, []int{1, 3}},                        // a row within a cell
		{"a,b,c\nd,\"e,f", 3, 1, []int{2}},
		{"\"a,b,c\n\"d,e,f\n\"g,h,i\nj,k,l\n", 3, 1, []int{1, 2, 3}},
		{"a,\"b\n\n\nc\",d\n", 3, 1, nil},
	} {
		for chunk := 1; chunk < 30; chunk += 7 {
			rows, other, err := rowsOf(c.text, c.width, chunk)
			require.NoError(t, err)
			assert.Len(t, rows, c.rows, "%q", c.text)
			assert.Equal(t, c.other, other, "%q", c.text)
		}
	}
}

// TestManyOpenQuotes: a file with a few is read; one in which they are more than
// one line in twenty is refused, and the message names the first.
func TestManyOpenQuotes(t *testing.T) {
	bad, good := "\"a,b,c\n", "a,b,c\n"
	for _, c := range []struct {
		text string
		ok   bool
	}{
		{strings.Repeat(bad, 5), true},
		{strings.Repeat(bad, 6), false},
		{strings.Repeat(bad, 6) + strings.Repeat(good, 114), true},
		{strings.Repeat(bad, 6) + strings.Repeat(good, 113), false},
		{strings.Repeat(good, 115) + strings.Repeat(bad, 6), true},
		{strings.Repeat(good, 100) + strings.Repeat(bad, 6), false},
	} {
		_, _, err := rowsOf(c.text, 3, 100)
		if c.ok {
			require.NoError(t, err)
			continue
		}
		assert.ErrorContains(t, err, UnterminatedQuote)
		assert.ErrorContains(t, err, "6 of ")
	}
}

// TestOpenQuoteTakesLittleMemory: a quoted cell without end of very many short
// lines is given up at the limit, and what was read is given again in little room.
func TestOpenQuoteTakesLittleMemory(t *testing.T) {
	r := newReader(io.MultiReader(strings.NewReader(`"`), bytes.NewReader(bytes.Repeat([]byte("\n"), 300<<10))),
		Dialect{Delimiter: ",", Quote: '"'})
	r.maxBytes = 100 << 10
	l, err := r.Next()
	require.NoError(t, err)
	assert.Equal(t, OpenQuote, l.Fault)
	n := 1
	for ; err == nil; n++ {
		_, err = r.Next()
		assert.LessOrEqual(t, cap(r.ahead.text), 200<<10)
	}
	assert.ErrorIs(t, err, io.EOF)
	assert.Equal(t, 300<<10+1, n)
}

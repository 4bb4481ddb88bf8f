package lines

import (
	"encoding/csv"
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

// cells reads a text with a dialect: the cells of every line, or the fault.
func cellsOf(text string, d Dialect, chunk int) (all [][]string, err error) {
	r := newReader(&slow{strings.NewReader(text), chunk}, d)
	for {
		l, err := r.Next()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return all, err
		}
		if l.Fault != "" || l.Cut {
			return all, errors.New(l.Fault + "cut")
		}
		all = append(all, slices.Clone(l.Cells))
	}
}

// slow gives a few bytes a read, so that line ends fall on every boundary.
type slow struct {
	r     io.Reader
	chunk int
}

func (s *slow) Read(p []byte) (int, error) { return s.r.Read(p[:min(len(p), s.chunk)]) }

// TestCellsAgainstStandardLibrary: on what encoding/csv (Go 1.26) writes and
// reads, this reader finds the same cells. That package skips blank lines and
// knows no CR alone as a line end, so the drawn cells make neither.
func TestCellsAgainstStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(2, 4).Draw(t, "width")
		cell := rapid.StringMatching(`[a-c",; \nä]{0,6}`)
		rows := rapid.SliceOfN(rapid.SliceOfN(cell, width, width), 1, 5).Draw(t, "rows")
		var b strings.Builder
		w := csv.NewWriter(&b)
		w.UseCRLF = rapid.Bool().Draw(t, "crlf")
		if err := w.WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		want, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		got, err := cellsOf(b.String(), Dialect{Delimiter: ",", Quote: '"'}, rapid.IntRange(1, 9).Draw(t, "chunk"))
		if err != nil {
			t.Fatal(err)
		}
		if !slices.EqualFunc(got, want, func(a, b []string) bool { return slices.Equal(a, b) }) {
			t.Fatalf("%q: %q, not %q", b.String(), got, want)
		}
	})
}

// TestLineEnds: any mixture of LF, CR LF and CR alone ends lines, on any
// boundary of what is read at once.
func TestLineEnds(t *testing.T) {
	for chunk := 1; chunk < 8; chunk++ {
		got, err := cellsOf("a,b\r\nc,d\re,f\n\r\n\rg,h", Dialect{Delimiter: ",", Quote: '"'}, chunk)
		require.NoError(t, err)
		assert.Equal(t, [][]string{{"a", "b"}, {"c", "d"}, {"e", "f"}, {""}, {""}, {"g", "h"}}, got)
	}
}

// TestEscape: with a declared escape it stands before a quote or itself inside
// quotes; anywhere else the line is at fault, and none is read as another.
func TestEscape(t *testing.T) {
	for text, want := range map[string][]string{
		`"a\"b",c`: {`a"b`, "c"}, `"\"",""`: {`"`, ""}, `"a\\",b`: {`a\`, "b"}, `"a\\\"",b`: {`a\"`, "b"}, "\"a\nb\\\"\",c": {"a\nb\"", "c"},
		`\N,"\\N",b`: {"", `\N`, "b"}, "\"a\\\nb\\\n\",\\N": {"a\nb\n", ""}, `\N`: {""}, `\n,b`: nil, `a\N,b`: nil, `\NN,b`: nil,
		`"a""b",c`: nil, `a\"b,c`: nil, `a\b,c`: nil, `"a\nb",c`: nil, `a\,c`: nil,
	} {
		l, err := newReader(strings.NewReader(text), Dialect{",", '"', '\\'}).Next()
		require.NoError(t, err, text)
		if want == nil {
			assert.NotEmpty(t, l.Fault, text)
			continue
		}
		assert.Empty(t, l.Fault, text)
		assert.Equal(t, want, l.Cells, text)
	}
	for _, text := range []string{`"a\`, `"a\"`, "\"a\\\nb"} {
		l, err := newReader(strings.NewReader(text), Dialect{",", '"', '\\'}).Next()
		require.NoError(t, err, text)
		assert.Equal(t, OpenQuote, l.Fault, text)
	}
}

// TestLongLine: a line without end is refused before it fills the memory.
func TestLongLine(t *testing.T) {
	r := newReader(strings.NewReader(strings.Repeat("x", 300<<10)), Dialect{Delimiter: ",", Quote: '"'})
	r.maxBytes = 100 << 10
	_, err := r.Next()
	var f *Refusal
	require.ErrorAs(t, err, &f)
	assert.Equal(t, NotText, f.Reason)
	assert.Less(t, len(r.buf), 300<<10)
}

// FuzzLines: cells that were read, written with quotes and read again are the
// same cells, where a quote is doubled and where it is escaped.
func FuzzLines(f *testing.F) {
	for _, s := range []string{
		"a,b\nc,d\n", "\"a\"\"b\",\"c\nd\"\r\n,\n", "a;b\rc", "\"\",\"\"\n\n", "a\tb\n", `"a\"b","c\\"` + "\n",
		"\"a\\\nb\"", `a\b`, `\N,"\N"`,
	} {
		for _, which := range []byte{0, 5, 8, 13} {
			f.Add(s, which)
		}
	}
	f.Fuzz(func(t *testing.T, text string, which byte) {
		w := quoting{delimiter: []string{",", ";", "\t", "|"}[which%4], quote: []string{`"`, "'"}[which/4%2]}
		w.escape = w.quote
		d := Dialect{Delimiter: w.delimiter, Quote: w.quote[0]}
		if which&8 != 0 {
			w.escape, d.Escape = `\`, '\\'
		}
		cells, err := cellsOf(text, d, 1+int(which))
		if err != nil {
			return
		}
		again, err := cellsOf(w.table(cells), d, 7)
		if err != nil {
			t.Fatalf("%q: written as %q: %v", text, w.table(cells), err)
		}
		if fmt.Sprintf("%q", cells) != fmt.Sprintf("%q", again) {
			t.Fatalf("%q: %q came back as %q", text, cells, again)
		}
	})
}

// quoting writes tables with quotes about every cell.
type quoting struct{ delimiter, quote, escape string }

func (q quoting) table(rows [][]string) string {
	var b strings.Builder
	for _, row := range rows {
		for i, c := range row {
			if i > 0 {
				b.WriteString(q.delimiter)
			}
			if q.escape != q.quote { // an escape of its own is escaped, too
				c = strings.ReplaceAll(c, q.escape, q.escape+q.escape)
			}
			b.WriteString(q.quote + strings.ReplaceAll(c, q.quote, q.escape+q.quote) + q.quote)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

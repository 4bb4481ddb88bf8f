package ingest

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// hashes are the columns by which rows are compared across files.
var hashes = []string{"occurrence", "key_hash", "content_hash"}

// TestKeysAndContents: the key of a reading is visit, serial, fire, rate and
// condition; a repeat keeps the occurrence of the line it repeats.
func TestKeysAndContents(t *testing.T) {
	text := lines(readingsHeader,
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.10,4.9,17,181.0,19", // equal values
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.2,4.9,17,181,19",    // another reading of the same key
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
		"A1,BX-7,2023-02-06,annual,T1,M1,low,found-so,9.1,4.9,17,181,19",
		"A2,BX-7,2023-02-06,annual,T1,M2,high,found-so,9.1,4.9,17,181,19",
		"A1,bx-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
		"A1,BX-7,2023-02-06,annual,T1,M9,high,left-so,9.1,4.9,17,181,19")
	_, w := readInto(t, folder(t, map[string]string{"tests.toml": readingsLayout(nil), "tests.csv": text}))
	rows := w["record.readings"]
	require.Len(t, rows, 8)
	same := func(column string, a, b int) bool { return rows[a][column] == rows[b][column] }
	assert.True(t, same("key_hash", 0, 1) && same("content_hash", 0, 1) && same("key_hash", 0, 3))
	assert.Equal(t, []string{"0", "0", "1", "0"}, []string{rows[0]["occurrence"], rows[1]["occurrence"], rows[2]["occurrence"], rows[3]["occurrence"]})
	keys := map[string]bool{}
	for _, i := range []int{0, 2, 4, 5, 6, 7} {
		keys[rows[i]["key_hash"]] = true
	}
	assert.Len(t, keys, 6, "occurrence, fire, visit, serial and condition tell keys apart")
	assert.Equal(t, "", rows[0]["analyzer"], "the visit's")
	assert.Equal(t, "M9", rows[7]["analyzer"], "not the visit's")
	assert.Len(t, w["record.visits"], 3)
}

// TestCorrection: a later export of the same line has the same key and another
// content, whatever columns the rest of the file has.
func TestCorrection(t *testing.T) {
	_, w := readInto(t, folder(t, map[string]string{
		"tests.toml":  readingsLayout(nil),
		"tests_1.csv": lines(readingsHeader, strings.Replace(goodRow, "9.1", "19.1", 1)),
		"tests_2.csv": lines(readingsHeader+",Note", goodRow+",typed again"),
	}))
	rows := w["record.readings"]
	require.Len(t, rows, 2)
	assert.Equal(t, rows[0]["key_hash"], rows[1]["key_hash"])
	assert.NotEqual(t, rows[0]["content_hash"], rows[1]["content_hash"])
}

// TestOrderOfFilesMakesNoDifference: the rows of a file are the same, keys of
// files and visits aside, whatever stands before it in the folder.
func TestOrderOfFilesMakesNoDifference(t *testing.T) {
	texts := []string{
		lines(readingsHeader, goodRow, "A9,BX-9,2023-02-06,annual,T1,M1,low,found-so,8.1,4.9,17,181,19"),
		lines(readingsHeader, strings.Replace(goodRow, "9.1", "9.3", 1), "bad line"),
		lines(readingsHeader, strings.Replace(goodRow, "A1", "A5", 1), "", "Total,,,,,,,,,,,,"),
		"",
	}
	perFile := func(order []int) []string {
		files := map[string]string{"tests.toml": readingsLayout(nil)}
		for place, i := range order {
			files[fmt.Sprintf("tests_%d.csv", place)] = texts[i]
		}
		r, w := readInto(t, folder(t, files))
		var all []string
		for _, f := range r.Files {
			columns := append([]string{"fire", "co2_percent"}, hashes...)
			all = append(all, f.Outcome+f.Reason+strings.Join(fate(f, w, "record.readings", columns...), "|"))
		}
		sort.Strings(all)
		return all
	}
	want := perFile([]int{0, 1, 2, 3})
	rnd := rand.New(rand.NewPCG(1, 1))
	for range 8 {
		assert.Equal(t, want, perFile(rnd.Perm(len(texts))))
	}
}

// cells reads a text with a dialect: the cells of every line, or the fault.
func cellsOf(text string, d dialect, chunk int) (all [][]string, err error) {
	r := newLineReader(&slow{strings.NewReader(text), chunk}, d)
	for {
		l, err := r.next()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return all, err
		}
		if l.fault != "" || l.cut {
			return all, errors.New(l.fault + "cut")
		}
		all = append(all, slices.Clone(l.cells))
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
		got, err := cellsOf(b.String(), dialect{delimiter: ",", quote: '"'}, rapid.IntRange(1, 9).Draw(t, "chunk"))
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
		got, err := cellsOf("a,b\r\nc,d\re,f\n\r\n\rg,h", dialect{delimiter: ",", quote: '"'}, chunk)
		require.NoError(t, err)
		assert.Equal(t, [][]string{{"a", "b"}, {"c", "d"}, {"e", "f"}, {""}, {""}, {"g", "h"}}, got)
	}
}

// TestEscape: with a declared escape it stands before a quote or itself inside
// quotes; anywhere else the line is at fault, and none is read as another.
func TestEscape(t *testing.T) {
	for text, want := range map[string][]string{
		`"a\"b",c`: {`a"b`, "c"}, `"\"",""`: {`"`, ""}, `"a\\",b`: {`a\`, "b"}, `"a\\\"",b`: {`a\"`, "b"}, "\"a\nb\\\"\",c": {"a\nb\"", "c"},
		`"a""b",c`: nil, `a\"b,c`: nil, `a\b,c`: nil, `"a\nb",c`: nil, `a\,c`: nil,
	} {
		l, err := newLineReader(strings.NewReader(text), dialect{",", '"', '\\'}).next()
		require.NoError(t, err, text)
		if want == nil {
			assert.NotEmpty(t, l.fault, text)
			continue
		}
		assert.Empty(t, l.fault, text)
		assert.Equal(t, want, l.cells, text)
	}
	for _, text := range []string{`"a\`, `"a\"`, "\"a\\\nb"} {
		_, err := newLineReader(strings.NewReader(text), dialect{",", '"', '\\'}).next()
		assert.ErrorContains(t, err, unterminatedQuote, text)
	}
}

// TestLongLine: a line or an open quote without end is refused before it fills
// the memory.
func TestLongLine(t *testing.T) {
	for text, reason := range map[string]string{strings.Repeat("x", 300<<10): notText, "\"" + strings.Repeat("x\n", 150<<10): unterminatedQuote} {
		r := newLineReader(strings.NewReader(text), dialect{delimiter: ",", quote: '"'})
		r.maxBytes = 100 << 10
		_, err := r.next()
		var f *fileFault
		require.ErrorAs(t, err, &f)
		assert.Equal(t, reason, f.reason)
		assert.Less(t, len(r.buf), 300<<10)
	}
}

// FuzzFile: whatever the bytes, the run ends without a panic or an error, the
// file has one outcome, and the lines of a file that is read add up.
func FuzzFile(f *testing.F) {
	for _, s := range []string{lines(readingsHeader, goodRow), lines(readingsHeader, goodRow, "", "Total"), readingsHeader + "\r\n" + goodRow, "\"", "\xff\xfe", "PK\x03\x04", lines(readingsHeader, `A1,"a`, `b",c`), lines(readingsHeader, `A1,"a\"`, `b\\",c\`)} {
		for which := range byte(4) {
			f.Add(s, which)
		}
	}
	f.Fuzz(func(t *testing.T, text string, which byte) {
		keys := fileKeys{}
		if which&1 != 0 {
			keys["last_line"] = `"any"`
		}
		if which&2 != 0 {
			keys["escape"] = `"\\"`
		}
		if which&4 != 0 {
			keys["encoding"] = []string{`"latin-1"`, `"windows-1252"`, `"utf-16le"`, `"utf-16be"`}[which>>3%4]
		}
		o := folder(t, map[string]string{"tests.toml": readingsLayout(keys), "tests.csv": text})
		r, err := read(context.Background(), fakeWarehouse{}.load, o)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Files) != 1 || r.Files[0].Outcome == "" {
			t.Fatalf("%q: no outcome", text)
		}
	})
}

// FuzzLines: cells that were read, written with quotes and read again are the
// same cells, where a quote is doubled and where it is escaped.
func FuzzLines(f *testing.F) {
	for _, s := range []string{"a,b\nc,d\n", "\"a\"\"b\",\"c\nd\"\r\n,\n", "a;b\rc", "\"\",\"\"\n\n", "a\tb\n", `"a\"b","c\\"` + "\n", "\"a\\\nb\"", `a\b`} {
		for _, which := range []byte{0, 5, 8, 13} {
			f.Add(s, which)
		}
	}
	f.Fuzz(func(t *testing.T, text string, which byte) {
		w := writer{[]string{",", ";", "\t", "|"}[which%4], []string{`"`, "'"}[which/4%2], "", "\n", true}
		w.escape = w.quote
		d := dialect{delimiter: w.delimiter, quote: w.quote[0]}
		if which&8 != 0 {
			w.escape, d.escape = `\`, '\\'
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

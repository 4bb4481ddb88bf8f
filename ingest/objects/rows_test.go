package objects

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/lines"
)

func unlimited(int64) error { return nil }

// textSource gives the objects of a text, by line or as a list.
func textSource(text string, byLine bool) func(bool) (Source, error) {
	return func(bool) (Source, error) {
		if !byLine {
			return Listed(io.NopCloser(strings.NewReader(text))), nil
		}
		return &split{strings.SplitAfter(text, "\n"), 0}, nil
	}
}

// split gives lines of a text.
type split struct {
	all []string
	n   int
}

func (s *split) Next() (string, int, bool, bool, error) {
	if s.n == len(s.all) || s.n == len(s.all)-1 && s.all[s.n] == "" {
		return "", 0, false, false, io.EOF
	}
	text := s.all[s.n]
	s.n++
	return strings.TrimSpace(text), s.n, strings.HasSuffix(text, "\n"), false, nil
}

func (s *split) Close() error { return nil }

// all reads the rows of a text, each with its number and its fault.
func all(text, list string, byLine bool) (rows []string, err error) {
	r, err := Open(textSource(text, byLine), list, byLine, unlimited)
	if err != nil {
		return nil, err
	}
	for {
		l, err := r.Next()
		if errors.Is(err, io.EOF) {
			return rows, r.Close()
		}
		if err != nil {
			return rows, err
		}
		row := fmt.Sprintf("%d %s", l.Number, strings.Join(l.Cells, "|"))
		if l.Fault != "" {
			row = fmt.Sprintf("%d fault: %s", l.Number, l.Fault)
		}
		rows = append(rows, row)
	}
}

// TestLines: keys in any order, missing keys, objects within objects, lists of plain
// values, and lines that are no objects.
func TestLines(t *testing.T) {
	got, err := all(`{"id": "a1", "co2": 9.10, "at": {"site": "Mill \u00e4", "unit": {"no": 7}}, "tags": ["x", 2], "ok": true}
{"co2": 1e1, "id": null}

{"id": "a3", "co2": 9.1
{"id": "a4", "id": "a5"}
{"id": "\ud800"}
["a6"]
{"at": {}, "id": "a\"7\n"}
`, "", true)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"1 id|co2|at.site|at.unit.no|tags|ok", "1 a1|9.10|Mill ä|7|x, 2|true", "2 |1E1||||", "3 ", "4 fault: the line is no JSON object",
		`5 fault: the key "id" stands there twice`, `6 fault: "id": its text is no UTF-8, or half of a character`,
		"7 fault: the line is no JSON object", "8 a\"7\n|||||",
	}, got)
}

// TestList: each element of the one list of objects is a row, with what stands beside
// it; an empty list leaves that as a row.
func TestList(t *testing.T) {
	text := `{"id": "a1", "readings": [{"co2": 9.1, "at": {"c": 1}}, {"co2": 8.7}], "tech": "T1"}
{"readings": [], "id": "a2"}
{"id": "a3"}
{"id": "a4", "readings": [{"co2": 1}, 5, {"co2": 2, "co2": 3}, {"co2": 4}]}
{"id": "a5", "readings": "none"}
`
	want := []string{
		"1 id|tech|readings.co2|readings.at.c", "1 a1|T1|9.1|1", "2 a1|T1|8.7|", "3 a2|||", "4 a3|||", "5 a4||1|",
		`6 fault: an element of "readings" is no object`, `7 fault: the key "readings.co2" stands there twice`, "8 a4||4|",
		`9 fault: "readings" is no list here`,
	}
	got, err := all(text, "", true)
	require.NoError(t, err)
	assert.Equal(t, want, got)
	got, err = all("["+strings.ReplaceAll(strings.TrimSpace(text), "\n", ",\n")+"]", "readings", false)
	require.NoError(t, err)
	assert.Equal(t, want, got, "a list of the same objects")
	_, err = all(`{"readings": [{"a": 1}], "parts": [{"b": 1}]}`, "", true)
	assert.ErrorContains(t, err, `several keys hold lists of objects: "parts", "readings"`)
	got, err = all(`{"readings": [{"a": 1}], "parts": [{"b": 1}]}`, "parts", true)
	require.NoError(t, err)
	assert.Equal(t, []string{"1 readings|parts.b", `1 [{"a": 1}]|1`}, got)
}

// TestListed: objects of a list stand over lines as they like; what is no list of
// objects to its end is refused.
func TestListed(t *testing.T) {
	got, err := all("[\n {\n \"a\": \"}]\\\"\"\n },{\"a\":\n2}\n]\n", "", false)
	require.NoError(t, err)
	assert.Equal(t, []string{"1 a", `1 }]"`, "2 2"}, got)
	for text, reason := range map[string]string{
		`[{"a": 1}`: lines.IncompleteFile, `[{"a": 1}, {"a": `: lines.IncompleteFile, `[{"a": 1}] x`: lines.NotText, `[1]`: lines.NotText,
		`[{"a": "` + "\\": lines.IncompleteFile, `{"a": 1}]`: lines.NotText, `[[{"a": 1}]]`: lines.NotText,
		`[{"a": "` + strings.Repeat("x", lines.Limit) + `"}]`: lines.TooLarge,
	} {
		_, err := all(text, "", false)
		refusal, ok := errors.AsType[*lines.Refusal](err)
		require.True(t, ok, "%.40s: %v", text, err)
		assert.Equal(t, reason, refusal.Reason, "%.40s", text)
	}
}

// TestKeysInAnyOrder: the rows of a file do not depend on the order of keys, which
// encoding/json writes.
func TestKeysInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.OneOf(rapid.Just[any](nil), rapid.Map(rapid.IntRange(-9, 9), func(n int) any { return n }),
			rapid.Map(rapid.StringMatching(`[a-c"\\ä\n]{0,4}`), func(s string) any { return s }))
		keys := []string{"a", "b", "c.d", "e"}
		objects := rapid.SliceOfN(rapid.MapOfN(rapid.SampledFrom(keys), value, 1, 4), 1, 5).Filter(func(all []map[string]any) bool {
			return slices.ContainsFunc(all, func(o map[string]any) bool { return len(o) > 0 }) // without a key there is no header
		}).Draw(t, "objects")
		shuffled := rand.New(rand.NewSource(rapid.Int64().Draw(t, "seed")))
		var one, other strings.Builder
		for _, o := range objects {
			text, err := json.Marshal(o)
			require.NoError(t, err)
			fmt.Fprintf(&one, "%s\n", text)
			shuffled.Shuffle(len(keys), func(i, j int) { keys[i], keys[j] = keys[j], keys[i] })
			var pairs []string
			for _, k := range keys {
				if v, ok := o[k]; ok {
					text, err := json.Marshal(v)
					require.NoError(t, err)
					pairs = append(pairs, fmt.Sprintf("%q : %s", k, text))
				}
			}
			fmt.Fprintf(&other, "{ %s }\n", strings.Join(pairs, " , "))
		}
		require.Equal(t, byName(t, one.String()), byName(t, other.String()))
	})
}

// byName are the rows of a text with their columns in order of their names.
func byName(t require.TestingT, text string) (rows [][]string) {
	r, err := Open(textSource(text, true), "", true, unlimited)
	require.NoError(t, err)
	head, err := r.Next()
	require.NoError(t, err)
	names := slices.Clone(head.Cells)
	for {
		l, err := r.Next()
		if errors.Is(err, io.EOF) {
			return rows
		}
		require.NoError(t, err)
		require.Empty(t, l.Fault)
		var row []string
		for i, c := range l.Cells {
			if c != "" {
				row = append(row, names[i]+"="+c)
			}
		}
		slices.Sort(row)
		rows = append(rows, row)
	}
}

// FuzzObjects: no text makes the reader fail otherwise than with an error; as many
// rows come as are numbered; a line that encoding/json does not take is a fault.
func FuzzObjects(f *testing.F) {
	f.Add([]byte(`{"a": [{"b": 1}, {"c": {"d": "x\u00e4"}}], "e": [1, "2"]}`+"\n"+`{"a": []}`), true)
	f.Add([]byte(`[{"a": 1, "b": {"c": null}}, {"a": 1e5}]`), false)
	f.Fuzz(func(t *testing.T, b []byte, byLine bool) {
		rows, err := all(string(b), "", byLine)
		if err != nil || !byLine {
			return
		}
		faults := 0
		for _, row := range rows {
			if strings.Contains(row, " fault: the line is no JSON object") {
				faults++
			}
		}
		broken := 0
		for line := range bytes.Lines(b) {
			var o map[string]any
			if line = bytes.TrimSpace(line); len(line) > 0 && (line[0] != '{' || json.Unmarshal(line, &o) != nil) {
				broken++
			}
		}
		if faults < broken {
			t.Fatalf("%q: %d lines are no objects, and %d are at fault", b, broken, faults)
		}
	})
}

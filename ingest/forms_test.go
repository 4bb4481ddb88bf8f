package ingest

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// exampleOf is the worked example of a form.
func exampleOf(t *testing.T, form string) layout.Example {
	t.Helper()
	for _, e := range layout.Examples() {
		if e.Form == form {
			return e
		}
	}
	t.Fatalf("no example of %s", form)
	return layout.Example{}
}

// TestObjects: a damaged line is one line set aside, whatever is wrong with it, and
// every line has its outcome; the same in a list and compressed.
func TestObjects(t *testing.T) {
	e := exampleOf(t, "jsonl")
	text := e.File + "\n{\"visit\": \"a2\", \"boiler\n" + strings.Replace(e.File, "9.1", `"9,1"`, 1) +
		`{"visit": "a3", "boiler": 4418, "at": "2024-03-26", "readings": []}` + "\n"
	r, w := readInto(t, folder(t, map[string]string{"app.toml": e.Layout, e.Named: text}))
	f := r.Files[0]
	require.Equal(t, WasRead, f.Outcome, f.Message)
	assert.Equal(t, []int64{8, 1, 1, 0, 2, 4}, []int64{f.Lines, f.Header, f.Blank, f.Skipped, f.SetAside, f.Parsed}, "%v", f.Reasons)
	assert.Len(t, w["record.visits"], 2, "a visit without readings is one")
	assert.Equal(t, map[string]int64{wrongFieldCount: 1, "unreadable-number": 1}, f.Reasons)
	assert.Contains(t, w["source.set_aside"][1]["raw"], "line 4: {")
	sound := e.File + strings.NewReplacer("a1", "a2", "25", "26").Replace(e.File)
	_, plain := readInto(t, folder(t, map[string]string{"app.toml": e.Layout, e.Named: sound}))
	_, packed := readInto(t, folder(t, map[string]string{"app.toml": e.Layout, e.Named + ".gz": zipped(t, sound)}))
	list := strings.NewReplacer(`type = "jsonl"`, `type = "json"`, ".jsonl", ".json").Replace(e.Layout)
	_, listed := readInto(t, folder(t, map[string]string{
		"app.toml":      list,
		"visits_1.json": "[" + strings.Replace(sound, "\n", ",\n", 1) + "]",
	}))
	require.Len(t, plain["record.readings"], 4)
	assert.Equal(t, stored(plain), stored(packed))
	assert.Equal(t, stored(plain), stored(listed))
}

// TestObjectsRefused: what is no file of objects says so.
func TestObjectsRefused(t *testing.T) {
	e := exampleOf(t, "jsonl")
	list := strings.NewReplacer(`type = "jsonl"`, `type = "json"`, ".jsonl", ".json").Replace(e.Layout)
	for _, c := range []struct{ name, text, layout, want string }{
		{"visits_1.jsonl", e.File[:len(e.File)-20], e.Layout, "incomplete incomplete-file"},
		{"visits_1.jsonl", "Serial;Day\n", e.Layout, "refused no-header"},
		{"visits_1.jsonl", "\xff\xfe{\x00", e.Layout, "refused wrong-encoding"},
		{"visits_1.jsonl", "PK\x03\x04", e.Layout, "refused not-a-text-file"},
		{"visits_1.json", "[" + e.File, list, "incomplete incomplete-file"},
		{"visits_1.json", "Serial;Day\n", list, "refused not-a-text-file"},
		{"visits_1.json", "[" + strings.Replace(e.File, "HI", "\xe4", 1) + "]", list, "refused wrong-encoding"},
	} {
		r, w := readInto(t, folder(t, map[string]string{"app.toml": c.layout, c.name: c.text}))
		assert.Equal(t, []string{c.want}, fate(r.Files[0], w, ""), "%.40q: %s", c.text, r.Files[0].Message)
	}
	o := folder(t, map[string]string{"app.toml": e.Layout, e.Named: strings.Repeat(e.File, 20)})
	o.Limits.Rows = 10
	r, _ := readInto(t, o)
	assert.Equal(t, lines.TooLarge, r.Files[0].Reason)
}

// TestPage: a page under the name of a workbook, in another encoding too.
func TestPage(t *testing.T) {
	e := exampleOf(t, "html")
	latin := strings.NewReplacer("sheet = 1", "encoding = \"windows-1252\"").Replace(e.Layout)
	page := strings.NewReplacer("7310", "7310\xe4").Replace(e.File)
	r, w := readInto(t, folder(t, map[string]string{"pages.toml": latin, e.Named: page}))
	require.Equal(t, int64(2), r.Files[0].Parsed, "%s %v", r.Files[0].Message, r.Files[0].Reasons)
	assert.Equal(t, "serial=7310ä", w["record.visits"][0].show("serial"))
	for text, want := range map[string]string{
		page: "refused wrong-encoding", e.File[:len(e.File)-25]: "incomplete incomplete-file", "<p>none</p>": "refused not-a-text-file",
		compound("Workbook"): "refused not-a-text-file",
	} {
		r, w := readInto(t, folder(t, map[string]string{"pages.toml": e.Layout, e.Named: text}))
		assert.Equal(t, []string{want}, fate(r.Files[0], w, ""), "%.40q: %s", text, r.Files[0].Message)
	}
}

// TestFormsAreRecognised: a draft knows objects and pages by their content.
func TestFormsAreRecognised(t *testing.T) {
	jsonl, page := exampleOf(t, "jsonl").File, exampleOf(t, "html").File
	for name, c := range map[string]struct {
		text string
		keys []string
	}{
		"export.txt": {strings.Repeat(jsonl, 3), []string{`type = "jsonl"`, `rows = "readings"`, `header = "readings.co2"`}},
		"export.csv": {"[" + strings.TrimSpace(jsonl) + "]", []string{`type = "json"`, `rows = "readings"`}},
		"export.xls": {"<table><tr><td>Quay office</table>" + page, []string{`type = "html"`, "sheet = 2 ", `header = "High CO2"`}},
	} {
		o := folder(t, map[string]string{name: c.text})
		all, err := Inspect(context.Background(), nil, o, func(string) bool { return true })
		require.NoError(t, err)
		for _, key := range c.keys {
			assert.Contains(t, all[0].Draft, key, fmt.Sprint(name, all[0].Hints))
		}
	}
}

// TestNullMarksAreDrafted: a dump of a database whose only escape is that of cells
// without a value is drafted with it.
func TestNullMarksAreDrafted(t *testing.T) {
	o := folder(t, map[string]string{"tests.csv": asLines("boiler,day,co2,note", `"K-1","2024-03-25",9.1,"no"`, `"K-2","2024-03-25",\N,\N`)})
	all, err := Inspect(t.Context(), nil, o, func(string) bool { return true })
	require.NoError(t, err)
	assert.Contains(t, all[0].Draft, `escape = "\\"`)
}

package book

import (
	"bufio"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/lines"
)

// mergesIn reads the merged ranges of a sheet as they are written, and how many are none.
func mergesIn(t *testing.T, sheet string) (all []string, bad int64) {
	t.Helper()
	from := bufio.NewReaderSize(strings.NewReader(sheet), 64<<10)
	found, err := seekMerges(from)
	require.NoError(t, err)
	switch found {
	case noMerges:
		return nil, 0
	case maybeMerges:
		from = bufio.NewReader(strings.NewReader(sheet))
	}
	m, err := readMerges(newTokens(from, 1<<20))
	require.NoError(t, err)
	for _, one := range m.all {
		all = append(all, one.String())
	}
	return all, m.bad
}

func merged(refs ...string) string {
	return "<mergeCells><mergeCell ref=\"" + strings.Join(refs, "\"/><mergeCell ref=\"") + "\"/></mergeCells>"
}

// Ranges of several rows are found in the order of their rows, whatever stands before them;
// those that are none, or that begin within another, hold for nothing.
func TestMerges(t *testing.T) {
	page := func(cell, refs string) string {
		return `<?xml version="1.0"?><worksheet><sheetData><row r="1"><c t="inlineStr"><is><t>` + cell + `</t></is></c></row></sheetData>` +
			refs + "</worksheet>"
	}
	far := strings.Repeat("x", 64<<10-105) // so that the list lies across what is looked at at once
	for name, c := range map[string]struct {
		sheet string
		want  []string
		bad   int64
	}{
		"none":             {page("a", ""), nil, 0},
		"several":          {page("a", merged("B4:B6", "A1:F1", "A4:B5", "AB3:AC9")), []string{"AB3:AB9", "A4:A5", "B4:B6"}, 0},
		"its name as text": {page("mergeCells", merged("A2:A3")), []string{"A2:A3"}, 0},
		"as text alone":    {page("mergeCells", ""), nil, 0},
		"in a remark":      {page("a", "<!-- "+merged("A8:A9")+" -->"+merged("A2:A3")), []string{"A2:A3"}, 0},
		"cdata":            {page("<![CDATA[<mergeCells><mergeCell ref=\"A8:A9\"/>]]>", merged("A2:A3")), []string{"A2:A3"}, 0},
		"with a prefix":    {page("a", strings.NewReplacer("<m", "<x:m", "</m", "</x:m").Replace(merged("A2:A3"))), []string{"A2:A3"}, 0},
		"no ranges": {
			page("a", merged("A3:A2", "B2:A3", "A2", "", "A:A", "A0:A2", "A2:A1048577", "ZZZZ1:ZZZZ2", "A2:A3:A4", "é1:é2")),
			nil, 9,
		},
		"overlapping": {page("a", merged("A2:A9", "A4:A5", "A9:A12", "A13:A14", "A2:A9")), []string{"A2:A9", "A13:A14"}, 3},
	} {
		all, bad := mergesIn(t, c.sheet)
		assert.Equal(t, c.want, all, name)
		assert.Equal(t, c.bad, bad, name)
	}
	for _, n := range []int{0, 1, 5, 20, 40} {
		all, _ := mergesIn(t, page(far[n:], merged("A2:A3")))
		assert.Equal(t, []string{"A2:A3"}, all, n)
	}
}

// More ranges than are held are refused.
func TestMergesAreBounded(t *testing.T) {
	m := &merges{all: make([]merge, mostMerges)}
	assert.True(t, m.add("A1:B1"), "those of one row are not held")
	assert.False(t, m.add("A1:A2"))
}

// FuzzMerges: whatever is written of merged cells, ranges come in the order of their rows,
// none begins within another of its column, and each row gets its own.
func FuzzMerges(f *testing.F) {
	f.Add("A1:A2 A3:A4 B2:C9")
	f.Add("A3:A9 A4:A5 XFD1:XFD1048576 A9:A3")
	f.Fuzz(func(t *testing.T, refs string) {
		m := &merges{}
		for ref := range strings.FieldsSeq(refs) {
			m.add(ref)
		}
		m.sort()
		ends := map[int16]int32{}
		for _, x := range m.all {
			if x.first >= x.last || x.first <= ends[x.column] {
				t.Fatalf("%s in %v", x, m.all)
			}
			ends[x.column] = x.last
		}
		n := len(m.all)
		var got []lines.Span
		for _, x := range slices.Clone(m.all) {
			got = m.spans(got, int(x.first))
		}
		if len(got) != n {
			t.Fatalf("%d of %d ranges: %v", len(got), n, fmt.Sprint(got))
		}
	})
}

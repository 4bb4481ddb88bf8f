package page

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/days"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// partLines are three boilers of two areas and one without, all of one source's register.
func partLines() []watch.Line {
	var lines []watch.Line
	for i, area := range []string{"Süd 1", "North", "", "North"} {
		lines = append(lines, watch.Line{
			Unit: judge.Unit{Serial: string(rune('a' + i)), Area: area, Source: "office", InRegister: i < 3, Fuel: []string{"propane", "gas"}[i%2]},
		})
	}
	lines[3].Unit.Source = "elsewhere"
	return lines
}

// A list is divided by area and crew where there are at least two; a source that is not
// that of a register is no branch.
func TestPartsOfAList(t *testing.T) {
	crews := []days.Crew{
		{Code: "one", Areas: []string{"North"}},
		{Code: "gas only", Fuels: []string{"gas"}},
		{Code: "idle", Areas: []string{"West"}, Fuels: []string{"oil"}},
	}
	parts := PartsOf(partLines(), crews)
	require.Len(t, parts, 4)
	for i, want := range []Part{
		{"area", "North", "area-north.html", []int{1, 3}},
		{"area", "Süd 1", "area-s-d-1.html", []int{0}},
		{"crew", "one", "crew-one.html", []int{1, 2, 3}}, // who does not say an area may be anywhere
		{"crew", "gas only", "crew-gas-only.html", []int{1, 3}},
	} {
		assert.Equal(t, want, parts[i])
	}
	assert.Empty(t, PartsOf(partLines(), crews[:1])[2:], "one crew goes to all")
}

// Names of the same plain letters have addresses of their own.
func TestAddressesOfParts(t *testing.T) {
	seen := map[string]bool{}
	at := func(name string) string { return addressOf(&Part{Kind: "area", Name: name}, seen) }
	assert.Equal(t, []string{"area-a-1.html", "area-a-1-2.html", "area.html"}, []string{at("A 1"), at("a/1"), at("../")})
}

// A line opens to its details on the page of its area; the first of all on the whole
// list too; one without an area on the whole list alone.
func TestWhereDetailsStand(t *testing.T) {
	lines := partLines()
	p := Page{Lines: lines, Details: make([]Detail, 3), Parts: PartsOf(lines, nil), Summary: watch.Summary{AsOf: day.Of(2026, 3, 2)}}
	from := func(here string) (pages []string) {
		for i, area := range p.areaPages() {
			pages = append(pages, p.detailPage(i, area, here))
		}
		return pages
	}
	assert.Equal(t, []string{"lists.html", "lists.html", "lists.html", ""}, from(ListPage))
	assert.Equal(t, []string{"area-s-d-1.html", "area-north.html", "lists.html", ""}, from("group-x.html"))
	var b bytes.Buffer
	require.NoError(t, WritePart(&b, p, p.Parts[0]))
	text := b.String()
	assert.Contains(t, text, `<b>North</b> <a href="area-s-d-1.html">Süd 1</a>`)
	assert.Contains(t, text, "<h1>Boilers to visit, North</h1>")
	assert.Equal(t, 2, strings.Count(text, "\n<tr><td><b>"))
	assert.Contains(t, text, `<a href="#u-b">b</a>`)
	assert.Contains(t, text, `<tr class=more id="u-b">`)
	assert.NotContains(t, text, "u-d", "it has no details")
	assert.Contains(t, text, "<summary>Readings</summary>", "they stand on the page of the area")
	b.Reset()
	require.NoError(t, WritePage(&b, p))
	assert.Contains(t, b.String(), `<a href="area-north.html#u-b">Readings</a>`, "the whole list leads there")
}

// Serials that an address cannot hold, and that are alike in what it can, have their own.
func TestIDsOfUnits(t *testing.T) {
	lines := []watch.Line{{Unit: judge.Unit{Serial: "A 1"}}, {Unit: judge.Unit{Serial: "A/1"}}, {Unit: judge.Unit{Serial: "A-1"}}}
	assert.Equal(t, []string{"u-A_1", "u-A_1_2", "u-A-1"}, idsOf(lines))
}

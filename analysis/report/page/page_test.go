package page

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/plotter"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/words"
	"fluedrift/model/day"
)

// What a list is, is said once, and what was lost elsewhere on the page.
func TestListViewSaysThingsOnce(t *testing.T) {
	meaning := words.Capital(lists.Lists()[slices.IndexFunc(lists.Lists(), func(l lists.List) bool { return l.Name == "verify" })].Meaning)
	of := lists.Verify(nil, day.None)
	of.Lost = []string{"One file could not be read."}
	v := listView(of)
	assert.Equal(t, meaning, v.Meaning)
	assert.Equal(t, of.Head, v.Head)
	assert.Equal(t, []string{of.Lost[0], meaning + ". " + of.Head[0]}, of.Lines())
}

// Points that fall on each other are one dot; words of a figure are safe in an
// attribute; its texts are as wide as measured.
func TestFigureIsSmallAndSafe(t *testing.T) {
	p := NewFigure("x < y", "y")
	var at plotter.XYs
	for i := range 5000 {
		at = append(at, plotter.XY{X: float64(i % 10), Y: float64(i % 7)})
	}
	p.Dots(at, PlainTone)
	svg, err := p.SVG(`a "quoted" <name>`)
	require.NoError(t, err)
	require.Contains(t, string(svg), `aria-label="a &#34;quoted&#34; &lt;name&gt;"`)
	require.LessOrEqual(t, strings.Count(string(svg), "M"), 70+30) // 70 places, and the axes
	at = nil
	for i := range 200000 { // a large fleet
		at = append(at, plotter.XY{X: math.Sin(float64(i)), Y: math.Sin(1.7 * float64(i))})
	}
	p.Dots(at, PlainTone)
	large, err := p.SVG("many")
	require.NoError(t, err)
	require.Less(t, len(large), 1<<20)
	texts, wide := strings.Count(string(svg), "<text"), strings.Count(string(svg), "textLength=")
	require.Positive(t, texts)
	require.Equal(t, texts, wide)
	require.NotContains(t, string(svg), "font-family")
}

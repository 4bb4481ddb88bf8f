package page

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/plotter"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// A chart stays inside its frame, and one without a day to span is none.
func TestChartStaysInside(t *testing.T) {
	nan := math.NaN()
	c := watch.Chart{From: 100, To: 900, AsOf: 800, Fires: []watch.ChartFire{{
		Fire: "high", Low: 8, High: 10,
		Dots:  []watch.Dot{{Day: 100, CO2Percent: 8, Condition: "as found"}, {Day: 900, CO2Percent: 10, Condition: "as left"}},
		Bands: []watch.BandSpan{{From: 100, Until: 900, Target: 9, SetLow: 8.8, SetHigh: nan, ActLow: 8, ActHigh: 10}},
	}}}
	svg := drawChart(c)
	for _, m := range regexp.MustCompile(`M(-?\d+) (-?\d+)`).FindAllStringSubmatch(svg, -1) {
		assert.Regexp(t, `^\d{1,3}$`, m[1])
		assert.Regexp(t, `^\d{1,3}$`, m[2])
	}
	for _, path := range regexp.MustCompile(`class=[ol] d="(m[^"]+)"`).FindAllStringSubmatch(svg, -1) {
		x, y := 0, 0
		for _, m := range regexp.MustCompile(`m(-?\d+) ?(-?\d+)`).FindAllStringSubmatch(path[1], -1) { // each from the one before
			dx, err := strconv.Atoi(m[1])
			require.NoError(t, err)
			dy, err := strconv.Atoi(m[2])
			require.NoError(t, err)
			x, y = x+dx, y+dy
			assert.True(t, x >= 0 && x <= chartWidth && y >= 0 && y <= titleRoom+panelHeight, "%d %d", x, y)
		}
	}
	assert.NotContains(t, svg, "NaN")
	c.To = c.From
	assert.Empty(t, drawChart(c))
}

// What a list is, is said once, and what was lost elsewhere on the page.
func TestListViewSaysThingsOnce(t *testing.T) {
	meaning := lists.Lists()[slices.IndexFunc(lists.Lists(), func(l lists.List) bool { return l.Name == "verify" })].Meaning
	of := lists.Verify(nil, day.None)
	of.Lost = []string{"One file could not be read."}
	v := listView(of)
	assert.Equal(t, meaning, v.Meaning)
	assert.Equal(t, of.Head, v.Head)
	assert.Equal(t, []string{of.Lost[0], strings.ToUpper(meaning[:1]) + meaning[1:] + ". " + of.Head[0]}, of.Lines())
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

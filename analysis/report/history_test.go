package report_test

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// unitPage is the page of one of the invented histories.
func unitPage(t *testing.T, h *judge.History) string {
	t.Helper()
	r := rules(t)
	l := assess(h, r, nil)
	var b bytes.Buffer
	d := page.Detail{Story: watch.Tell(h, l, r), Chart: watch.ChartOf(h, &l, r)}
	require.NoError(t, page.WriteUnitPage(&b, units.SI, d, watch.SheetOf(h, &l, r, nil), asOf))
	return b.String()
}

// Readings of one visit and condition stand on one row, fires side by side: the gas that
// was recorded as it is, the other soft, out of limits in its own class.
func TestReadingsSideBySide(t *testing.T) {
	h := someHistories()[2] // recorded in O2
	text := unitPage(t, h)
	rows := regexp.MustCompile(`<tr class="first"><th scope=row>([^<]*)<td>([^<]*)<td>([^<]*)(.*)`).FindAllStringSubmatch(text, -1)
	require.Len(t, rows, 1)
	assert.Equal(t, []string{"annual", "as left"}, rows[0][2:4])
	cells := regexp.MustCompile(`<td class="([^"]*)">([^<]*)`).FindAllStringSubmatch(rows[0][4], -1)
	require.Len(t, cells, 8)
	for fire := range 2 {
		assert.Equal(t, []string{"n", "5.1"}, cells[4*fire][1:])
		assert.Equal(t, "n y", cells[4*fire+1][1])
	}
	h = someHistories()[1]
	h.Readings[0].CO2Percent = 6.1
	assert.Contains(t, unitPage(t, h), `<td class="n out">6.1`)
	found := h.Readings[0]
	found.Condition = judge.AsFound
	h.Readings = append([]judge.Reading{found}, h.Readings...)
	assert.Equal(t, 1, strings.Count(unitPage(t, h), `<th scope=row>`)-strings.Count(unitPage(t, h), "<tr><th scope=row>"),
		"a day once a visit")
}

// Readings at points of a curve, and at more fires than two, stand visit by visit.
func TestReadingsOfPoints(t *testing.T) {
	h := someHistories()[1]
	h.Readings[0].Fire, h.Readings[0].RatePercent = judge.Point, 40
	text := unitPage(t, h)
	assert.NotContains(t, text, "<table class=history")
	assert.Contains(t, text, "<table class=visits")
}

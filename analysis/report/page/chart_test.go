package page

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

var chartDay = day.Of(2026, time.March, 2)

// aChart is one fire read three times and expected for six months.
func aChart() watch.Chart {
	f := watch.ChartFire{
		Fire: "high",
		Dots: []watch.Dot{
			{Day: chartDay - 1400, CO2Percent: 9, Condition: "as left"},
			{Day: chartDay - 700, CO2Percent: 9.5, Condition: "as found", Visit: 1, Out: true},
			{Day: chartDay - 700, CO2Percent: 9.1, Condition: "as left", Visit: 1},
			{Day: chartDay - 300, CO2Percent: 11.3, Condition: "as found", Visit: 2, Out: true},
		},
		Bands: []watch.BandSpan{{
			From: chartDay - 1400, Until: chartDay + 180, Target: 9, SetLow: 8.8, SetHigh: math.NaN(), ActLow: 8.6, ActHigh: 9.4,
		}},
	}
	for month := range day.Day(7) {
		rise := 0.1 * float64(month)
		f.Fan = append(f.Fan, analysis.PathPoint{Day: chartDay + 30*month, CO2Percent: 9 + rise, LowPercent: 8.8 + rise, HighPercent: 9.2 +
			2*rise})
	}
	return watch.Chart{
		From: chartDay - 1400, To: chartDay + 180, AsOf: chartDay, Planned: chartDay + 120, Fires: []watch.ChartFire{f},
		Turns: []watch.Turn{{Day: chartDay - 500, Uncertain: chartDay - 600, What: "vent"}},
		CO: []watch.CODot{
			{Day: chartDay - 700, PPM: 2000, Condition: "as left"},
			{Day: chartDay - 300, PPM: 20, Condition: "as found"},
		},
		AttentionPPM: 100, UrgentPPM: 400,
	}
}

var move = regexp.MustCompile(`M(-?\d+) (-?\d+)`)

// Whatever the form, everything begins inside the frame.
func TestChartStaysInside(t *testing.T) {
	for _, form := range []chartForm{wideChart, detailChart, phoneChart} {
		svg := drawChart(aChart(), form)
		box := regexp.MustCompile(`viewBox="0 0 (\d+) (\d+)"`).FindStringSubmatch(svg)
		require.NotNil(t, box)
		width, err := strconv.Atoi(box[1])
		require.NoError(t, err)
		height, err := strconv.Atoi(box[2])
		require.NoError(t, err)
		require.Equal(t, form.width, width)
		for _, m := range move.FindAllStringSubmatch(svg, -1) {
			x, _ := strconv.Atoi(m[1])
			y, _ := strconv.Atoi(m[2])
			assert.True(t, x >= 0 && x <= width && y >= 0 && y <= height, "%s in %d x %d", m[0], width, height)
		}
		assert.NotContains(t, svg, "NaN")
	}
	assert.Empty(t, drawChart(watch.Chart{AsOf: chartDay}, wideChart))
}

// The past ends where a gap of 12 begins; behind it a month has its width, but no more
// than four tenths of the chart are ahead.
func TestTwoScalesOfTime(t *testing.T) {
	c := aChart()
	s := timesOf(&c, wideChart)
	assert.Equal(t, []int{56, s.split}, []int{s.x(c.From), s.x(c.AsOf)})
	assert.Equal(t, 1392-112, s.x(c.To))
	assert.Equal(t, int(math.Round(180/daysPerMonth*40)), s.end-s.split-partGap)
	c.To = chartDay + 4000
	far := timesOf(&c, wideChart)
	assert.InDelta(t, 0.4*float64(far.end-far.left), float64(far.end-far.split-partGap), 1)
	assert.Equal(t, chartDay.AddMonths(-60), timesOf(&watch.Chart{From: chartDay - 9000, AsOf: chartDay, To: chartDay}, phoneChart).from)
}

// The first of January of each year has its line, the years their labels between them.
func TestYearMarks(t *testing.T) {
	c := aChart() // from May 2022 to March 2026
	s := timesOf(&c, wideChart)
	marks, labels := s.yearMarks()
	require.Len(t, marks, 4)
	assert.Equal(t, s.x(day.Of(2024, time.January, 1)), marks[1].x)
	var years []string
	for _, l := range labels {
		years = append(years, l.label)
	}
	assert.Equal(t, []string{"2022", "2023", "2024", "2025", "2026"}, years)
	months := s.monthMarks(3)
	require.Len(t, months, 6)
	assert.Equal(t, "Mar", months[0].label)
}

// An axis is its target and one point on either side, whatever was read; one and a half
// where the action band is wider than 0.7.
func TestAxisAboutTheTarget(t *testing.T) {
	c := aChart()
	v := valuesOf(&c.Fires[0], reachOf(c.Fires), 100, 176)
	assert.Equal(t, []int{100, 188, 276, 100, 276}, []int{v.y(10), v.y(9), v.y(8), v.y(14), v.y(3)})
	assert.Equal(t, []int{1, 0, -1}, []int{v.side(10.1), v.side(10), v.side(7.9)})
	c.Fires[0].Bands[0].ActHigh = 9.8
	assert.Equal(t, 1.5, reachOf(c.Fires))
}

// A reading beyond the axis is a triangle at its edge with its value; one found out of
// limits has a ring of its own; an adjustment is an upright line between the two.
func TestMarksOfReadings(t *testing.T) {
	c := aChart()
	svg := drawChart(c, wideChart)
	s := timesOf(&c, wideChart)
	top := turnRoom + keyRoom
	far, adjusted := s.x(chartDay-300), s.x(chartDay-700)
	assert.Contains(t, svg, "M"+strconv.Itoa(far)+" "+strconv.Itoa(top)+"l5 9h-10z")
	assert.Contains(t, svg, ">11.3</text>")
	assert.Contains(t, svg, `<path class=e d="M`+strconv.Itoa(adjusted)+" "+strconv.Itoa(top+44)+`h0"/>`, "9.5 is a quarter below the top")
	assert.Contains(t, svg, "M"+strconv.Itoa(adjusted)+" "+strconv.Itoa(top+44)+"V"+strconv.Itoa(top+79))
	assert.Contains(t, svg, "vent run changed, day unknown")
	assert.Contains(t, svg, "planned visit 30 Jun 2026")
	c.Fires[0].Dots[0].LeftOut = true
	assert.Contains(t, drawChart(c, wideChart), "<path class=x ")
}

// What of the fan lies beyond a limit is cut off exactly where it crosses it.
func TestFanBeyondTheLimits(t *testing.T) {
	low, high := []point{{0, 8.8}, {100, 9.0}}, []point{{0, 9.2}, {100, 9.6}}
	assert.Equal(t, []point{{0, 9.4}, {50, 9.4}, {100, 9.6}, {100, 9.4}, {0, 9.4}}, areaBetween(low, high, 9.4, 10))
	assert.Nil(t, areaBetween(low, high, 7, 8.6), "nothing of it is lean")
	assert.Equal(t, [][]point{{{50, 9.4}, {100, 9.6}}}, pieces(high, 9.4, 10))
	assert.Equal(t, [][]point{{{0, 9.2}, {50, 9.4}}}, pieces(high, 8, 9.4))
	over := []point{{0, 8}, {100, 10}, {200, 8}}
	assert.Equal(t, [][]point{{{50, 9}, {100, 10}, {150, 9}}}, pieces(over, 9, 11))
	assert.Equal(t, [][]point{{{0, 8}, {50, 9}}, {{150, 9}, {200, 8}}}, pieces(over, 7, 9))
	through := []point{{0, 7}, {100, 11}}
	assert.Equal(t, [][]point{{{25, 8}, {75, 10}}}, pieces(through, 8, 10))
}

// Labels nearer than a line of text are moved apart, about their middle.
func TestSpread(t *testing.T) {
	assert.Equal(t, []int{10, 40}, spread([]int{10, 40}, 13))
	got := spread([]int{100, 105, 110}, 13)
	assert.Equal(t, []int{92, 105, 118}, got)
	assert.Empty(t, spread(nil, 13))
}

// CO stands on a logarithmic axis from 10 to 1000 ppm.
func TestScaleOfCO(t *testing.T) {
	assert.Equal(t, []int{72, 36, 0, 0, 72}, []int{coY(10, 0), coY(100, 0), coY(1000, 0), coY(5000, 0), coY(1, 0)})
	assert.Equal(t, 2, strings.Count(drawChart(aChart(), wideChart), " urgent<")+strings.Count(drawChart(aChart(), wideChart), " attention<"))
}

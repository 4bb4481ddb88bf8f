package drift

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func found(y float64) Reading { return Reading{Y: y, Kind: AsFound, Analyzer: -1, Period: -1} }
func left(y float64) Reading  { return Reading{Y: y, Kind: AsLeft, Analyzer: -1, Period: -1} }

func visit(t float64, adjusted Answer, readings ...Reading) Visit {
	return Visit{T: t, Adjusted: adjusted, Readings: readings, Analyzer: -1, Period: -1}
}

// Each case writes the placed readings as (visit, reading, segment).
func TestSegmentRule(t *testing.T) {
	nan := math.NaN()
	changed := visit(1, No, found(0.02))
	changed.Before = ChangeTarget
	during := visit(1, No, found(0.02), left(0.03))
	during.During = ChangeVent
	work := visit(1, Unknown)
	work.Work = true
	doubtful := found(0.03)
	doubtful.Use = ForState
	copied := found(0.03)
	copied.Use = ForNone
	for _, c := range []struct {
		name   string
		visits []Visit
		want   [][3]int
		set    []float64 // time of the last adjustment of each placed reading
	}{
		{"a: the first visit opens", []Visit{visit(0, No, found(0.1))}, [][3]int{{0, 0, 0}}, []float64{nan}},
		{
			"not adjusted goes on",
			[]Visit{visit(0, No, found(0.1)), visit(1, No, found(0.3))},
			[][3]int{{0, 0, 0}, {1, 0, 0}},
			[]float64{nan, nan},
		},
		{
			"b: adjusted by the flag, as left follows",
			[]Visit{visit(0, Yes, found(0.2), left(0)), visit(1, Yes, found(0.1), left(0))},
			[][3]int{{0, 0, 0}, {0, 1, 1}, {1, 0, 1}, {1, 1, 2}},
			[]float64{nan, 0, 0, 1},
		},
		{
			"b: adjusted because they differ, whatever the flag",
			[]Visit{visit(0, No, found(0.06), left(0))},
			[][3]int{{0, 0, 0}, {0, 1, 1}},
			[]float64{nan, 0},
		},
		{
			"b: adjusted by the flag although equal",
			[]Visit{visit(0, Yes, found(0.02), left(0.02))},
			[][3]int{{0, 0, 0}, {0, 1, 1}},
			[]float64{nan, 0},
		},
		{
			"equal without a flag is one reading",
			[]Visit{visit(0, Unknown, found(0.3), left(0.26)), visit(1, No, found(0.2))},
			[][3]int{{0, 0, 0}, {1, 0, 0}},
			[]float64{nan, nan},
		},
		{
			"b: adjusted, as left not recorded",
			[]Visit{visit(0, Yes, found(0.2)), visit(1, No, found(0.1))},
			[][3]int{{0, 0, 0}, {1, 0, 1}},
			[]float64{nan, 0},
		},
		{
			"c: no as found, flag says not adjusted",
			[]Visit{visit(0, No, found(0.1)), visit(1, No, left(0.1)), visit(2, No, found(0.1))},
			[][3]int{{0, 0, 0}, {1, 0, 1}, {2, 0, 1}},
			[]float64{nan, nan, nan},
		},
		{
			"c: no as found, no flag: an adjustment is inferred",
			[]Visit{visit(0, Unknown, left(0)), visit(1, No, found(0))},
			[][3]int{{0, 0, 0}, {1, 0, 0}},
			[]float64{0, 0},
		},
		{
			"c: a visit without any value",
			[]Visit{visit(0, No, found(0)), visit(1, No), visit(2, No, found(0))},
			[][3]int{{0, 0, 0}, {2, 0, 1}},
			[]float64{nan, nan},
		},
		{
			"c: work without values",
			[]Visit{visit(0, No, found(0)), work, visit(2, No, found(0))},
			[][3]int{{0, 0, 0}, {2, 0, 1}},
			[]float64{nan, 1},
		},
		{
			"c: an as found judged useless is none",
			[]Visit{visit(0, No, found(0)), visit(1, No, copied), visit(2, No, found(0))},
			[][3]int{{0, 0, 0}, {2, 0, 1}},
			[]float64{nan, nan},
		},
		{
			"d: far out without a flag",
			[]Visit{visit(0, Unknown, found(0.11)), visit(1, No, found(0.1))},
			[][3]int{{0, 0, 0}, {1, 0, 1}},
			[]float64{nan, 0},
		},
		{
			"d: near the target without a flag",
			[]Visit{visit(0, Unknown, found(-0.1)), visit(1, No, found(0.1))},
			[][3]int{{0, 0, 0}, {1, 0, 0}},
			[]float64{nan, nan},
		},
		{
			"d: far out with a flag",
			[]Visit{visit(0, No, found(0.5)), visit(1, No, found(0.5))},
			[][3]int{{0, 0, 0}, {1, 0, 0}},
			[]float64{nan, nan},
		},
		{"e: a change before the visit", []Visit{visit(0, No, found(0)), changed}, [][3]int{{0, 0, 0}, {1, 0, 1}}, []float64{nan, nan}},
		{
			"e: a change at the visit",
			[]Visit{visit(0, No, found(0)), during, visit(2, No, found(0))},
			[][3]int{{0, 0, 0}, {1, 0, 0}, {1, 1, 1}, {2, 0, 1}},
			[]float64{nan, nan, 1, 1},
		},
		{
			"f: five years are not too long",
			[]Visit{visit(0, No, found(0)), visit(5, No, found(0))},
			[][3]int{{0, 0, 0}, {1, 0, 0}},
			[]float64{nan, nan},
		},
		{"f: longer is", []Visit{visit(0, No, found(0)), visit(5.01, No, found(0))}, [][3]int{{0, 0, 0}, {1, 0, 1}}, []float64{nan, nan}},
		{
			"a reading in doubt stands alone",
			[]Visit{visit(0, No, found(0)), visit(1, No, doubtful), visit(2, No, found(0))},
			[][3]int{{0, 0, 0}, {1, 0, 1}, {2, 0, 2}},
			[]float64{nan, nan, nan},
		},
		{
			"between is no part, of several the first found and the last left count",
			[]Visit{visit(0, Yes, found(0.3), found(0.2), Reading{Y: 0.1, Kind: Between}, left(0.1), left(0))},
			[][3]int{{0, 0, 0}, {0, 4, 1}},
			[]float64{nan, 0},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Segment(&Series{Visits: c.visits}, DefaultConfig())
			require.Len(t, got, len(c.want))
			for i, p := range got {
				assert.Equal(t, c.want[i], [3]int{p.Visit, p.Reading, p.Segment})
				if math.IsNaN(c.set[i]) {
					assert.True(t, math.IsNaN(p.Set), "reading %d: set at %v", i, p.Set)
				} else {
					assert.Equal(t, c.set[i], p.Set)
				}
			}
		})
	}
}

// Identity: the settling column is min(t - last adjustment, 1 year) and stands
// still where no adjustment is known.
func TestSettlingColumn(t *testing.T) {
	assert.Equal(t, 0.0, settled(3, 3))
	assert.Equal(t, 0.25, settled(3.25, 3))
	assert.Equal(t, 1.0, settled(4, 3))
	assert.Equal(t, 1.0, settled(9, 3))
	assert.Equal(t, 1.0, settled(9, math.NaN()))
}

package watch_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// A visit has one dot of CO a condition, that of the fire with more, in whatever order
// fires and conditions were recorded.
func TestCOOfAChart(t *testing.T) {
	nan := math.NaN()
	h := &judge.History{Unit: judge.Unit{Serial: "0070", InRegister: true}, Visits: []judge.Visit{{Day: 20000}, {Day: 20100}}}
	for _, r := range []judge.Reading{
		{Visit: 0, Day: 20000, Fire: judge.High, Condition: judge.AsFound, COPPM: 20},
		{Visit: 0, Day: 20000, Fire: judge.High, Condition: judge.AsLeft, COPPM: 15},
		{Visit: 0, Day: 20000, Fire: judge.Low, Condition: judge.AsFound, COPPM: 90},
		{Visit: 0, Day: 20000, Fire: judge.Low, Condition: judge.AsLeft, COPPM: 10},
		{Visit: 1, Day: 20100, Fire: judge.High, Condition: judge.AsLeft, COPPM: nan},
	} {
		r.COBasis, r.CO2Percent, r.O2Percent, r.COReferenceO2Percent = judge.AirFree, 9, nan, nan
		h.Readings = append(h.Readings, r)
	}
	c := watch.ChartOf(h, &watch.Line{}, watch.Config{AsOf: 20200, COUrgentPPM: 400})
	assert.Equal(t, []watch.CODot{{Day: 20000, PPM: 90, Condition: judge.AsFound}, {Day: 20000, PPM: 15, Condition: judge.AsLeft}}, c.CO)
}

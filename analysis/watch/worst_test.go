package watch_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
)

// The worst day has a CO2 of its own only where today is likelier inside than out and
// that day is not.
func TestCO2AtWorst(t *testing.T) {
	f := &analysis.FireForecast{
		Today: analysis.Probability{Day: 10, Rich: 0.2}, Worst: analysis.Probability{Day: 70, Rich: 0.8},
		Path: []analysis.PathPoint{{Day: 10, CO2Percent: 9}, {Day: 40, CO2Percent: 9.2}, {Day: 70, CO2Percent: 9.5}, {Day: 100, CO2Percent: 9.1}},
	}
	line := &watch.FireLine{Forecast: f}
	assert.Equal(t, 9.5, line.AtWorst())
	f.Today.Rich = 0.5
	assert.True(t, math.IsNaN(line.AtWorst()), "likelier out than not already")
	f.Today.Rich, f.Worst.Rich = 0.2, 0.4
	assert.True(t, math.IsNaN(line.AtWorst()))
	assert.True(t, math.IsNaN((&watch.FireLine{}).AtWorst()))
}

package judge_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	. "fluedrift/model/judge"
)

// The mean of readings of which nobody knows the first, by the gases they have.
func TestMeanFound(t *testing.T) {
	r := rules(t)
	both := history(on(100, "no", tied(full(AsFound, 9.0, 4.9, 12, 61, 18)), tied(full(AsFound, 9.5, 4.1, 14, 62, 18))))
	all := both.Tied(&both.Readings[1])
	assert.Len(t, all, 2)
	mean := r.MeanFound(all)
	assert.InDelta(t, 9.25, mean.CO2Percent, 1e-12)
	assert.InDelta(t, 4.5, mean.O2Percent, 1e-12)
	assert.InDelta(t, (r.Deviation(all[0])+r.Deviation(all[1]))/2, r.MeanDeviation(all), 1e-12)
	assert.Equal(t, 9.0, both.Readings[0].CO2Percent, "the record stays")

	// O2 beside CO2: CO2 = CO2max (1 - O2/20.9) by the fuel, the project's own conversion
	mixed := history(on(100, "no", tied(full(AsFound, 9.0, nan, nan, nan, nan)), tied(full(AsFound, nan, 4.1, nan, nan, nan))))
	all = mixed.Tied(&mixed.Readings[0])
	mean = r.MeanFound(all)
	assert.True(t, math.IsNaN(mean.O2Percent))
	assert.InDelta(t, (9.0+r.CO2(&mixed.Readings[1]))/2, mean.CO2Percent, 1e-12)

	alone := history(on(100, "no", value(AsFound, 9.3), tied(low(value(AsFound, 9.3)))))
	assert.Nil(t, alone.Tied(&alone.Readings[0]))
	assert.Len(t, alone.Tied(&alone.Readings[1]), 1)
}

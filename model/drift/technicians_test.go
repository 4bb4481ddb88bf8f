package drift

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// done is a unit with one visit by a technician, who found one value and left
// another.
func done(by int, flag Answer, y ...float64) Series {
	v := visit(1, flag, found(y[0]))
	if len(y) > 1 {
		v.Readings = append(v.Readings, left(y[1]))
	}
	v.By = by
	return series(v)
}

// What technicians do and how they set is told by their visits, each one's drawn
// to everybody's by twenty visits, and everybody's to what is taken without any.
func TestTechniciansAreToldApart(t *testing.T) {
	var units []Series
	for range 60 {
		units = append(units, done(1, Yes, 0.4, 0.1), done(2, No, 0.4, 0.4), done(2, Yes, 0.4, 0))
	}
	f := plainFleet(t, units...)
	by := func(n int) *Visit { return &Visit{By: n} }
	assert.InDelta(t, 2.0/3, f.technicians.shares.AdjustedOff, 1e-12)
	assert.InDelta(t, math.Min((60+20*2.0/3)/80, 0.9), f.technicians.noFlagShare(by(1)), 1e-12)
	assert.InDelta(t, (60+20*2.0/3)/140, f.technicians.noFlagShare(by(2)), 1e-12)
	assert.InDelta(t, 2.0/3, f.technicians.noFlagShare(by(0)), 1e-12, "nobody named")
	assert.InDelta(t, 2.0/3, f.technicians.noFlagShare(by(9)), 1e-12, "nobody known")
	assert.InDelta(t, (60+20*2.0/3)/80, f.technicians.farShare(by(1)), 1e-12)

	high, sd := f.technicians.setting(by(1))
	on, _ := f.technicians.setting(by(2))
	all := 0.05 * 120 / 140
	assert.InDelta(t, (60*0.1+20*all)/80, high, 1e-12)
	assert.InDelta(t, 20*all/80, on, 1e-12)
	assert.InDelta(t, 0.1*math.Sqrt(20.0/140), sd, 1e-9, "each sets alike")
	none, taken := plainFleet(t, done(1, No, 0.4)).technicians.setting(by(1))
	assert.Equal(t, []float64{0, 0.1}, []float64{none, taken})
}

// "Adjusted" without a value means set as often as it does where both values are on
// record: a fleet in which half of them are the value found is not believed.
func TestFlagsAreWorthWhatTheyAreWorth(t *testing.T) {
	fleetOf := func(moved, still int) *Fleet {
		var units []Series
		for range moved {
			units = append(units, done(1, Yes, 0.4, 0))
		}
		for range still {
			units = append(units, done(1, Yes, 0.4, 0.4))
		}
		return plainFleet(t, units...)
	}
	v := &Visit{}
	assert.InDelta(t, 0.9, fleetOf(0, 0).technicians.flaggedShare(v), 1e-12)
	assert.InDelta(t, (30+18)/80.0, fleetOf(30, 30).technicians.flaggedShare(v), 1e-12)
	assert.InDelta(t, 0.98, fleetOf(400, 0).technicians.flaggedShare(v), 1e-12, "never surer")
}

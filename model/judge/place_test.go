package judge

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/model/day"
)

// A unit moved twice: on a known day, and some day within a year.
func TestPlacesOfAMovedUnit(t *testing.T) {
	h := &History{Unit: Unit{Area: "West", AltitudeM: 900}, Moves: []Move{
		{Day: 100, After: day.None, FromArea: "East", FromAltitudeM: 50},
		{Day: 600, After: 300, FromArea: "South", FromAltitudeM: math.NaN()},
	}}
	assert.Equal(t, []string{"East", "South", "South", "West"}, []string{h.AreaOn(99), h.AreaOn(100), h.AreaOn(599), h.AreaOn(600)})
	assert.Equal(t, 50.0, h.AltitudeOn(day.None), "the first place, from before the first move on")
	assert.True(t, math.IsNaN(h.AltitudeOn(100)))
	assert.Equal(t, 900.0, h.AltitudeOn(600))

	assert.Nil(t, h.LastMove(99))
	assert.Same(t, &h.Moves[0], h.LastMove(599), "known only from its day on")
	assert.Same(t, &h.Moves[1], h.LastMove(600))
	for day, elsewhere := range map[day.Day]bool{99: true, 300: true, 301: false, 600: false} {
		assert.Equal(t, elsewhere, h.Elsewhere(day, 600), day)
	}
	assert.True(t, h.Elsewhere(99, 599))
	assert.False(t, h.Elsewhere(100, 599))

	for _, c := range []struct {
		a, b  day.Day
		moved bool
	}{{90, 99, false}, {99, 100, true}, {100, 300, false}, {100, 301, true}, {301, 500, true}, {301, 700, true}, {600, 700, false}} {
		assert.Equal(t, c.moved, h.MovedBetween(c.a, c.b), c)
	}
	assert.False(t, (&History{}).Elsewhere(5, 10))
}

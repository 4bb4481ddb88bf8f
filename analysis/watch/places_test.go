package watch

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Of five lines the second and fifth keep their places; the others share places
// 1, 3 and 4 among themselves. Figures made up for the case.
func TestRangeOfPlaces(t *testing.T) {
	line := func(place int, tier Tier, p float64) Line { return Line{Place: place, Tier: tier, OutProbability: p} }
	lines := []Line{line(1, ProbablyOutside, 0.9), line(2, LeftOutside, 0.8), line(3, ExpectedOutside, 0.6), line(4, ExpectedOutside, 0.6), line(5, TestOverdue, 0.4), line(6, ToPlan, math.NaN()), line(7, ToPlan, 0.3)}
	lines[6].Foot = FootIsolated
	at := ByForecast(lines)
	assert.Equal(t, []int{0, 2, 3}, at)
	Range(lines, at, []RankInterval{{1, 2, 0.55}, {1, 3, 0.59}, {2, 3, math.NaN()}})
	var got [][2]int
	for i := range lines {
		got = append(got, [2]int{lines[i].PlaceFrom, lines[i].PlaceTo})
	}
	assert.Equal(t, [][2]int{{1, 3}, {0, 0}, {1, 4}, {3, 4}, {0, 0}, {0, 0}, {0, 0}}, got)
	assert.False(t, lines[0].TiedWithNext, "the next of them stands in another tier")
	assert.True(t, lines[2].TiedWithNext)
	assert.Equal(t, "By how far outside its band it truly stands, its place would lie between 1 and 4 (90 %); tied with the unit after it.", Say.Standing(&lines[2], "")[1])
	assert.NotContains(t, strings.Join(Say.Standing(&lines[1], ""), " "), "would")
	Range(lines, at, []RankInterval{{}, {1, 2, 0.61}, {1, 2, math.NaN()}})
	assert.Equal(t, []int{3, 4}, []int{lines[2].PlaceFrom, lines[2].PlaceTo})
	assert.False(t, lines[2].TiedWithNext, "sure enough")
}

package watch

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
)

// Of seven lines three are booked sooner for what a visit avoids and share their ranks 1,
// 3 and 4; the others keep theirs. Figures made up for the case.
func TestRangeOfRanks(t *testing.T) {
	line := func(rank int, group Group, key float64) Line {
		return Line{Rank: rank, Group: group, Benefit: analysis.Benefit{Key: key}}
	}
	lines := []Line{
		line(1, BookSooner, 90), line(2, BookSooner, math.NaN()), line(3, BookSooner, 60), line(4, BookSooner, 60),
		line(5, TestOverdue, 40), line(6, CanWait, math.NaN()), line(7, CanWait, 3),
	}
	lines[6].Foot = FootIsolated
	at := ByForecast(lines)
	assert.Equal(t, []int{0, 2, 3}, at)
	Range(lines, at, []RankInterval{{1, 2}, {1, 3}, {2, 3}})
	var got [][2]int
	for i := range lines {
		got = append(got, [2]int{lines[i].RankFrom, lines[i].RankTo})
	}
	assert.Equal(t, [][2]int{{1, 3}, {0, 0}, {1, 4}, {3, 4}, {0, 0}, {0, 0}, {0, 0}}, got)
	assert.Equal(t, "The evidence allows any rank from 1st to 4th.", Say.Standing(&lines[2], "")[1])
	assert.NotContains(t, strings.Join(Say.Standing(&lines[1], ""), " "), "evidence")
	Range(lines, at, []RankInterval{{}, {1, 2}, {1, 2}})
	assert.Equal(t, []int{3, 4}, []int{lines[2].RankFrom, lines[2].RankTo})
}

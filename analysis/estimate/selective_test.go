package estimate

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// recorders are technicians with a unit each, of whose 30 as-found readings so many are at
// the target and the others 0.4 points off it; a first visit is before them.
func recorders(t *testing.T, near ...int) technicians {
	t.Helper()
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8}, combustion.AirO2Field)
	require.NoError(t, err)
	nan := math.NaN()
	target := judge.Target{CO2Percent: 9, O2Percent: nan, Origin: "models.csv:2"}
	b := &builder{rules: &Config{Judge: judge.DefaultConfig(fuels)}}
	for k, n := range near {
		h := &judge.History{}
		for v := range 31 {
			co2 := 9.0
			if v > n {
				co2 = 9.4
			}
			h.Visits = append(h.Visits, judge.Visit{Day: day.Day(v), Source: "north", Technician: fmt.Sprint(k)})
			h.Readings = append(h.Readings, judge.Reading{
				Visit: v, Day: day.Day(v), Fire: judge.High, Condition: judge.AsFound, CO2Percent: co2,
				O2Percent: nan, Fuel: "natural gas", Target: target,
			})
		}
		b.histories = append(b.histories, h)
		b.judgements = append(b.judgements, judge.Judgement{Uses: make([]judge.Use, 31)})
	}
	return newTechnicians(b.histories, b.judgements, &sources{rules: b.rules})
}

// flags counts who is flagged.
func (t *technicians) flags() (flags []bool) {
	for _, x := range t.list {
		flags = append(flags, x.Flagged)
	}
	return flags
}

// One is flagged whose near as-found readings are so few that chance gives them once in a
// thousand at half the share of the upper quartile: of 30 at 0.45 that is 4 and fewer
// (binomial tails at 4, 5 and 6: 0.0002, 0.0011 and 0.0040, half of a thousandth being
// asked of each of two deviations). Few flagged are done without; where they are more than
// half, there are too few others, whatever the fleet's share of near ones.
func TestWhoIsFlagged(t *testing.T) {
	got := recorders(t, 27, 27, 27, 27, 27, 27, 6, 5, 4)
	require.Equal(t, []bool{false, false, false, false, false, false, false, false, true}, got.flags())
	require.False(t, got.overall)
	require.InDelta(t, 0.0002, got.list[8].Tail, 0.0001)
	got = recorders(t, 27, 27, 27, 27, 27, 0, 0, 0, 0)
	require.Equal(t, 4, got.flagged)
	require.False(t, got.overall)
	got = recorders(t, 27, 27, 27, 27, 0, 0, 0, 0, 0)
	require.Equal(t, 5, got.flagged)
	require.True(t, got.overall)
	require.Equal(t, []Note{RecordedSelectively{}}, got.notes())
}

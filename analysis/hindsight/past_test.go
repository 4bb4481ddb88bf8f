package hindsight

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// foundAt is an as-found reading of a high fire set to 9 %.
func foundAt(visit int, day day.Day, co2 float64, marks string) judge.Reading {
	return judge.Reading{
		Visit: visit, Day: day, Minute: -1, Fire: judge.High, Condition: judge.AsFound, CO2Percent: co2, O2Percent: math.NaN(),
		RatePercent: math.NaN(), Fuel: "natural gas", Marks: marks,
		Target: judge.Target{
			CO2Percent: 9, O2Percent: math.NaN(), SetRich: 0.2, SetLean: 0.2, ActRich: 0.4, ActLean: 0.4,
			Origin: "instructions",
		},
	}
}

// A planner without a model takes the mean of as-found readings in unknown order, and
// forgets where the burner stood before the unit moved.
func TestPastOfTiedReadingsAndMoves(t *testing.T) {
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8}, combustion.AirO2Field)
	require.NoError(t, err)
	rules := judge.DefaultConfig(fuels)
	h := &judge.History{
		Unit:   judge.Unit{Serial: "B-1", Installed: 15000, Fuel: "natural gas"},
		Visits: []judge.Visit{{ID: "1", Day: 18000}, {ID: "2", Day: 18400}},
		Readings: []judge.Reading{
			foundAt(0, 18000, 9.1, ""),
			foundAt(1, 18400, 9.2, judge.OrderUnknown), foundAt(1, 18400, 9.8, judge.OrderUnknown),
		},
	}
	p := pastOf(h, judge.High, 18500, &rules)
	require.InDelta(t, 0.5, p.last, 1e-9)
	require.Equal(t, 2.0, p.founds, "two of one visit count once")
	require.InDelta(t, 0.4*daysPerYear/400, p.slope, 1e-9)

	h.Moves = []judge.Move{{Day: 18200, After: day.None, FromAltitudeM: math.NaN()}}
	p = pastOf(h, judge.High, 18500, &rules)
	require.InDelta(t, 0.5, p.last, 1e-9)
	require.Zero(t, p.slope, "nothing was compared across the move")

	h.Moves[0].Day = 18450
	p = pastOf(h, judge.High, 18500, &rules)
	require.Equal(t, day.None, p.lastDay)
	require.Zero(t, p.last)
}

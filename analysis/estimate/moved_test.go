package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// What was read before a unit moved says nothing of its level after it: the earlier
// readings shifted by any amount leave its state where it is. Without a reading at
// the new place it has no chance, nor with one that may be of either because the day
// of the move is open.
func TestMovedUnitStartsANewSetting(t *testing.T) {
	w := invented(5, 80, plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 }))
	r := rulesFor(t, w.histories)
	r.LeaveOut(estimate.EstimatedRatios)
	const k = 7
	base := w.histories[k]
	newest := base.Readings[len(base.Readings)-1]
	last := newest.Day
	require.Less(t, last, day.Day(asOf-90))
	// found again later, not adjusted, so that the setting of before would go on
	later := func(h judge.History) judge.History {
		v := h.Visits[newest.Visit]
		v.ID, v.Day, v.Reason, v.Parts, v.AdjustedHigh, v.AdjustedLow = "later", asOf-30, "annual", "", "no", "no"
		h.Visits = append(append([]judge.Visit(nil), h.Visits...), v)
		h.Readings = append([]judge.Reading(nil), h.Readings...)
		for i, x := range base.Readings {
			if x.Visit == newest.Visit && x.Condition == judge.AsLeft {
				x.Visit, x.Day, x.Condition, x.Recorded = len(h.Visits)-1, v.Day, judge.AsFound, judge.AsFound
				x.CO2Percent += 0.1 * float64(1+i%2)
				x.FlueTempC += 3
				h.Readings = append(h.Readings, x)
			}
		}
		require.Greater(t, len(h.Readings), len(base.Readings))
		return h
	}
	state := func(h judge.History) *analysis.Forecast {
		histories := append([]*judge.History(nil), w.histories...)
		histories[k] = &h
		fleet, err := estimate.Run(t.Context(), histories, r)
		require.NoError(t, err)
		return fleet.Forecasts[k]
	}
	shifted := func(h judge.History, points float64) judge.History {
		h.Readings = append([]judge.Reading(nil), h.Readings...)
		for i := range h.Readings {
			if h.Readings[i].Day <= last {
				h.Readings[i].CO2Percent += points
			}
		}
		return h
	}
	moved := func(h judge.History, m judge.Move) judge.History {
		h.Moves = []judge.Move{m}
		return h
	}
	known := judge.Move{Day: last + 10, After: day.None, FromAltitudeM: math.NaN()}

	stayed, went := state(later(*base)).Fires[0], state(moved(later(*base), known)).Fires[0]
	lower := state(shifted(moved(later(*base), known), -0.1)).Fires[0]
	require.InDelta(t, went.CO2Percent, lower.CO2Percent, 0.002, "the level of before does not count")
	require.NotEqual(t, stayed.CO2Percent, went.CO2Percent)
	was := state(shifted(later(*base), -0.1)).Fires[0]
	require.Less(t, was.CO2Percent, stayed.CO2Percent-0.01, "without a move it does")

	require.NotEmpty(t, state(*base).Fires)
	require.Empty(t, state(moved(*base, known)).Fires, "not read there: no evidence, no chance")

	open := judge.Move{Day: asOf - 20, After: last - 20, FromAltitudeM: math.NaN()}
	require.Empty(t, state(moved(*base, open)).Fires)
}

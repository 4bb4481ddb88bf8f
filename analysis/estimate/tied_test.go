package estimate_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/judge"
)

// Two as-found readings of which nobody knows the first stand for their mean with
// twice the variance of one: the state is that of the mean alone but wider, in
// whichever order they are written, and neither of the two alone.
func TestTwoAsFoundAreTheirMean(t *testing.T) {
	w := invented(5, 80, plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 }))
	r := rulesFor(t, w.histories)
	r.LeaveOut(estimate.EstimatedRatios)
	const k = 7
	base := w.histories[k]
	newest := base.Readings[len(base.Readings)-1]
	at := slices.IndexFunc(base.Readings, func(x judge.Reading) bool {
		return x.Visit == newest.Visit && x.Condition == judge.AsLeft && x.Fire != judge.Low
	})
	require.GreaterOrEqual(t, at, 0)
	state := func(marks string, points ...float64) analysis.FireForecast {
		h := *base
		v := h.Visits[newest.Visit]
		v.ID, v.Day, v.Reason, v.Parts, v.AdjustedHigh, v.AdjustedLow = "later", asOf-30, "annual", "", "no", "no"
		h.Visits = append(slices.Clone(h.Visits), v)
		h.Readings = slices.Clone(h.Readings)
		for i, p := range points {
			x := base.Readings[at]
			x.Visit, x.Day, x.Condition, x.Recorded, x.Marks = len(h.Visits)-1, v.Day, judge.AsFound, judge.AsFound, marks
			x.CO2Percent += p
			x.FlueTempC += 3 + float64(i)
			h.Readings = append(h.Readings, x)
		}
		histories := slices.Clone(w.histories)
		histories[k] = &h
		fleet, err := estimate.Run(t.Context(), histories, r)
		require.NoError(t, err)
		require.NotEmpty(t, fleet.Forecasts[k].Fires)
		return fleet.Forecasts[k].Fires[0]
	}
	mean, low := state("", 0), state("", -0.12)
	one, other := state(judge.OrderUnknown, -0.12, 0.12), state(judge.OrderUnknown, 0.12, -0.12)
	require.InDelta(t, one.CO2Percent, other.CO2Percent, 1e-9)
	require.InDelta(t, mean.CO2Percent, one.CO2Percent, 0.02)
	require.Less(t, low.CO2Percent, one.CO2Percent-0.03)
	require.Greater(t, one.HighPercent-one.LowPercent, mean.HighPercent-mean.LowPercent+0.01)
}

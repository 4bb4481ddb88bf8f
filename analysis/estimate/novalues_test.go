package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/judge"
)

// A visit without gas values is a visit: somebody was there and may have set the
// burner. A unit that stands far out is then out with the share that nobody did:
// none where the record says that it was adjusted, but for a tenth, most of it
// where the record says nothing, and all of it where it says that nobody did.
func TestVisitWithoutValuesLeavesTheSettingOpen(t *testing.T) {
	w := invented(5, 80, plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 }))
	r := rulesFor(t, w.histories)
	r.LeaveOut(estimate.EstimatedRatios)
	run := func(k int, visits ...judge.Visit) (out float64, marks []analysis.Mark) {
		histories := append([]*judge.History(nil), w.histories...)
		h := *w.histories[k]
		h.Visits = append(append([]judge.Visit(nil), h.Visits...), visits...)
		histories[k] = &h
		fleet, err := estimate.Run(t.Context(), histories, r)
		require.NoError(t, err)
		f := fleet.Forecasts[k]
		require.NotNil(t, f)
		return f.Fires[0].Today.Out(), f.Fires[0].Marks
	}
	// a unit left far out by its last reading, and nobody there since
	far := -1
	for k, h := range w.histories {
		n := len(h.Readings)
		if last := &h.Readings[n-1]; h.Unit.State == "" || n == 0 || last.Fire == judge.Point || h.Visits[last.Visit].Day > asOf-60 {
			continue
		}
		for i := range h.Readings {
			if x := &h.Readings[i]; x.Visit == h.Readings[n-1].Visit && x.Condition == judge.AsLeft {
				far = k
			}
		}
		if far >= 0 {
			break
		}
	}
	require.GreaterOrEqual(t, far, 0)
	h := w.histories[far]
	for i := range h.Readings {
		if x := &h.Readings[i]; x.Visit == h.Readings[len(h.Readings)-1].Visit && x.Condition == judge.AsLeft {
			x.CO2Percent = x.Target.CO2Percent + 0.6
		}
	}
	visit := h.Visits[len(h.Visits)-1]
	visit.ID, visit.Day, visit.Reason, visit.Parts, visit.AdjustedHigh, visit.AdjustedLow = "later", asOf-30, "annual", "", "", ""
	said := func(word string) judge.Visit {
		v := visit
		v.AdjustedHigh, v.AdjustedLow = word, word
		return v
	}
	kept, _ := run(far)
	open, marks := run(far, said(""))
	yes, yesMarks := run(far, said("yes"))
	no, _ := run(far, said("no"))
	t.Logf("far out %.2f, visited without values %.2f, adjusted %.2f, not adjusted %.2f", kept, open, yes, no)
	require.InDelta(t, kept, no, 0.01, "not adjusted: as if nobody had come")
	require.Less(t, open, kept-0.2)
	require.Less(t, yes, open)
	require.Contains(t, marks, analysis.Mark{Kind: analysis.MarkMaybeSet})
	require.Contains(t, yesMarks, analysis.Mark{Kind: analysis.MarkSetNotRecorded})
	require.False(t, math.IsNaN(yes))
}

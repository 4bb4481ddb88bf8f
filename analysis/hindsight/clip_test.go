package hindsight

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// A first register may tell of states, vents and fuels of later days: none of it
// was so on the day looked back from, and the history itself is left as it was.
func TestClipCutsLaterDays(t *testing.T) {
	target := judge.Target{CO2Percent: 10, Origin: "lines:2"}
	h := &judge.History{
		Unit:     judge.Unit{State: "removed", StateFrom: 200, Fuel: "propane"},
		VentRuns: []judge.VentRun{{From: day.None, Until: 150, LengthM: 5}, {From: 150, Until: day.None, LengthM: 20}},
		Fuels:    []judge.FuelPeriod{{From: day.None, Until: 160, Fuel: "natural gas"}, {From: 160, Until: day.None, Fuel: "propane"}},
		Targets:  []judge.FireTarget{{Fire: judge.High, Target: judge.Target{CO2Percent: 11, Origin: "lines:3"}}},
	}
	of := func(_ string, _ judge.Fire, fuel string, _ day.Day) judge.Target {
		if fuel == "natural gas" {
			return target
		}
		return judge.Target{}
	}
	c := clip(h, 100, of)
	require.Equal(t, judge.InService, c.Unit.State)
	require.Len(t, c.VentRuns, 1)
	require.Equal(t, 5.0, c.VentRuns[0].LengthM)
	require.Equal(t, "natural gas", c.Unit.Fuel)
	require.Equal(t, []judge.FireTarget{{Fire: judge.High, Target: target}}, c.Targets)
	require.Equal(t, judge.Removed, h.Unit.State)
	require.Len(t, h.VentRuns, 2)
	require.Equal(t, day.Day(150), h.VentRuns[0].Until)
	later := clip(h, 300, of)
	require.Equal(t, h.Unit, later.Unit)
	require.Equal(t, h.VentRuns, later.VentRuns)
}

// A map is put on both sides alike and leaves a mark; nothing is made of a fire
// without a probability.
func TestApplyMarks(t *testing.T) {
	r := Recalibration{Map: Isotonic{From: []float64{0.2, 0.8}, To: []float64{0.2, 0.8}, Share: []float64{0.1, 0.4}, Weight: []float64{1, 1}}}
	f := &analysis.Forecast{Fires: []analysis.FireForecast{{Today: analysis.Probability{Rich: 0.6, Lean: 0.2}}, {}}}
	r.Apply(f, 20000)
	require.InDelta(t, 0.4, f.Fires[0].Today.Out(), 1e-12)
	require.InDelta(t, 0.3, f.Fires[0].Today.Rich, 1e-12)
	require.Equal(t, []analysis.Mark{{Kind: analysis.MarkByHindsight, Day: 20000}}, f.Fires[0].Marks)
	require.Empty(t, f.Fires[1].Marks)
	require.InDelta(t, 0.25, r.Map.at(0.5), 1e-12)
}

package study

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// A spread is told apart from a rise of 4 on (drift.SeparableRise); the noise is
// not asked for.
func TestSpreadsAreTold(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		v    drift.Variance
		want Told
	}{
		{drift.Variance{SD: 0, AtZero: true, Rise: nan}, NotDetected},
		{drift.Variance{SD: 0.01, Rise: 3.99}, Inseparable},
		{drift.Variance{SD: 0.1, Rise: 4}, ToldApart},
		{drift.Variance{SD: 0.1, Rise: nan}, NotAsked},
	} {
		require.Equal(t, c.want, (&Spread{Variance: c.v}).Told())
	}
}

// What the model tells beside the study of an invented fleet: spreads within three
// standard errors of those planted, and the vent's shift by control, with the constant
// of the way from the bench never among the vent's effects.
func TestModelOfAFleet(t *testing.T) {
	w := demo.Plain()
	w.FactoryTests = true
	values := worlds.Demo(demo.Options{Units: 250, Years: 12, Seed: 9, AsOf: asOf, World: w}).Histories()
	var all []*judge.History
	for i := range values {
		all = append(all, &values[i])
	}
	open := []queries.Unconfirmed{{UnitKey: all[7].Unit.Key, Fire: judge.High, T: 6}, {UnitKey: -1, T: 7}} // the second of a unit that is gone
	m, err := ModelOf(t.Context(), judged(t, all, studyRules(t)), estimate.Stored{Unconfirmed: open, Steps: []queries.LevelStep{{Area: "*"}}})
	require.NoError(t, err)
	require.Equal(t, []Unconfirmed{{all[7].Unit, open[0]}}, m.Unconfirmed)
	require.Len(t, m.Steps, 1)
	planted := map[drift.Part]float64{drift.Noise: w.NoiseSD, drift.Wandering: w.WanderSD, drift.UnitSlope: w.SlopeSD}
	seen := 0
	for _, s := range m.Spreads {
		if want, ok := planted[s.Part]; ok && s.SE > 0 {
			seen++
			require.InDelta(t, want, s.SD, 3*s.SE, "%s, part %d", s.Fire, s.Part)
		}
	}
	require.GreaterOrEqual(t, seen, 4)
	kinds, constants, drifts := map[string]int{}, 0, 0
	for _, e := range m.Effects {
		kinds[e.Fit]++
		require.NotEmpty(t, e.Ended)
		if strings.HasPrefix(e.Name, "bench, transport, gas and altitude") || e.Name == "re-routing, whatever the vent" {
			require.False(t, e.Vent, e.Name)
			constants++
		}
		if e.Fit == string(Drift) {
			require.NotEmpty(t, e.Coding)
			require.NotEmpty(t, e.Source)
		}
		if e.Name == "vent, fixed air" && e.Fit == string(Drift) {
			drifts++
			// VentRatePerYear of fixed air in datasets/demo
			require.InDelta(t, map[judge.Fire]float64{judge.High: 0.200, judge.Low: 0.170}[e.Fire], e.Value, 3*e.SE)
		}
		if e.Name == "vent, fixed air" && e.Fit == string(Installation) && e.Fire == judge.High {
			require.True(t, e.Vent)
			require.InDelta(t, 0.50, e.Value, 3*e.SE) // VentLevel of fixed air at high fire in datasets/demo
		}
	}
	require.Positive(t, kinds[OffsetDrift])
	require.Equal(t, 2, drifts, "vent effects on the drift of a fixed fan, at two fires")
	require.Positive(t, kinds[string(Installation)])
	require.GreaterOrEqual(t, constants, 4) // two classes of control at two fires
}

package drift

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Combined against the parts a fit reports one by one: an effect alone, two with
// their correlation, a bias, and a column that is not in the fit.
func TestCombined(t *testing.T) {
	f, err := NewFleet(invented(150, 8, 3))
	require.NoError(t, err)
	fit, err := f.Evaluate(context.Background(), FixedRatios, EvaluateOptions{Workers: 2})
	require.NoError(t, err)
	var used []Coefficient
	for _, c := range fit.Coefficients {
		if c.Dropped == nil {
			used = append(used, c)
		}
	}
	require.GreaterOrEqual(t, len(used), 2)
	a, b := used[0], used[1]
	v, sd, ok := fit.Combined(map[string]float64{a.Name: -2}, -1)
	require.True(t, ok)
	require.InDelta(t, -2*a.Value, v, 1e-12)
	require.InDelta(t, 2*a.SE, sd, 1e-12)
	v, sd, ok = fit.Combined(map[string]float64{a.Name: 3, b.Name: 0.5}, -1)
	require.True(t, ok)
	require.InDelta(t, 3*a.Value+0.5*b.Value, v, 1e-12)
	want := 9*a.SE*a.SE + 0.25*b.SE*b.SE + 3*fit.correlation(a.Name, b.Name)*a.SE*b.SE
	require.InDelta(t, math.Sqrt(want), sd, 1e-12)
	v, sd, ok = fit.Combined(nil, 2)
	require.True(t, ok)
	require.InDelta(t, -fit.Analyzers[2].Value, v, 1e-12)
	require.InDelta(t, fit.Analyzers[2].SD, sd, 1e-12)
	_, _, ok = fit.Combined(map[string]float64{a.Name: 1, "no such column": 1}, -1)
	require.False(t, ok)
}

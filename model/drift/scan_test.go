package drift

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stepped is an invented fleet in which the levels of one group move by size at
// t = 4.3; the second level column is that step where known.
func stepped(t *testing.T, size float64, known bool) (*Fleet, []int) {
	in := invented(300, 8, 3)
	in.Design.Level = append(append([]Column{}, in.Design.Level...), Column{Name: "step", Unit: "points"})
	group := make([]int, len(in.Series))
	for u := range in.Series {
		group[u] = u % 3
		for v := range in.Series[u].Visits {
			vis := &in.Series[u].Visits[v]
			after := 0.0
			if vis.T >= 4.3 && group[u] == 1 {
				after = 1
			}
			for r := range vis.Readings {
				vis.Readings[r].Y += size * after
				vis.Readings[r].Level = append(append([]float64{}, vis.Readings[r].Level...), after)
			}
			vis.Level = append(append([]float64{}, vis.Level...), after)
		}
	}
	f, err := NewFleet(in)
	require.NoError(t, err)
	if !known {
		f = f.Without("step")
	}
	return f, group
}

// The test of a step is the fit with its column added: one elimination by two
// ways, to 1e-9 relative.
func TestStepIsTheCoefficientItWouldHave(t *testing.T) {
	th := Theta{1, 1.1, 0.8, 0.6}
	f, group := stepped(t, 0.2, false)
	fit := evaluate(t, f, th)
	tests, err := fit.ScanSteps(ctx, []float64{2, 4.3, 6}, group, 3, 2)
	require.NoError(t, err)
	g, _ := stepped(t, 0.2, true)
	with := evaluate(t, g, th)
	want, ok := with.Coefficient("step")
	require.True(t, ok)
	seen := false
	for _, s := range tests {
		if s.Group == 1 && s.T == 4.3 {
			seen = true
			assert.InEpsilon(t, want.Value, s.Size, 1e-9)
			assert.InEpsilon(t, want.SE, s.SE, 1e-9)
			assert.Greater(t, math.Abs(s.Z), 5.0)
			assert.Less(t, s.Kept, 1.0)
			assert.InDelta(t, 0.2, s.Size, 4*s.SE)
		}
		if s.Group == 0 || s.Group == 2 {
			assert.Less(t, math.Abs(s.Z), 5.0, "group %d", s.Group)
		}
	}
	require.True(t, seen)
}

// Without a step nothing reaches five standard errors, in any group at any of 15
// half-years.
func TestNoStepIsSuspectedWithoutOne(t *testing.T) {
	f, group := stepped(t, 0, false)
	fit := evaluate(t, f, Theta{1, 1.1, 0.8, 0.6})
	var times []float64
	for k := range 15 {
		times = append(times, float64(k)/2)
	}
	tests, err := fit.ScanSteps(ctx, times, group, 3, 1)
	require.NoError(t, err)
	for _, s := range tests {
		assert.Less(t, math.Abs(s.Z), 5.0)
	}
	canceled, cancel := context.WithCancel(ctx)
	cancel()
	_, err = fit.ScanSteps(canceled, times, group, 3, 2)
	require.ErrorIs(t, err, context.Canceled)
	_, err = fit.ScanSteps(ctx, times, group[1:], 3, 2)
	require.ErrorContains(t, err, "299 groups for 300 units")
}

// An analyzer with three times the noise shows a ratio far from 1, the others
// stay about 1; all readings with a neighbour are counted once.
func TestNoiseRatioFindsTheNoisyAnalyzer(t *testing.T) {
	in := invented(300, 6, 8)
	g := rand.New(rand.NewPCG(1, 2))
	for u := range in.Series {
		for v := range in.Series[u].Visits {
			for r := range in.Series[u].Visits[v].Readings {
				if x := &in.Series[u].Visits[v].Readings[r]; x.Analyzer == 2 {
					x.Y += trueNoise * math.Sqrt(8) * g.NormFloat64()
				}
			}
		}
	}
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
	require.NoError(t, err)
	ratios, err := fit.NoiseRatios(ctx, 2)
	require.NoError(t, err)
	total := 0
	for a, r := range ratios {
		total += r.Readings
		if a == 2 {
			assert.Greater(t, r.Ratio, 1.5)
			continue
		}
		assert.Less(t, r.Ratio, 1.2)
	}
	lone := 0
	for u := range in.Series {
		segments := map[int32]int{}
		for r := fit.fleet.start[u]; r < fit.fleet.start[u+1]; r++ {
			if !fit.fleet.gone[r] {
				segments[fit.fleet.seg[r]]++
			}
		}
		for _, n := range segments {
			if n == 1 {
				lone++
			}
		}
	}
	cuts := 0
	for _, x := range fit.Unconfirmed {
		if x.Action == Cut {
			cuts++
		}
	}
	assert.InDelta(t, fit.Counts.Readings-lone, total, float64(2*cuts))
}

// Joint draws have the mean and the variance of the forecast, and units that
// share an analyzer err together: 4000 draws, bounds of four standard errors.
func TestDrawsHaveTheForecastsSpread(t *testing.T) {
	f, err := NewFleet(invented(200, 6, 4))
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	const n = 4000
	g := rand.New(rand.NewPCG(5, 6))
	d := fit.Draws(n, g.NormFloat64)
	p := fit.Predictor()
	day := Point{T: 9, Level: []float64{0}, LevelVar: []float64{16}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1}
	out := make([]float64, n)
	shared := Shared{make([]float64, n), make([]float64, n)}
	for k := range n {
		shared.Level[k], shared.Imputed[k] = g.NormFloat64(), g.NormFloat64()
	}
	for u := range 20 {
		o := p.Predictive(u)
		want := o.At(day)
		d.Draw(o, &day, shared, g.NormFloat64, out)
		mean, sq, outside := 0.0, 0.0, 0.0
		for _, y := range out {
			mean += y / n
			if y > day.Hi || y < day.Lo {
				outside += 1.0 / n
			}
		}
		for _, y := range out {
			sq += (y - mean) * (y - mean) / (n - 1)
		}
		assert.InDelta(t, want.State.Mean, mean, 4*want.State.SD/math.Sqrt(n))
		assert.InEpsilon(t, want.State.SD, math.Sqrt(sq), 4/math.Sqrt(2*n))
		assert.InDelta(t, want.POut, outside, 4*math.Sqrt(0.25/n))
	}
}

// A search on a sample of the units ends near the one on all, and says so; a
// sample as large as the fleet is the fleet.
func TestSearchOnASample(t *testing.T) {
	f, err := NewFleet(invented(300, 6, 77))
	require.NoError(t, err)
	all, err := Search{}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	part, err := Search{Sample: 200, Seed: 1}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	assert.Equal(t, 200, part.Sampled)
	assert.InEpsilon(t, all.Sigma, part.Sigma, 0.15)
	assert.InEpsilon(t, all.Theta.Tau, part.Theta.Tau, 0.25)
	same, err := Search{Sample: 300, Seed: 1}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	assert.Equal(t, all, same)
}

// A warm search ends where a cold one does, with fewer evaluations, also from a
// part that was not detected before.
func TestWarmSearch(t *testing.T) {
	f, err := NewFleet(invented(200, 6, 21))
	require.NoError(t, err)
	cold, err := Search{}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	warm, err := Search{Warm: true}.Ratios(ctx, f, cold.Theta, EvaluateOptions{})
	require.NoError(t, err)
	assert.InDelta(t, cold.Crit, warm.Crit, 1e-3)
	assert.Less(t, warm.Evaluations, cold.Evaluations)
	without := cold.Theta
	without.B2 = 0
	warm, err = Search{Warm: true}.Ratios(ctx, f, without, EvaluateOptions{})
	require.NoError(t, err)
	assert.InDelta(t, cold.Crit, warm.Crit, 2e-3)
}

// A search that begins on few units ends at the optimum of the whole fleet, with
// fewer evaluations of the whole.
func TestSearchBeginsOnFewUnits(t *testing.T) {
	f, err := NewFleet(invented(600, 6, 77))
	require.NoError(t, err)
	cold, err := Search{}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	two, err := Search{Coarse: 150}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	assert.Positive(t, two.Coarse)
	assert.InDelta(t, cold.Crit, two.Crit, 1e-3)
	assert.Less(t, two.Evaluations, cold.Evaluations)
	small, err := Search{Coarse: 151}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	assert.Equal(t, cold, small)
}

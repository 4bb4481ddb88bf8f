package drift

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An analyzer of one comparison is drawn to nothing, and its standard deviation
// says that hardly anything is known of it; one of many is known.
func TestAnalyzerOfOneReading(t *testing.T) {
	in := invented(120, 6, 11)
	analyzers(&in, 7, func(_, a int) int { return a })
	moved := false
	for v := range in.Series[0].Visits {
		vis := &in.Series[0].Visits[v]
		if !moved && v > 0 && vis.Adjusted == No && in.Series[0].Visits[v-1].Adjusted == No {
			vis.Readings[0].Analyzer, moved = 6, true
		}
	}
	require.True(t, moved)
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
	require.NoError(t, err)
	prior, _ := fit.BiasSD()
	one := fit.Analyzers[6]
	assert.LessOrEqual(t, one.Cross, 2)
	assert.Greater(t, one.SD, 0.6*prior)
	assert.LessOrEqual(t, one.SD, 1.05*prior)
	assert.Less(t, math.Abs(one.Value), prior)
	for _, b := range fit.Analyzers[:6] {
		assert.Greater(t, b.Cross, 20)
		assert.Less(t, b.SD, one.SD)
	}
}

// Of fewer than five analyzers the sd is not estimated: the fixed ratio stands in,
// and the record says so.
func TestSpreadOfFewAnalyzersIsTaken(t *testing.T) {
	in := invented(120, 8, 5)
	analyzers(&in, 3, func(_, a int) int { return a % 3 })
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
	require.NoError(t, err)
	assert.Equal(t, FixedRatios.B1, fit.Theta.B1)
	note := fit.Notes[0]
	assert.IsType(t, FewAnalyzers{}, note)
	assert.Equal(t, 3, note.(FewAnalyzers).Analyzers)
}

// Identity: a covariate in units a million times as small has a coefficient a
// million times as large, and nothing else changes; the criterion holds log|X'V^-1 X|
// and moves by twice the logarithm.
func TestWildUnits(t *testing.T) {
	plain, wild := invented(80, 6, 12), invented(80, 6, 12)
	const large = 1e6
	for u := range wild.Series {
		wild.Series[u].Runs[0].Rate[1] *= large
		wild.Series[u].Runs[0].Rate[3] /= large
		wild.Series[u].Runs[0].Grow[3] /= large
	}
	every(&wild, func(_ *Series, v *Visit) {
		for k := range v.Readings {
			v.Readings[k].Level = []float64{v.Readings[k].Level[0] * large}
		}
		v.Level = []float64{v.Level[0] * large}
	})
	fit := func(in Input) *Fit {
		f, err := NewFleet(in)
		require.NoError(t, err)
		return evaluate(t, f, FixedRatios)
	}
	a, b := fit(plain), fit(wild)
	assert.InDelta(t, a.Crit+2*math.Log(large), b.Crit, 1e-6) // two columns larger, one smaller
	assert.InEpsilon(t, a.Sigma, b.Sigma, 1e-9)
	for name, scale := range map[string]float64{"time": 1, "vent": large, "age": 1 / large, "temp": large} {
		x, _ := a.Coefficient(name)
		y, _ := b.Coefficient(name)
		assert.InEpsilon(t, x.Value, y.Value*scale, 1e-7, name)
		assert.InEpsilon(t, x.SE, y.SE*scale, 1e-7, name)
	}
	day := func(temp float64) Point { return Point{T: 9, Level: []float64{temp}, Analyzer: -1, Period: -1} }
	for u := range 5 {
		x, y := a.Predictor().Predictive(u).At(day(5)), b.Predictor().Predictive(u).At(day(5*large))
		assert.InDelta(t, x.State.Mean, y.State.Mean, 1e-9)
		assert.InDelta(t, x.State.SD, y.State.SD, 1e-9)
	}
}

// Fleets of 15 units: ratios estimated without priors hold too little of the
// truth in their 90 % intervals and err more; fixed ratios with wide priors take
// away more than half of what is short, over the same 60 fleets.
func TestSmallFleetsKeepToTheirPriors(t *testing.T) {
	var held, square [2]float64
	n := 0.0
	for seed := range uint64(60) {
		in, truth := inventedTruth(15, 4, 900+seed)
		for u := range in.Series { // as a caller centres it: see Prior
			in.Series[u].Runs[0].Rate[3] -= 9
		}
		f, err := NewFleet(in)
		require.NoError(t, err)
		with, err := f.Fit(ctx, Options{})
		require.NoError(t, err)
		require.Equal(t, WithPriors, with.How)
		f = f.excluding(KeptOut{}, Settling)
		end := searchFree(t, f, Search{Size: 1e-4, Spread: 1e-5, MaxEvaluations: 600}, []int{0, 1, 2, 3})
		without, err := f.Evaluate(ctx, end.Theta, EvaluateOptions{})
		require.NoError(t, err)
		n += float64(len(truth))
		for k, fit := range []*Fit{without, with} {
			p := fit.Predictor()
			for u, want := range truth {
				last := in.Series[u].Visits[len(in.Series[u].Visits)-1].T
				got := p.Predictive(u).At(Point{T: last + 1, Level: []float64{0}, Analyzer: -1, Period: -1}).State
				square[k] += (got.Mean - want) * (got.Mean - want)
				if got.Low <= want && want <= got.High {
					held[k]++
				}
			}
		}
	}
	t.Logf("held %.3f without and %.3f with priors, root mean square error %.3f and %.3f", held[0]/n, held[1]/n, math.Sqrt(square[0]/n),
		math.Sqrt(square[1]/n))
	assert.Greater(t, 0.9-held[0]/n, 0.02)
	assert.Less(t, 0.9-held[1]/n, (0.9-held[0]/n)/2)
	assert.Less(t, square[1], square[0])
}

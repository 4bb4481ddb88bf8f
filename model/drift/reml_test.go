package drift

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The optimum of the other packages (see TestCriterionOfOtherPackages for the
// calls and versions) from a cold start: criterion 1e-6, sds and coefficients
// 1e-4 relative with a fine stop, criterion 1e-4 with the product's.
func TestSearchFindsTheOptimaOfOtherPackages(t *testing.T) {
	for _, c := range []struct {
		name        string
		design      Design
		rows        []row
		free        []int // coordinates the package estimates
		crit, sigma float64
		sds         [4]float64
		beta, se    []float64
	}{
		{
			"S1", oneRate, sleepstudy(t),
			[]int{1},
			1578.3844779, 25.5918156,
			[4]float64{0, 5.9221332},
			[]float64{10.46728596},
			[]float64{1.54578891},
		},
		{
			"S2", twoRates, orthodont(t),
			[]int{1},
			323.487720945, 1.31003958,
			[4]float64{0, 0.180345425},
			[]float64{0.784375, -0.304829545},
			[]float64{0.0859995124, 0.134735342},
		},
		{
			"S3",
			Design{},
			crossed(t, "penicillin.csv", "diameter", "plate", "sample", false),
			[]int{2},
			268.503219887, 0.549923138,
			[4]float64{0, 0, 1.93155854},
			nil, nil,
		},
		{
			"S3b", oneLevel, crossed(t, "penicillin.csv", "diameter", "plate", "sample", true),
			[]int{2},
			269.702743486, 0.550485430,
			[4]float64{0, 0, 1.93201297},
			[]float64{-0.130633656},
			[]float64{0.149570964},
		},
		{
			"S4", oneLevel, crossed(t, "pastes.csv", "strength", "batch", "sample", true),
			[]int{2},
			205.191740860, 0.834044805,
			[4]float64{0, 0, 2.90221845},
			[]float64{-0.199396031},
			[]float64{0.403529341},
		},
		{
			"S4b", oneLevel, crossed(t, "pastes.csv", "strength", "batch", "cask", true),
			[]int{2},
			257.732720682, 2.72747727,
			[4]float64{0, 0, 0.393989550},
			[]float64{-0.346034901},
			[]float64{1.14803700},
		},
		{"S5", oneRate, sleepstudy(t), []int{0}, 1559.1460021, 16.474854, [4]float64{20.907949}, []float64{10.44509604}, []float64{1.72796181}},
		{
			"S6, slope at zero", oneRate, sleepstudy(t),
			[]int{0, 1},
			1559.1460021, 16.474854,
			[4]float64{20.907949},
			[]float64{10.44509604},
			[]float64{1.7279620},
		},
		{
			"F1", fixtureDesign, fixture(t),
			[]int{1, 2},
			-137.438920409, 0.087757862,
			[4]float64{0, 0.0750056149, 0.0933796864},
			[]float64{-0.0092859641, -0.0803756656, -0.0167202589, -0.0064416528},
			[]float64{0.00074259479, 0.0340421091, 0.0588521251, 0.00203443332},
		},
		{
			"F2", fixtureDesign, fixture(t),
			[]int{0, 1, 2},
			-142.631762642, 0.05998391,
			[4]float64{0.07450333, 0.07109144, 0.09232702},
			[]float64{-0.00948408996, -0.076026872, -0.018860666, -0.006762857},
			[]float64{0.000716211, 0.03439906, 0.05841853, 0.002332625},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := fleetOf(t, c.design, c.rows)
			s := Search{Size: 1e-8, Spread: 1e-9, MaxEvaluations: 600}
			end := searchFree(t, f, s, c.free)
			assert.True(t, end.Converged)
			assert.InDelta(t, c.crit, end.Crit, 1e-6)
			assert.InEpsilon(t, c.sigma, end.Sigma, 1e-4)
			for k, sd := range c.sds {
				assert.InDelta(t, sd, end.Theta.array()[k]*end.Sigma, 1e-4*sd)
			}
			fit := evaluate(t, f, end.Theta)
			for k := range c.beta {
				assert.InEpsilon(t, c.beta[k], fit.Coefficients[k].Value, 1e-4)
				assert.InEpsilon(t, c.se[k], fit.Coefficients[k].SE, 1e-4)
			}
			rough := searchFree(t, f, Search{Size: 1e-4, Spread: 1e-5, MaxEvaluations: 600}, c.free)
			assert.InDelta(t, c.crit, rough.Crit, 1e-4)
		})
	}
}

// searchFree searches some coordinates from (1, 1, 1), the rest at zero.
func searchFree(t *testing.T, f *Fleet, s Search, free []int) Ending {
	t.Helper()
	run := &search{Search: s, ctx: ctx, f: f, free: free}
	for _, k := range free {
		run.at[k] = 1
	}
	end, err := run.find()
	require.NoError(t, err)
	return end
}

// The variances of the invented fleets come back: means of four fleets within
// 15 % (sd of one estimate: 5 to 20 %).
func TestVariancesRecovered(t *testing.T) {
	var q, tau, b, sigma float64
	const fleets = 4
	for seed := range uint64(fleets) {
		f, err := NewFleet(invented(400, 10, 40+seed))
		require.NoError(t, err)
		fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
		require.NoError(t, err)
		require.Equal(t, Estimated, fit.How, "%+v", fit.Ended())
		b1, b2 := fit.BiasSD()
		sigma += fit.Sigma / fleets
		q += fit.sqrtQ() / fleets
		tau += fit.tauSD() / fleets
		b += math.Hypot(b1, b2) / fleets
	}
	assert.InEpsilon(t, trueNoise, sigma, 0.15)
	assert.InEpsilon(t, trueWander, q, 0.15)
	assert.InEpsilon(t, trueSlope, tau, 0.15)
	assert.InEpsilon(t, math.Hypot(trueBias, truePeriodBias), b, 0.15)
}

func TestSearchSaysWhyItFellBack(t *testing.T) {
	f, err := NewFleet(invented(20, 5, 1))
	require.NoError(t, err)
	end, err := Search{}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	assert.IsType(t, TooFewToSearch{}, end.Fallback)
	assert.Equal(t, FixedRatios, end.Theta)

	// Exact pairs at every visit: the noise is nothing.
	in := invented(100, 5, 1)
	for u := range in.Series {
		var doubled []Visit
		for _, v := range in.Series[u].Visits {
			v.Readings, v.Adjusted = v.Readings[:1], No
			doubled = append(doubled, v, v)
		}
		in.Series[u].Visits = doubled
	}
	f, err = NewFleet(in)
	require.NoError(t, err)
	end, err = Search{}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	assert.Equal(t, NoiseVanishes{}, end.Fallback)
}

func TestSearchHonoursTheContext(t *testing.T) {
	f, err := NewFleet(invented(100, 5, 1))
	require.NoError(t, err)
	stopped, cancel := context.WithCancel(ctx)
	cancel()
	_, err = Search{}.Ratios(stopped, f, FixedRatios, EvaluateOptions{})
	require.ErrorIs(t, err, context.Canceled)
	_, err = f.Fit(stopped, Options{})
	require.ErrorIs(t, err, context.Canceled)
}

// Gaps all alike and pairs only: noise and wandering are one, and the record
// says which was given up.
func TestWanderingNotSeparable(t *testing.T) {
	in := invented(200, 8, 1)
	for u := range in.Series {
		for v := range in.Series[u].Visits {
			vis := &in.Series[u].Visits[v]
			vis.T = float64(v)
			vis.Adjusted = Yes
			if len(vis.Readings) == 1 {
				again := vis.Readings[0]
				again.Kind = AsLeft
				vis.Readings = append(vis.Readings, again)
			}
		}
	}
	f, err := NewFleet(in)
	require.NoError(t, err)
	end, err := Search{}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	assert.Zero(t, end.Theta.Q)
	assert.Equal(t, []HeldPart{{Wandering, GapsAlike}}, end.Held)
}

// Sound fleets end estimated and settled, whatever the start: no false alarm.
func TestSearchRaisesNoFalseAlarm(t *testing.T) {
	for seed := range uint64(3) {
		f, err := NewFleet(invented(120, 6, 300+seed))
		require.NoError(t, err)
		for _, start := range []Theta{FixedRatios, {Q: 3, Tau: 0.2, B1: 2, B2: 0.1}} {
			end, err := Search{}.Ratios(ctx, f, start, EvaluateOptions{})
			require.NoError(t, err)
			assert.Nil(t, end.Fallback, "seed %d", seed)
			assert.True(t, end.Converged)
		}
	}
}

// Two readings of one day in a segment are no fault: their difference is noise
// alone, and the criterion that of explicit matrices.
func TestReadingsOfOneDay(t *testing.T) {
	rows := fixture(t)
	rows[1].t, rows[1].segment = rows[0].t, rows[0].segment
	f := fleetOf(t, fixtureDesign, rows)
	th := Theta{Q: 1, Tau: 1, B1: 1}
	crit, sigma, err := f.Criterion(ctx, th, EvaluateOptions{})
	require.NoError(t, err)
	assert.False(t, math.IsNaN(crit) || math.IsInf(crit, 0))
	rows[1].t += 1e-9
	near, sigmaNear, err := fleetOf(t, fixtureDesign, rows).Criterion(ctx, th, EvaluateOptions{})
	require.NoError(t, err)
	assert.InDelta(t, near, crit, 1e-5)
	assert.InDelta(t, sigmaNear, sigma, 1e-7)
}

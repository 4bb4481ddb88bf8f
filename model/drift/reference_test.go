package drift

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var ctx = context.Background()

func evaluate(t testing.TB, f *Fleet, th Theta) *Fit {
	t.Helper()
	fit, err := f.Evaluate(ctx, th, EvaluateOptions{})
	require.NoError(t, err)
	return fit
}

// Restricted likelihoods fitted with lme4 1.1-31 (lmer, REMLcrit) and nlme
// 3.1-162 (lme, -2 logLik) under R 4.2.2, with one fixed intercept a segment.
// At their ratios of standard deviations the criterion, sigma and the
// coefficients are those of the packages; the ratios are printed to eight or
// more digits and the criterion is flat at its minimum.
func TestCriterionOfOtherPackages(t *testing.T) {
	type coef struct{ value, se float64 }
	for _, c := range []struct {
		name        string
		design      Design
		rows        []row
		th          Theta // standard deviations, points
		n           int
		crit, sigma float64
		beta        []coef
	}{
		{
			"S1 lmer(Reaction ~ 0+Subject+Days+(0+Days|Subject), sleepstudy)", oneRate, sleepstudy(t),
			Theta{Tau: 5.9221332},
			162, 1578.3844779, 25.5918156,
			[]coef{{10.46728596, 1.54578891}},
		},
		{
			"S2 lmer(distance ~ 0+Subject+age+fem:age+(0+age|Subject), Orthodont)", twoRates, orthodont(t),
			Theta{Tau: 0.180345425},
			81, 323.487720945, 1.31003958,
			[]coef{{0.784375, 0.0859995124}, {-0.304829545, 0.134735342}},
		},
		{
			"S3 lmer(diameter ~ 0+plate+(1|sample), Penicillin)",
			Design{},
			crossed(t, "penicillin.csv", "diameter", "plate", "sample", false),
			Theta{B1: 1.93155854},
			120, 268.503219887, 0.549923138, nil,
		},
		{
			"S3b the same + x", oneLevel, crossed(t, "penicillin.csv", "diameter", "plate", "sample", true),
			Theta{B1: 1.93201297},
			120, 269.702743486, 0.550485430,
			[]coef{{-0.130633656, 0.149570964}},
		},
		{
			"S4 lmer(strength ~ 0+batch+x+(1|sample), Pastes)", oneLevel, crossed(t, "pastes.csv", "strength", "batch", "sample", true),
			Theta{B1: 2.90221845},
			50, 205.191740860, 0.834044805,
			[]coef{{-0.199396031, 0.403529341}},
		},
		{
			"S4b the same with (1|cask)", oneLevel, crossed(t, "pastes.csv", "strength", "batch", "cask", true),
			Theta{B1: 0.393989550},
			50, 257.732720682, 2.72747727,
			[]coef{{-0.346034901, 1.14803700}},
		},
		{
			"S5 lme, sleepstudy, Brownian steps pdIdent(~0+s1+..+s9)", oneRate, sleepstudy(t),
			Theta{Q: 20.907949},
			162, 1559.1460021, 16.474854,
			[]coef{{10.44509604, 1.72796181}},
		},
		{
			"F1 lmer(y ~ 0+seg+L+A1+A2+A3+(0+t|unit)+(1|an)), fixture", fixtureDesign, fixture(t),
			Theta{Tau: 0.0750056149, B1: 0.0933796864},
			184, -137.438920409, 0.087757862,
			[]coef{{-0.0092859641, 0.00074259479}, {-0.0803756656, 0.0340421091}, {-0.0167202589, 0.0588521251}, {-0.0064416528, 0.00203443332}},
		},
		{
			"F2 lme, fixture, Brownian + slope + analyzer", fixtureDesign, fixture(t),
			Theta{Q: 0.07450333, Tau: 0.07109144, B1: 0.09232702},
			184, -142.631762642, 0.05998391,
			[]coef{{-0.00948408996, 0.000716211}, {-0.076026872, 0.03439906}, {-0.018860666, 0.05841853}, {-0.006762857, 0.002332625}},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := fleetOf(t, c.design, c.rows)
			th := Theta{c.th.Q / c.sigma, c.th.Tau / c.sigma, c.th.B1 / c.sigma, c.th.B2 / c.sigma}
			fit := evaluate(t, f, th)
			assert.Equal(t, c.n, f.Counts().Differences)
			assert.InDelta(t, c.crit, fit.Crit, 1e-6)
			assert.InEpsilon(t, c.sigma, fit.Sigma, 1e-6)
			require.Len(t, fit.Coefficients, len(c.beta))
			for k, b := range c.beta {
				assert.InEpsilon(t, b.value, fit.Coefficients[k].Value, 2e-6)
				assert.InEpsilon(t, b.se, fit.Coefficients[k].SE, 2e-6)
			}
		})
	}
}

// lme4 ranef() of F1: analyzers 1..6 and the slopes of units 1..8.
func TestBiasesAndSlopesOfF1(t *testing.T) {
	const sigma = 0.087757862
	fit := evaluate(t, fleetOf(t, fixtureDesign, fixture(t)), Theta{Tau: 0.0750056149 / sigma, B1: 0.0933796864 / sigma})
	for a, b := range []float64{0.03694598, -0.00921774, 0.01168533, -0.02560404, -0.14783561, 0.13402607} {
		assert.InDelta(t, b, fit.Analyzers[a].Value, 2e-8)
	}
	for u, v := range []float64{-0.01136038, 0.04542297, 0.08607372, 0.02540089, 0.09308772, -0.10268348, 0.02144385, -0.04739979} {
		slope, _ := fit.Predictor().Slope(u)
		assert.InDelta(t, v, slope, 2e-8)
	}
}

// Two further implementations of the same formulas (one in Python with numpy,
// one in Go) agree on these rows of the fixture to every digit printed.
func TestFixedTheta(t *testing.T) {
	f := fleetOf(t, fixtureDesign, fixture(t))
	for _, c := range []struct {
		th          Theta
		crit, sigma float64
		beta        [4]float64
	}{
		{Theta{1, 1, 1, 0}, -141.0632706288, 0.0679383651, [4]float64{-0.0094480523, -0.0778574172, -0.0183317128, -0.0065684034}},
		{Theta{0.5, 2, 0.3, 0}, -82.0337405392, 0.0837731543, [4]float64{-0.0094202967, -0.0903604836, -0.0071180650, -0.0053608438}},
		{Theta{0, 0, 0, 0}, -0.6465621849, 0.1674150124, [4]float64{-0.0094668605, -0.1154444369, -0.0001623333, -0.0025676728}},
		{Theta{2, 0, 1, 0}, -99.1840830392, 0.0598474714, [4]float64{-0.0095240322, -0.0745530013, -0.0342919925, -0.0062106195}},
	} {
		fit := evaluate(t, f, c.th)
		assert.InDelta(t, c.crit, fit.Crit, 1e-10)
		assert.InDelta(t, c.sigma, fit.Sigma, 1e-10)
		for k, b := range c.beta {
			assert.InDelta(t, b, fit.Coefficients[k].Value, 1e-10)
		}
	}
	fit := evaluate(t, f, Theta{1, 1, 1, 0})
	for k, se := range []float64{0.0007390313, 0.0333280432, 0.0561635921, 0.0023130304} {
		assert.InDelta(t, se, fit.Coefficients[k].SE, 1e-10)
	}
	for a, b := range []float64{0.0357585031, -0.0084887390, 0.0141563541, -0.0287084047, -0.1413419508, 0.1286242373} {
		assert.InDelta(t, b, fit.Analyzers[a].Value, 1e-10)
	}
	for a, sd := range []float64{0.0312944267, 0.0322575926, 0.0320702105, 0.0320895419, 0.0319170312, 0.0316499093} {
		assert.InDelta(t, sd, fit.Analyzers[a].SD, 1e-10)
	}
	for u, v := range []float64{-0.0058331820, 0.0410647218, 0.0764936990, 0.0239859823, 0.0809425106} {
		slope, _ := fit.Predictor().Slope(u)
		assert.InDelta(t, v, slope, 1e-10)
	}
}

// The same two implementations, universal kriging on the readings: the next
// reading one year after the last, temperature 10, analyzer unknown.
func TestPredictionsOfFixture(t *testing.T) {
	fit := evaluate(t, fleetOf(t, fixtureDesign, fixture(t)), Theta{1, 1, 1, 0})
	p := fit.Predictor()
	mean := []float64{-0.8409735447, -0.2620642084, -0.0610061721, -0.7055904706, -0.3070312158}
	variance := []float64{0.0217797358, 0.0203576680, 0.0206983561, 0.0204509980, 0.0206973814}
	for u, last := range []float64{5, 6, 7, 11, 8} {
		got := p.Predictive(u).At(Point{T: last + 1, Level: []float64{0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1})
		assert.InDelta(t, mean[u], got.Reading.Mean, 1e-10)
		assert.InDelta(t, variance[u], got.Reading.SD*got.Reading.SD, 1e-10)
	}
}

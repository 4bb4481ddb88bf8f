package drift

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// Identity: with the noise alone minus twice the log-likelihood is
// dof log sigma^2 + rss/sigma^2, so the standard error of log sigma is
// 1/sqrt(2 dof).
func TestStandardErrorOfNoise(t *testing.T) {
	f := fleetOf(t, fixtureDesign, fixture(t))
	fit := evaluate(t, f, Theta{})
	v, err := fit.Variances(ctx, 1)
	require.NoError(t, err)
	dof := float64(f.Counts().Differences - 4)
	assert.InEpsilon(t, fit.Sigma/math.Sqrt(2*dof), v[0].SE, 0.005)
	assert.True(t, v[1].AtZero)
	assert.True(t, math.IsNaN(v[1].SE))
}

// The curvature agrees with that of the likelihood of the readings, computed
// densely with another step, at the optimum of F2.
func TestStandardErrorsAgainstBruteForce(t *testing.T) {
	f := fleetOf(t, fixtureDesign, fixture(t))
	end := searchFree(t, f, Search{Size: 1e-6, Spread: 1e-8, MaxEvaluations: 600}, []int{0, 1, 2})
	fit := evaluate(t, f, end.Theta)
	got, err := fit.Variances(ctx, 1)
	require.NoError(t, err)

	dense := func(x []float64) float64 { // log sds of noise, wandering, slope, bias
		s := math.Exp(x[0])
		d := denseOf(f, Theta{math.Exp(x[1]) / s, math.Exp(x[2]) / s, math.Exp(x[3]) / s, 0})
		dof := float64(len(f.t) - d.fix)
		return d.crit + dof*(d.s2/(s*s)-1-math.Log(d.s2/(s*s)))
	}
	x := make([]float64, 4)
	for i := range x {
		x[i] = math.Log(got[i].SD)
	}
	const step = 0.02
	h := mat.NewSymDense(4, nil)
	at := func(i, j int, a, b float64) float64 {
		y := append([]float64{}, x...)
		y[i] += a * step
		y[j] += b * step
		return dense(y)
	}
	for i := range 4 {
		h.SetSym(i, i, (at(i, i, 1, 0)+at(i, i, -1, 0)-2*dense(x))/step/step)
		for j := range i {
			h.SetSym(i, j, (at(i, j, 1, 1)-at(i, j, 1, -1)-at(i, j, -1, 1)+at(i, j, -1, -1))/4/step/step)
		}
	}
	var inv mat.Dense
	require.NoError(t, inv.Inverse(h))
	for i := range 4 {
		assert.InEpsilon(t, got[i].SD*math.Sqrt(2*inv.At(i, i)), got[i].SE, 0.02, "part %d", got[i].Part)
	}
}

// Without the wandering F2 is F1: the rise is the difference of the criteria
// lme4 and nlme print.
func TestRiseWithoutWandering(t *testing.T) {
	f := fleetOf(t, fixtureDesign, fixture(t))
	end := searchFree(t, f, Search{Size: 1e-6, Spread: 1e-8, MaxEvaluations: 600}, []int{0, 1, 2})
	v, err := evaluate(t, f, end.Theta).Variances(ctx, 1)
	require.NoError(t, err)
	assert.InDelta(t, -137.438920409+142.631762642, v[1].Rise, 1e-3)
	assert.Greater(t, v[1].Rise, float64(SeparableRise))
}

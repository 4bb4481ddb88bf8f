package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// Chance and expected excess beyond both sides agree with the integral of the density
// (gonum's normal distribution, Gauss-Legendre quadrature).
func TestHarmIsTheIntegral(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Mixture{}
		for _, w := range []float64{0.7, 0.3} {
			m = append(m, Normal{
				Weight: w, Mean: rapid.Float64Range(-1, 1).Draw(t, "mean"), SD: rapid.Float64Range(0.05, 0.5).Draw(t, "sd"),
			})
		}
		lo, hi := -0.3, 0.4
		want := Harm{}
		for _, n := range m {
			d := distuv.Normal{Mu: n.Mean, Sigma: n.SD}
			above := func(x float64) float64 { return (x - hi) * d.Prob(x) }
			below := func(x float64) float64 { return (lo - x) * d.Prob(x) }
			want.Rich += n.Weight * d.Survival(hi)
			want.Lean += n.Weight * d.CDF(lo)
			want.RichBeyond += n.Weight * quad.Fixed(above, hi, hi+8, 400, nil, 0)
			want.LeanBeyond += n.Weight * quad.Fixed(below, lo-8, lo, 400, nil, 0)
		}
		got := m.Harm(lo, hi)
		assert.InDelta(t, want.Rich, got.Rich, 1e-12)
		assert.InDelta(t, want.Lean, got.Lean, 1e-12)
		assert.InDelta(t, want.RichBeyond, got.RichBeyond, 1e-9)
		assert.InDelta(t, want.LeanBeyond, got.LeanBeyond, 1e-9)
	})
}

// A side without a bound does no harm, and far inside there is none.
func TestHarmWithoutASide(t *testing.T) {
	m := Mixture{{Weight: 1, Mean: 0.5, SD: 0.1}}
	nan := math.NaN()
	assert.Equal(t, Harm{}, m.Harm(nan, nan))
	h := m.Harm(nan, 0)
	assert.InDelta(t, 0.5, h.Beyond(), 1e-6)
	assert.Zero(t, h.Lean)
	assert.Less(t, m.Harm(-5, 5).Beyond(), 1e-12)
}

// After a visit a unit stands at its target, surer than before; it drifts on at its own
// rate; and what it was before does not matter.
func TestVisitedUnitStandsAtItsTarget(t *testing.T) {
	g := rand.New(rand.NewPCG(4, 4))
	fit := oddFit(t, series(visit(3, No, found(0.5))), plain(g, "rising", -0.1, -0.03, 0.04, 0.11))
	p := fit.Predictor()
	for u := range 2 {
		o := p.Predictive(u)
		today := band(4)
		before, after := o.Mixture(today), o.Visited(today).Mixture(today)
		assert.InDelta(t, 0, after.Mean(), 0.1, "set to the target")
		assert.Less(t, math.Abs(after.Mean()), math.Abs(before.Mean()))
		later := band(6)
		grown := o.Visited(today).Mixture(later)
		assert.Greater(t, grown.SD(), after.SD())
		assert.InDelta(t, o.At(later).State.Mean-o.At(today).State.Mean, grown.Mean()-after.Mean(), 0.03, "its own rate")
		assert.Equal(t, o.At(today).PRich, before.Harm(today.Lo, today.Hi).Rich)
	}
}

// Set in cold air, a burner whose CO2 rises with the temperature of its air stands rich
// in summer: by the coefficient times the difference.
func TestVisitedInTheWeatherOfTheDay(t *testing.T) {
	rows := fixture(t)
	for i := range rows {
		rows[i].level = []float64{rows[i].level[0], float64(i % 7)}
	}
	design := Design{Level: []Column{{Name: "temp"}, {Name: "other"}}, Drift: fixtureDesign.Drift}
	fit := evaluate(t, fleetOf(t, design, rows), Theta{1, 1, 1, 0})
	o := fit.Predictor().Predictive(0)
	cold := Point{T: 6, Level: []float64{-10, 1}, Analyzer: -1, Period: -1}
	warm := cold
	warm.Level = []float64{15, 1}
	after := o.Visited(cold)
	assert.InDelta(t, 25*fit.Coefficients[0].Value, after.Mixture(warm).Mean()-after.Mixture(cold).Mean(), 1e-9)
	vague := cold
	vague.LevelVar = []float64{16, 0}
	assert.Greater(t, o.Visited(vague).Mixture(cold).SD(), after.Mixture(cold).SD())
}

package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Moves of two kinds are told from standardized errors, each with its share of
// movement: a tenth of moves with three times the variance of the fit, which is not
// the case where all are of one kind.
func TestMovesOfTwoKinds(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	draw := func(m moves) (all []heldOut) {
		for range 2000 {
			h := heldOut{moved: 0.3 + 0.6*r.Float64()}
			v := m.calm
			if r.Float64() < m.rare {
				v = m.wide
			}
			h.z = r.NormFloat64() * math.Sqrt(1-h.moved+h.moved*v)
			all = append(all, h)
		}
		return all
	}
	planted := moves{0.1, (1 - 0.1*5) / 0.9, 5}
	got := likeliest(draw(planted))
	assert.InDelta(t, 0.1, got.rare, 0.06)
	assert.InDelta(t, 5, got.wide, 2)
	assert.InDelta(t, 1, (1-got.rare)*got.calm+got.rare*got.wide, 1e-12, "the variance of the fit")
	assert.Equal(t, moves{}, likeliest(draw(moves{0, 1, 1})))
}

// Two kinds of moves keep mean and variance of a state, and put less of it in
// between: at one standard deviation less is outside, far out more.
func TestMovesKeepTheVariance(t *testing.T) {
	m := moves{0.1, 0.5 / 0.9, 5}
	two := m.spread(nil, 1, 0.3, 0.04, 0.03)
	require.Len(t, two, 2)
	assert.InDelta(t, 0.3, two.Mean(), 1e-12)
	assert.InDelta(t, 0.2, two.SD(), 1e-12)
	one := moves{}.spread(nil, 1, 0.3, 0.04, 0.03)
	assert.Equal(t, Mixture{{1, 0.3, 0.2}}, one)
	assert.Less(t, two.Above(0.5), one.Above(0.5))
	assert.Greater(t, two.Above(1.1), one.Above(1.1))
}

// A fleet whose units wander as the model says is forecast as the model says.
func TestNormalMovesStay(t *testing.T) {
	f, err := NewFleet(invented(300, 8, 5))
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	assert.Equal(t, moves{}, fit.moves)
	assert.Len(t, fit.Predictor().Predictive(0).At(Point{T: 30, Level: make([]float64, len(f.in.Design.Level)), Lo: -1, Hi: 1}).States, 1)
}

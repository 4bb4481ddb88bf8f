package hindsight

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// drawn makes predictions with ties and outcomes of them.
func drawn(seed uint64, n int) (p, y []float64) {
	r := rand.New(rand.NewPCG(seed, 1))
	for range n {
		v := math.Round(20*r.Float64()) / 20
		p = append(p, v)
		hit := 0.0
		if r.Float64() < v*v {
			hit = 1
		}
		y = append(y, hit)
	}
	return p, y
}

// Identity: the area is the share of pairs in the right order, ties half, counted
// pair by pair.
func TestAUCCountsPairs(t *testing.T) {
	for seed := range uint64(20) {
		p, y := drawn(seed, 60)
		won, pairs := 0.0, 0.0
		for i := range p {
			for k := range p {
				if y[i] == 1 && y[k] == 0 {
					pairs++
					switch {
					case p[i] > p[k]:
						won++
					case p[i] == p[k]:
						won += 0.5
					}
				}
			}
		}
		require.InDelta(t, won/pairs, auc(p, y, nil, ascending(p)), 1e-12)
	}
}

// Identity: the non-decreasing fit is max over starts of min over ends of the
// means between (Robertson, Wright and Dykstra 1988, min-max formulas, from
// memory), reckoned by brute force over the distinct probabilities.
func TestIsotonicIsMaxMin(t *testing.T) {
	for seed := range uint64(20) {
		p, y := drawn(seed, 50)
		f := fit(p, y, nil, nil)
		for i := range p {
			best := math.Inf(-1)
			for _, a := range p {
				if a > p[i] {
					continue
				}
				least := math.Inf(1)
				for _, b := range p {
					if b < p[i] {
						continue
					}
					sum, n := 0.0, 0.0
					for k := range p {
						if p[k] >= a && p[k] <= b {
							sum, n = sum+y[k], n+1
						}
					}
					least = math.Min(least, sum/n)
				}
				best = math.Max(best, least)
			}
			require.InDelta(t, best, f.at(p[i]), 1e-12)
		}
	}
}

// Identities of the parts: they add up; each is not negative; a forecaster who
// says the fitted values has no miscalibration and keeps its discrimination; a
// constant forecast discriminates nothing.
func TestBrierPartsAddUp(t *testing.T) {
	for seed := range uint64(20) {
		p, y := drawn(seed, 300)
		b := brierOf(p, y, nil, nil)
		require.InDelta(t, b.Mean, b.Miscalibration-b.Discrimination+b.Uncertainty, 1e-12)
		require.GreaterOrEqual(t, b.Miscalibration, -1e-12)
		require.GreaterOrEqual(t, b.Discrimination, -1e-12)
		f := fit(p, y, nil, nil)
		q := make([]float64, len(p))
		for i := range p {
			q[i] = f.at(p[i])
		}
		c := brierOf(q, y, nil, nil)
		require.InDelta(t, 0, c.Miscalibration, 1e-12)
		require.InDelta(t, b.Discrimination, c.Discrimination, 1e-12)
		for i := range q {
			q[i] = 0.3
		}
		require.InDelta(t, 0, brierOf(q, y, nil, nil).Discrimination, 1e-12)
	}
}

// Identity: whole weights count a case so many times.
func TestWeightsRepeatCases(t *testing.T) {
	p, y := drawn(3, 80)
	w := make([]float64, len(p))
	var pp, yy []float64
	for i := range p {
		w[i] = float64(i % 4)
		for range i % 4 {
			pp, yy = append(pp, p[i]), append(yy, y[i])
		}
	}
	require.InDelta(t, auc(pp, yy, nil, ascending(pp)), auc(p, y, w, ascending(p)), 1e-12)
	require.InDelta(t, brierOf(pp, yy, nil, nil).Miscalibration, brierOf(p, y, w, nil).Miscalibration, 1e-12)
	require.InDelta(t, precision(pp, yy, nil, ascending(pp), 12), precision(p, y, w, ascending(p), 12), 1e-12)
	require.InDelta(t, netBenefit(func(i int) bool { return pp[i] > 0.5 }, yy, nil, 0.4),
		netBenefit(func(i int) bool { return p[i] > 0.5 }, y, w, 0.4), 1e-12)
}

// By hand: ten cases, the five above 0.5 hold four outside; at a threshold of 1/3
// one visited for nothing costs half of one found.
func TestNetBenefitByHand(t *testing.T) {
	y := []float64{1, 1, 1, 1, 0, 0, 0, 0, 0, 1}
	require.InDelta(t, (4-1*0.5)/10, netBenefit(func(i int) bool { return i < 5 }, y, nil, 1.0/3), 1e-12)
	require.InDelta(t, (5-5*0.5)/10, netBenefit(func(int) bool { return true }, y, nil, 1.0/3), 1e-12)
}

// Ties at the end of the first count in proportion: 1 sure place and 1 of 4 tied.
func TestPrecisionSharesTies(t *testing.T) {
	p, y := []float64{0.9, 0.5, 0.5, 0.5, 0.5, 0.1}, []float64{1, 1, 0, 0, 0, 1}
	require.InDelta(t, (1+0.25)/2, precision(p, y, nil, ascending(p), 2), 1e-12)
}

package drift

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Variance is one standard deviation of the model with its caveats.
type Variance struct {
	Part   Part
	SD, SE float64 // SE NaN where the part is at zero or the criterion is not curved
	AtZero bool    // not detected
	// Rise of the criterion when the part is left out and the others are
	// estimated again; below SeparableRise the data cannot tell it from them. NaN
	// for the noise and for parts held.
	Rise float64
}

// SeparableRise is the rise of the criterion under which a part of the variance
// cannot be separated on these data.
const SeparableRise = 4

// hessianStep is the step in log standard deviations.
const hessianStep = 0.05

// curvature is the criterion about a fit, by the logarithms of the standard deviations of
// the parts that are not at zero.
type curvature struct {
	fit  *Fit
	free []int
	o    EvaluateOptions
}

// logSE returns the standard errors of log sigma and the log sds of some parts.
func (c curvature) logSE(ctx context.Context) ([]float64, error) {
	n := len(c.free) + 1
	var failed error
	at := func(steps ...int) float64 {
		shift := make([]float64, n)
		for _, s := range steps {
			if s > 0 {
				shift[s-1] += hessianStep
			} else {
				shift[-s-1] -= hessianStep
			}
		}
		crit, err := c.unprofiled(ctx, shift)
		if err != nil {
			failed = err
		}
		return crit
	}
	h := mat.NewSymDense(n, nil)
	middle := at()
	for i := 1; i <= n; i++ {
		h.SetSym(i-1, i-1, (at(i)+at(-i)-2*middle)/(hessianStep*hessianStep))
		for j := 1; j < i; j++ {
			h.SetSym(i-1, j-1, (at(i, j)-at(i, -j)-at(-i, j)+at(-i, -j))/(4*hessianStep*hessianStep))
		}
	}
	out := make([]float64, n)
	var chol mat.Cholesky
	var inv mat.SymDense
	curved := failed == nil && chol.Factorize(h) && chol.InverseTo(&inv) == nil
	for i := range out {
		out[i] = math.NaN()
		if curved {
			out[i] = math.Sqrt(2 * inv.At(i, i))
		}
	}
	return out, failed
}

// unprofiled is the criterion with sigma a variable, log sds shifted from the
// fit's: crit - dof(1 + log(2 pi s^2)) + dof log(2 pi sigma^2) + rss/sigma^2.
func (c curvature) unprofiled(ctx context.Context, shift []float64) (float64, error) {
	fit := c.fit
	th := fit.Theta.array()
	sigma := fit.Sigma * math.Exp(shift[0])
	for i, k := range c.free {
		th[k] *= math.Exp(shift[i+1] - shift[0])
	}
	crit, s, err := fit.fleet.Criterion(ctx, thetaOf(th), c.o)
	dof := fit.dof
	ratio := s * s / (sigma * sigma)
	return crit + dof*(ratio-1-math.Log(ratio)), err
}

// riseWithout estimates the other parts again with one at zero.
func (c curvature) riseWithout(ctx context.Context, k int) (float64, error) {
	fit := c.fit
	s := &search{Search: Search{Size: 1e-4, Spread: 1e-5, MaxEvaluations: 600}, ctx: ctx, f: fit.fleet, o: c.o, at: fit.Theta.array()}
	s.at[k] = 0
	for _, j := range c.free {
		if j != k {
			s.free = append(s.free, j)
		}
	}
	best := s.crit(s.start())
	if len(s.free) > 0 {
		best, _ = s.descend(false)
	}
	return best - fit.Crit, s.fail
}

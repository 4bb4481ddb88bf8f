package drift

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Figures of the last steps to an optimum.
const (
	maxNewton = 30
	// leastRatio is what a ratio is kept at while steps are taken: at zero itself the slope
	// in the ratio of variances would be the only one that tells where to. Zeros are
	// tried on their own.
	leastRatio = 1e-3
	// Shares of the stop that the last step keeps: the average information is curved as
	// the criterion but for some percent, and a step leaves as large a part of itself.
	lastStep = 0.1
	// unseen is what a gain is that rounding hides, as a part of the criterion.
	unseen = 1e-11
	// growth is how many times a ratio of variances may grow in a step, and what
	// may be added to it.
	growth = 3
	// Sizes of the simplex from which the steps take over where they did not arrive
	// from the start, the second where they did not arrive from the first.
	roughEnd, closerEnd = 0.1, 0.02
)

// newton goes from where the search stands to the optimum by steps of Newton in the
// ratios of variances, with the slope and the average information of the criterion
// (score.go). Nothing is taken for granted: where the information is not positive
// definite, or a step does not lower the criterion, ok is false and the search stays at
// the best point seen.
func (s *search) newton() (best float64, ok bool) {
	x, spent := s.start(), s.end.Evaluations
	for i := range x {
		x[i] = math.Max(x[i]*x[i], leastRatio*leastRatio)
	}
	best = s.variances(x)
	if math.IsInf(best, 1) {
		return best, false
	}
	for range maxNewton {
		g, h, err := s.slope()
		if err != nil || s.end.Evaluations-spent > s.MaxEvaluations {
			return best, false
		}
		p := downhill(x, g, h)
		if p == nil {
			return best, false
		}
		length, gain := 0.0, 0.0
		for i := range p {
			length, gain = math.Max(length, math.Abs(math.Sqrt(x[i]+p[i])-math.Sqrt(x[i]))), gain-p[i]*g[i]/2
		}
		last := length < lastStep*s.Size && gain < lastStep*s.Spread
		next, value := s.lower(x, p, best)
		if next == nil {
			return best, last || gain < unseen*(1+math.Abs(best))
		}
		x, best = next, value
		s.place(x)
		if last {
			return best, s.fail == nil
		}
	}
	return best, false
}

// slope is that at the point evaluated last, and the average information; it is counted
// as an evaluation.
func (s *search) slope() ([]float64, *mat.SymDense, error) {
	s.end.Evaluations++
	g, h, err := s.last.score(s.ctx, s.free)
	if err != nil && s.ctx.Err() != nil {
		s.fail = s.ctx.Err()
	}
	return g, h, err
}

// lower tries a step and ever shorter ones until the criterion is no higher than it was;
// nil where none is found.
func (s *search) lower(x, p []float64, best float64) (next []float64, value float64) {
	share := 1.0
	for range 3 {
		next = make([]float64, len(x))
		for i := range x {
			next[i] = x[i] + share*p[i]
		}
		if value = s.variances(next); value <= best {
			return next, value
		}
		share /= 4
	}
	return nil, best
}

// variances is the criterion by the free ratios of variances, counted.
func (s *search) variances(x []float64) float64 {
	s.end.Evaluations++
	theta := make([]float64, len(x))
	for i := range x {
		theta[i] = math.Sqrt(x[i])
	}
	return s.crit(theta)
}

// place takes ratios of variances as where the search stands.
func (s *search) place(x []float64) {
	for i, k := range s.free {
		s.at[k] = math.Sqrt(x[i])
	}
}

// downhill is the step to the lowest point of the parabola with slope g and curvature h
// that no ratio at its least leaves downwards and none passes; nil where there is none.
// It ends within growth.
func downhill(x, g []float64, h *mat.SymDense) []float64 {
	const least = leastRatio * leastRatio
	free := make([]int, 0, len(x))
	for i, v := range g {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			return nil
		}
		if x[i] > least || v < 0 {
			free = append(free, i)
		}
	}
	p := make([]float64, len(x))
	if len(free) == 0 {
		return p
	}
	part, right := mat.NewSymDense(len(free), nil), mat.NewVecDense(len(free), nil)
	for i, a := range free {
		right.SetVec(i, -g[a])
		for j, b := range free[:i+1] {
			part.SetSym(i, j, h.At(a, b))
		}
	}
	var chol mat.Cholesky
	var step mat.VecDense
	if !chol.Factorize(part) || chol.SolveVecTo(&step, right) != nil {
		return nil
	}
	for i, a := range free {
		p[a] = math.Min(math.Max(step.AtVec(i), least-x[a]), growth*(x[a]+1))
	}
	return p
}

package drift

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Figures of the last steps to an optimum.
const (
	wideStep, fineStep = 0.02, 2e-3 // of finite differences, far and near
	maxNewton          = 8
	trustedStep        = 0.5 // no ratio moves further at once
	// A step this many times as long as the stop asks for leaves an error below it:
	// curvatures are known to some percent.
	lastStep = 10
	farStep  = 0.1 // after a longer step the curvatures are worked out again
	// Sizes of the simplex from which the steps take over, the second where they
	// did not arrive from the first.
	roughEnd, closerEnd = 0.1, 0.02
)

// newton goes from where the search stands to the optimum by steps of Newton with
// curvatures from differences, kept up to date by the formula of Broyden,
// Fletcher, Goldfarb and Shanno (Nocedal and Wright 2006, Numerical Optimization,
// chapter 6, from memory). Nothing is taken for granted: where the criterion is
// not curved upwards in all directions, or a step does not lower it, ok is false
// and the search stays at the best point seen.
func (s *search) newton() (best float64, ok bool) {
	x, spent := s.start(), s.end.Evaluations
	best = s.value(x)
	if math.IsInf(best, 1) {
		return best, false
	}
	h := mat.NewSymDense(len(x), nil)
	var before, moved []float64
	far := true
	for range maxNewton {
		width := fineStep
		if far {
			width = wideStep
		}
		g := s.slopes(x, best, width, h, far)
		if !far && moved != nil {
			update(h, moved, before, g)
		}
		p := downhill(h, g)
		if p == nil || s.end.Evaluations-spent > s.MaxEvaluations {
			return best, false
		}
		length, gain := 0.0, 0.0
		for i := range p {
			length, gain = math.Max(length, math.Abs(p[i])), gain-p[i]*g[i]/2
		}
		last := length < lastStep*s.Size && gain < lastStep*s.Spread
		step, value := s.lower(x, p, math.Min(1, trustedStep/math.Max(length, trustedStep)), best)
		switch {
		case step != nil:
			moved, before, best = step, g, value
			x = along(x, step, 1)
			s.place(x)
			if last {
				return best, s.fail == nil
			}
			far = length > farStep
		case last:
			return best, s.fail == nil
		case far: // differences were too wide to see the slope
			far, moved = false, nil
		default:
			return best, false
		}
	}
	return best, false
}

// lower tries a share of a step and ever shorter ones until the criterion is no
// higher than it was; nil where none is found.
func (s *search) lower(x, p []float64, share, best float64) (step []float64, value float64) {
	for range 3 {
		step = along(nil, p, share)
		if value = s.value(along(x, step, 1)); value <= best {
			return step, value
		}
		share /= 4
	}
	return nil, best
}

// value is the criterion, counted.
func (s *search) value(x []float64) float64 {
	s.end.Evaluations++
	return s.crit(x)
}

// place takes free coordinates as where the search stands.
func (s *search) place(x []float64) {
	for i, k := range s.free {
		s.at[k] = math.Abs(x[i])
	}
}

// slopes returns the gradient by central differences, and far from the optimum
// fills the curvatures.
func (s *search) slopes(x []float64, middle, step float64, h *mat.SymDense, curved bool) []float64 {
	n := len(x)
	g, up := make([]float64, n), make([]float64, n)
	at := func(i, j int, by float64) float64 {
		y := append([]float64{}, x...)
		y[i] += by
		if j != i {
			y[j] += by
		}
		return s.value(y)
	}
	for i := range n {
		up[i] = at(i, i, step)
		down := at(i, i, -step)
		g[i] = (up[i] - down) / (2 * step)
		if !curved {
			continue
		}
		h.SetSym(i, i, (up[i]+down-2*middle)/(step*step))
		for j := range i {
			h.SetSym(i, j, (at(i, j, step)-up[i]-up[j]+middle)/(step*step))
		}
	}
	return g
}

// update brings the curvatures up to date with what the gradient did along a step.
func update(h *mat.SymDense, moved, before, after []float64) {
	n := len(moved)
	m := mat.NewVecDense(n, moved)
	change := mat.NewVecDense(n, nil)
	change.SubVec(mat.NewVecDense(n, after), mat.NewVecDense(n, before))
	bend := mat.Dot(change, m)
	if !(bend > 0) {
		return
	}
	var hm mat.VecDense
	hm.MulVec(h, m)
	h.SymRankOne(h, -1/mat.Dot(m, &hm), &hm)
	h.SymRankOne(h, 1/bend, change)
}

// downhill is the step to the lowest point of the parabola; nil where there is
// none.
func downhill(h *mat.SymDense, g []float64) []float64 {
	var chol mat.Cholesky
	for _, v := range g {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			return nil
		}
	}
	if !chol.Factorize(h) {
		return nil
	}
	var p mat.VecDense
	if chol.SolveVecTo(&p, mat.NewVecDense(len(g), g)) != nil {
		return nil
	}
	p.ScaleVec(-1, &p)
	return p.RawVector().Data
}

// along is x and a share of p, x nil the origin.
func along(x, p []float64, share float64) []float64 {
	out := make([]float64, len(p))
	for i := range out {
		out[i] = share * p[i]
		if x != nil {
			out[i] += x[i]
		}
	}
	return out
}

package drift

import (
	"math"
	"slices"
)

// simplex minimizes by the method of Nelder and Mead (1965, Computer J. 7:308)
// with its standard coefficients: reflect 1, expand 2, contract and shrink 1/2.
// It needs no derivatives and is the same on every machine.
type simplex struct {
	f       func(x []float64) float64
	points  []vertex // by value, best first
	evals   int
	maximum int         // evaluations
	stop    func() bool // ends a run early; nil: nothing does
}

type vertex struct {
	x []float64
	f float64
}

// newSimplex evaluates a start and one step along each axis.
func newSimplex(f func([]float64) float64, start []float64, step float64, maximum int) *simplex {
	s := &simplex{f: f, maximum: maximum}
	s.points = append(s.points, s.at(start))
	for k := range start {
		x := slices.Clone(start)
		x[k] += step
		s.points = append(s.points, s.at(x))
	}
	s.sort()
	return s
}

func (s *simplex) at(x []float64) vertex {
	s.evals++
	return vertex{x, s.f(x)}
}

// sort orders the vertices by value; equal ones stay as they are.
func (s *simplex) sort() {
	slices.SortStableFunc(s.points, func(a, b vertex) int {
		switch {
		case a.f < b.f:
			return -1
		case a.f > b.f:
			return 1
		}
		return 0
	})
}

// A simplex may settle where it has collapsed onto a line and not at an optimum; the
// search therefore starts another one where it ended, and believes it only if that one
// comes back (Search.Ratios).

// run moves the simplex until it is smaller than size and its values closer
// than spread; it reports whether that came before the cap on evaluations.
func (s *simplex) run(size, spread float64) bool {
	for s.evals < s.maximum && (s.stop == nil || !s.stop()) {
		if s.size() < size && s.points[len(s.points)-1].f-s.points[0].f < spread {
			return true
		}
		s.step()
		s.sort()
	}
	return false
}

// size is the largest distance along an axis from the best vertex.
func (s *simplex) size() float64 {
	d := 0.0
	for _, p := range s.points[1:] {
		for k, x := range p.x {
			d = math.Max(d, math.Abs(x-s.points[0].x[k]))
		}
	}
	return d
}

// step replaces the worst vertex, or shrinks all towards the best.
func (s *simplex) step() {
	n := len(s.points) - 1
	worst := &s.points[n]
	reflected := s.along(1)
	switch {
	case reflected.f < s.points[0].f:
		if expanded := s.along(2); expanded.f < reflected.f {
			reflected = expanded
		}
		*worst = reflected
		return
	case reflected.f < s.points[n-1].f:
		*worst = reflected
		return
	}
	contracted := s.along(-0.5)
	if reflected.f < worst.f {
		contracted = s.along(0.5)
	}
	if contracted.f < math.Min(reflected.f, worst.f) {
		*worst = contracted
		return
	}
	for i := 1; i <= n; i++ {
		x := slices.Clone(s.points[i].x)
		for k := range x {
			x[k] = (x[k] + s.points[0].x[k]) / 2
		}
		s.points[i] = s.at(x)
	}
}

// along is a point on the line from the worst vertex through the centre of the
// others, a multiple of their distance beyond the centre.
func (s *simplex) along(multiple float64) vertex {
	n := len(s.points) - 1
	x := make([]float64, len(s.points[0].x))
	for k := range x {
		centre := 0.0
		for _, p := range s.points[:n] {
			centre += p.x[k] / float64(n)
		}
		x[k] = centre + multiple*(centre-s.points[n].x[k])
	}
	return s.at(x)
}

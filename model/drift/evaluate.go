package drift

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
)

// shards is how many parts the units are summed in at most, whatever the number
// of workers: the sums, and so every digit of a fit, do not depend on it.
const shards = 32

// unitsAPart is how many units are worth a part of their own.
const unitsAPart = 64

// parts is how many parts the fleet is summed in.
func (f *Fleet) parts() int { return min(shards, len(f.in.Series)/unitsAPart+1) }

// thetaCap is the largest ratio an evaluation accepts: sigma is then nothing.
const thetaCap = 100

// Failures of an evaluation.
var (
	ErrTheta  = errors.New("a ratio of standard deviations is beyond 100 or not a number")
	ErrPivot  = errors.New("the covariance of a unit's differences is not positive definite")
	ErrTooFew = errors.New("fewer differences than coefficients")
	ErrSame   = errors.New("readings of one setting never differ: they look like copies")
)

// sparseFactor is how many times the analyzer block must exceed the units of a
// shard before the shard keeps its entries as a list: clearing and adding a
// large block 32 times would cost more than the units.
const sparseFactor = 64

// sums is the fleet matrix M in blocks (analyzers, coefficients and d), before
// the analyzer scale factors: Z'P Z, Z'P [X d], [X d]'P [X d]. A sparse part
// lists its entries of the first in the order of the units. The first is kept in the blocks of the layout.
type sums struct {
	m      int // p + 1
	lay    *layout
	sparse bool
	at     []int32
	value  []float64
	zz     []float64
	zx     []float64
	xx     []float64
	logdet float64
	n      int
	failed bool
}

func newSums(f *Fleet) *sums {
	q, m := len(f.layout.of), len(f.used)+1
	return &sums{m: m, lay: &f.layout, zz: make([]float64, f.layout.size), zx: make([]float64, q*m), xx: make([]float64, m*m)}
}

// partSums is one worker's matrix.
func partSums(f *Fleet, sparse bool) *sums {
	if !sparse {
		return newSums(f)
	}
	q, m := len(f.layout.of), len(f.used)+1
	return &sums{m: m, lay: &f.layout, sparse: true, zx: make([]float64, q*m), xx: make([]float64, m*m)}
}

func (s *sums) reset() {
	s.at, s.value = s.at[:0], s.value[:0]
	clear(s.zz)
	clear(s.zx)
	clear(s.xx)
	s.logdet, s.n, s.failed = 0, 0, false
}

func (s *sums) plus(o *sums) {
	if o.sparse {
		for i, at := range o.at {
			s.zz[at] += o.value[i]
		}
	} else {
		addTo(s.zz, o.zz)
	}
	addTo(s.zx, o.zx)
	addTo(s.xx, o.xx)
	s.logdet += o.logdet
	s.n += o.n
	s.failed = s.failed || o.failed
}

func addTo(dst, src []float64) {
	for i, x := range src {
		dst[i] += x
	}
}

// unit adds one unit's Gram matrix at its places: zz upper, xx lower triangle.
func (s *sums) unit(k *kernel, u int) {
	if !k.unit(u) {
		s.failed = true
		return
	}
	if len(k.diffs) == 0 {
		return
	}
	s.n += len(k.diffs)
	s.logdet += k.logR + math.Log(k.det*k.absorb())
	c, p := k.c, k.p
	for a := range p + 1 {
		for b := range a + 1 {
			s.xx[a*s.m+b] += k.g[a*c+b]
		}
	}
	for la, ga := range k.cols {
		row := k.g[(p+2+la)*c:]
		zx := s.zx[int(ga)*s.m:]
		for b := range p + 1 {
			zx[b] += row[b]
		}
		for lb := range la + 1 {
			at := s.lay.at(ga, k.cols[lb])
			if s.sparse {
				s.at, s.value = append(s.at, int32(at)), append(s.value, row[p+2+lb])
			} else {
				s.zz[at] += row[p+2+lb]
			}
		}
	}
}

// collect sums the shards in their order with any number of workers. Each
// worker holds one matrix, and adds it when its shard's turn has come.
func (f *Fleet) collect(ctx context.Context, th Theta, workers int) (*sums, error) {
	total := newSums(f)
	parts := f.parts()
	sparse := f.layout.size > sparseFactor*(len(f.in.Series)/parts+1)
	inTurn(parts, workers, func() (work func(int), add func()) {
		k, part := newKernel(f, th), partSums(f, sparse)
		work = func(shard int) {
			part.reset()
			if ctx.Err() == nil {
				f.shard(k, part, shard)
			}
		}
		return work, func() { total.plus(part) }
	})
	if total.failed {
		return nil, ErrPivot
	}
	return total, ctx.Err()
}

func (f *Fleet) shard(k *kernel, part *sums, s int) {
	n, parts := len(f.in.Series), f.parts()
	for u := s * n / parts; u < (s+1)*n/parts; u++ {
		part.unit(k, u)
	}
}

// Options of an evaluation. The zero value: one worker, no priors, beta free.
type Options struct {
	Workers int
	// PriorSigma above 0 adds the columns' priors as observations, each in units
	// of this noise standard deviation.
	PriorSigma float64
	// Hold keeps beta, and what is unknown of it, as in another fit of the same
	// columns; only the analyzer biases are estimated.
	Hold *Fit

	sigma float64 // above 0: not estimated
}

// Criterion returns minus twice the profiled restricted log-likelihood at theta,
// and sigma: what an optimizer needs, +Inf where there is none.
func (f *Fleet) Criterion(ctx context.Context, th Theta, o Options) (crit, sigma float64, err error) {
	f, o, err = f.aligned(o)
	if err != nil {
		return math.Inf(1), math.NaN(), err
	}
	s, err := f.profile(ctx, th, o)
	if err != nil {
		return math.Inf(1), math.NaN(), err
	}
	return s.crit, s.sigma, nil
}

// Evaluate fits the fleet at given theta by generalized least squares: beta, the
// analyzer biases, sigma, and their joint covariance.
func (f *Fleet) Evaluate(ctx context.Context, th Theta, o Options) (*Fit, error) {
	f, o, err := f.aligned(o)
	if err != nil {
		return nil, err
	}
	s, err := f.solve(ctx, th, o)
	if err != nil {
		return nil, err
	}
	return f.newFit(s, o), nil
}

// aligned returns the fleet with the columns of the fit to hold, and that fit
// restated in the fleet's scales.
func (f *Fleet) aligned(o Options) (*Fleet, Options, error) {
	if o.Hold == nil || o.Hold.fleet == f {
		return f, o, nil
	}
	from := o.Hold.fleet
	if len(from.cols) != len(f.cols) {
		return f, o, fmt.Errorf("the fit to hold has %d covariates, the fleet %d", len(from.cols), len(f.cols))
	}
	for k, c := range f.cols {
		if from.cols[k].Name != c.Name {
			return f, o, fmt.Errorf("covariate %d is %q in the fit to hold and %q in the fleet", k, from.cols[k].Name, c.Name)
		}
	}
	out := *f
	out.used, out.drops = from.used, from.drops
	hold := *o.Hold
	p := len(hold.beta)
	cov := slices.Clone(hold.cov.beta)
	hold.beta = slices.Clone(hold.beta)
	for k, col := range out.used {
		ratio := f.scale[col] / from.scale[col]
		hold.beta[k] *= ratio
		for j := range p {
			cov[k*p+j] *= ratio
			cov[j*p+k] *= ratio
		}
	}
	hold.cov = known(cov, p, len(hold.b)) // all that is held of it
	hold.fleet = &out
	o.Hold = &hold
	return &out, o, nil
}

func (t Theta) positive() Theta {
	return Theta{math.Abs(t.Q), math.Abs(t.Tau), math.Abs(t.B1), math.Abs(t.B2)}
}

func (t Theta) valid() bool {
	for _, x := range [...]float64{t.Q, t.Tau, t.B1, t.B2} {
		if !(math.Abs(x) <= thetaCap) {
			return false
		}
	}
	return true
}

package drift

import (
	"context"
	"fmt"
	"math"
)

// evaluation is the restricted likelihood of a fleet at given ratios.
type evaluation struct {
	f  *Fleet
	th Theta
	o  EvaluateOptions
}

// solution is one evaluated: everything in scaled units. sums.zz holds the factor
// U of U'U = I + T Z'P Z T, T the analyzer scale factors.
type solution struct {
	evaluation
	sums   *sums
	scale  []float64 // T: the prior sd of each bias over that of the noise
	q      int       // analyzer columns
	v      []float64 // L^-1 T Z'P [X d], q by m
	schur  []float64 // [X d]'V^-1[X d], lower, m by m
	lx     []float64 // its Cholesky factor, coefficients only
	beta   []float64
	u      []float64 // b = T u
	rss    float64
	dof    float64
	sigma  float64
	crit   float64
	priors int
	cov    *joint    // of biases and coefficients, where somebody has asked for it
	z      []float64 // auxiliary residual of each bias before any reweighting; nil where none stands out
}

// minSigma is noise that no analyzer is without, points.
const minSigma = 1e-9

// The steps of an evaluation. With A = I + T Z'P Z T, T the prior spreads of the
// biases in units of the noise,
//
//	A = U'U                       factor            log|A| is the biases' part
//	v = U'^-1 T Z'P [X d]         eliminate
//	S = [X d]'P[X d] - v'v        eliminate         = [X d]'V^-1 [X d]
//	S = L L'                      coefficients      beta, and rss in the last pivot
//	sigma^2 = rss/(n - p)         finish
//	U u = v_d - v_X beta, b = T u biases
//
// Each prior on a coefficient is one more observation of it, of variance
// (sd/sigma)^2, so that it counts in n and the criterion stays that of a likelihood.

// solve evaluates the restricted likelihood (package model, Criterion) and solves for the
// biases, with heavy tails where some stand out.
func (e evaluation) solve(ctx context.Context) (*solution, error) {
	s, err := e.assemble(ctx, &space{})
	if err != nil {
		return nil, err
	}
	var raw biasSums
	if e.o.Tails {
		raw = s.sums.biasSums()
	}
	if err := s.finish(); err != nil {
		return nil, err
	}
	s.biases()
	if e.o.Tails {
		err = withHeavyTails(s, raw)
	}
	return s, err
}

// profile evaluates the restricted likelihood alone: one Cholesky of the fleet matrix,
// ordered biases, coefficients, d. The biases are left unsolved, and the solution
// holds good until the space is used again.
func (e evaluation) profile(ctx context.Context, room *space) (*solution, error) {
	s, err := e.assemble(ctx, room)
	if err != nil {
		return nil, err
	}
	return s, s.finish()
}

// assemble sums the fleet matrix: readings, certificates and priors.
func (e evaluation) assemble(ctx context.Context, room *space) (*solution, error) {
	if !e.th.valid() {
		return nil, fmt.Errorf("theta %v: %w", e.th, ErrTheta)
	}
	e.th = e.th.positive()
	total, err := e.collect(ctx, room)
	if err != nil {
		return nil, err
	}
	e.f.certificates.addTo(total, e.f, e.o.unit())
	s := &solution{evaluation: e, sums: total, scale: make([]float64, len(e.f.layout.of))}
	for a := range s.scale {
		s.scale[a] = e.th.B1
		if a >= e.f.in.Analyzers {
			s.scale[a] = e.th.B2
		}
	}
	if e.o.Hold == nil {
		s.addPriors()
	}
	return s, nil
}

// finish factors and solves what was assembled.
func (s *solution) finish() error {
	total := s.sums
	logB, err := s.eliminate()
	if err != nil {
		return err
	}
	if s.o.Hold != nil {
		s.hold(s.o.Hold.beta)
	} else if err := s.coefficients(); err != nil {
		return err
	}
	if s.sigma = s.o.sigma; s.sigma == 0 {
		if s.dof <= 0 {
			return fmt.Errorf("%d differences, %d coefficients: %w", total.n, len(s.f.used), ErrTooFew)
		}
		if s.sigma = math.Sqrt(s.rss / s.dof); !(s.sigma > minSigma) {
			return ErrSame
		}
	}
	s.crit = total.logdet + logB + s.dof*(1+math.Log(2*math.Pi*s.sigma*s.sigma))
	if s.o.Hold == nil {
		for k, col := range s.f.used {
			s.crit += 2*math.Log(s.lx[k*s.sums.m+k]) + 2*math.Log(s.f.scale[col])
		}
	}
	return nil
}

// addPriors adds each prior as one observation of its coefficient: those of
// instruments at every amount of data, the others where they are asked for.
func (s *solution) addPriors() {
	m, y, sigma := s.sums.m, s.sums.m-1, s.o.unit()
	for k, col := range s.f.used {
		prior := s.f.cols[col].Prior
		if prior == nil || s.o.PriorSigma <= 0 && !s.f.cols[col].Instrument {
			continue
		}
		mean, sd := prior.Mean*s.f.scale[col], prior.SD*s.f.scale[col]
		weight := (sigma / sd) * (sigma / sd)
		s.sums.xx[k*m+k] += weight
		s.sums.xx[y*m+k] += weight * mean
		s.sums.xx[y*m+y] += weight * mean * mean
		s.priors++
	}
}

// eliminate takes the biases out, S = M_xx - v'v, and returns log|I + T Z'P Z T|.
func (s *solution) eliminate() (float64, error) {
	lay := &s.f.layout
	q, m := len(lay.of), s.sums.m
	s.q = q
	s.schur = append([]float64{}, s.sums.xx...)
	if q == 0 {
		return 0, nil
	}
	log, err := lay.factorize(s.sums.zz, s.scale, s.o.Workers)
	if err != nil {
		return 0, err
	}
	s.v = s.sums.zx
	for i := range q {
		ti := s.scale[i]
		for j := range m {
			s.v[i*m+j] *= ti
		}
	}
	lay.solveT(s.sums.zz, s.v, m, s.o.Workers)
	for i := range q {
		row := s.v[i*m : (i+1)*m]
		for x, vx := range row {
			if vx == 0 {
				continue
			}
			for y := range x + 1 {
				s.schur[x*m+y] -= vx * row[y]
			}
		}
	}
	return log, nil
}

// coefficients solves for beta by the Cholesky of the remaining block. The last row
// belongs to d: the pivot left there is d'V^-1 d less what X explains, the residual
// sum of squares, so that no residual has to be formed. A pivot that keeps less than
// aliasPivot of its column says that the columns before it explain it, which
// covariates.choose should have seen: then the error names the column.
func (s *solution) coefficients() error {
	m := s.sums.m
	p := m - 1
	s.lx = append([]float64{}, s.schur...)
	l := s.lx
	for k := range m {
		for j := range k + 1 {
			sum := l[k*m+j]
			for i := range j {
				sum -= l[k*m+i] * l[j*m+i]
			}
			if j < k {
				l[k*m+j] = sum / l[j*m+j]
				continue
			}
			if k == p {
				s.rss = sum
				break
			}
			if !(sum > aliasPivot*s.sums.xx[k*m+k]) {
				return fmt.Errorf("column %q cannot be told apart from the others on these differences: %w", s.f.cols[s.f.used[k]].Name, ErrPivot)
			}
			l[k*m+k] = math.Sqrt(sum)
		}
	}
	s.beta = make([]float64, p)
	for k := p - 1; k >= 0; k-- {
		sum := l[p*m+k]
		for j := k + 1; j < p; j++ {
			sum -= l[j*m+k] * s.beta[j]
		}
		s.beta[k] = sum / l[k*m+k]
	}
	s.dof = float64(s.sums.n + s.priors - p)
	return nil
}

// hold takes beta as given: d - X beta is the only column left, and
//
//	rss = d'V^-1 d - 2 beta'X'V^-1 d + beta'X'V^-1 X beta
//
// from the same Schur complement. No degree of freedom goes to coefficients.
func (s *solution) hold(beta []float64) {
	m := s.sums.m
	p := m - 1
	s.beta = append([]float64{}, beta...)
	s.rss = s.schur[p*m+p]
	for i, bi := range beta {
		s.rss -= 2 * bi * s.schur[p*m+i]
		for j, bj := range beta {
			s.rss += bi * bj * s.schur[max(i, j)*m+min(i, j)]
		}
	}
	s.rss = math.Max(s.rss, 0)
	s.dof = float64(s.sums.n)
}

// biases solves U u = v_d - v_x beta.
func (s *solution) biases() {
	q, m := s.q, s.sums.m
	s.u = make([]float64, q)
	if q == 0 {
		return
	}
	for i := range q {
		s.u[i] = s.v[i*m+m-1]
		for k, b := range s.beta {
			s.u[i] -= s.v[i*m+k] * b
		}
	}
	s.f.layout.solve(s.sums.zz, s.u, 1, 1)
}

// betaCov returns (X'V^-1X)^-1 = L^-1' L^-1, p by p, without sigma^2. It is the
// covariance with the ratios taken as known; what their own error adds is in the
// degrees of freedom of an interval, not here.
func (s *solution) betaCov() []float64 {
	m := s.sums.m
	p := m - 1
	cov := make([]float64, p*p)
	inv := make([]float64, p*p) // L^-1
	for j := range p {
		inv[j*p+j] = 1 / s.lx[j*m+j]
		for i := j + 1; i < p; i++ {
			sum := 0.0
			for k := j; k < i; k++ {
				sum += s.lx[i*m+k] * inv[k*p+j]
			}
			inv[i*p+j] = -sum / s.lx[i*m+i]
		}
	}
	for i := range p {
		for j := range p {
			for k := max(i, j); k < p; k++ {
				cov[i*p+j] += inv[k*p+i] * inv[k*p+j]
			}
		}
	}
	return cov
}

// coefCov is the covariance of the coefficients: the solution's own, or that of
// the fit it holds.
func (s *solution) coefCov() []float64 {
	if s.o.Hold != nil {
		return s.o.Hold.cov.beta
	}
	cov := s.betaCov()
	for i := range cov {
		cov[i] *= s.sigma * s.sigma
	}
	return cov
}

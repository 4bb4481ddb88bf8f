package drift

import (
	"math"
	"slices"
)

// Heavy tails of the biases: a normal prior shares out the step of an instrument
// that is far off among all others and the units, one of Student's t keeps it
// where it is. The t of four degrees of freedom is fitted by the EM of its scale
// mixture (Lange, Little and Taylor 1989, J. Amer. Statist. Assoc. 84:881, from
// memory): b ~ N(0, s^2/w), w = 5 / (4 + E(b^2)/s^2), E(b^2) = b^2 + Var(b). They
// are used where a bias stands out by stepZ: sound fleets show none as large, and
// would pay for tails with a little of everything.
const (
	tailFreedom = 4
	tailPasses  = 4
)

// biasSums are the sums that a factorization overwrites.
type biasSums struct{ zz, zx []float64 }

func (s *sums) biasSums() biasSums { return biasSums{slices.Clone(s.zz), slices.Clone(s.zx)} }

// withHeavyTails solves again with heavy tails where a bias stands out, and keeps the
// auxiliary residuals of before. The criterion stays that of the normal prior.
func withHeavyTails(s *solution, raw biasSums) error {
	if s.q == 0 {
		return nil
	}
	s.cov = newJoint(s, s.coefCov())
	e := newSpreads(s, s.cov)
	z, worst := e.auxiliary()
	if worst >= 0 && math.Abs(z[worst]) <= stepZ {
		worst = s.o.named(z)
	}
	if worst < 0 {
		return nil
	}
	crit := s.crit
	if err := e.reweigh(raw, worst); err != nil {
		return err
	}
	s.crit, s.z, s.cov = crit, z, e.cov
	return nil
}

// reweigh makes the passes of the EM, with the prior as the analyzers other than that
// of the worst column show it.
func (e *spreads) reweigh(raw biasSums, worst int) error {
	s := e.solution
	constant, period := e.without(s.f.ownerOf(worst))
	for range tailPasses {
		for a := range s.scale {
			prior := constant
			if a >= s.f.in.Analyzers {
				prior = period
			}
			if prior == 0 {
				continue
			}
			b := s.scale[a] * s.u[a]
			w := (tailFreedom + 1) / (tailFreedom + (b*b+e.cov.at(a, a))/prior)
			s.scale[a] = math.Sqrt(prior/w) / e.noise
		}
		copy(s.sums.zz, raw.zz)
		s.sums.zx = append(s.sums.zx[:0], raw.zx...)
		if err := s.finish(); err != nil {
			return err
		}
		s.biases()
		e.cov = newJoint(s, s.coefCov())
	}
	return nil
}

// spreads are E(b^2) of the biases that readings show, by analyzer: at the optimum
// of the criterion their mean is the variance of the prior, which one instrument far
// off inflates until nothing stands out beside it.
type spreads struct {
	*solution
	cov              *joint
	noise            float64
	prior            [2]float64 // variances of the constant part and that of the period
	floor            [2]float64 // those of the fixed ratios
	sum              [2]float64
	n                [2]float64
	ofAnalyzer, ofNo [2][]float64 // sums and counts by analyzer
}

// spreadWeight is how many biases of the fixed ratios' spread stand beside those
// of a fleet: four analyzers alone tell little of how analyzers spread.
const spreadWeight = 5

func newSpreads(s *solution, cov *joint) *spreads {
	f := s.f
	e := &spreads{
		solution: s, cov: cov, noise: s.sigma,
		prior: [2]float64{square(s.th.B1 * s.sigma), square(s.th.B2 * s.sigma)},
		floor: [2]float64{square(FixedRatios.B1 * s.sigma), square(FixedRatios.B2 * s.sigma)},
	}
	for k := range e.ofAnalyzer {
		e.ofAnalyzer[k], e.ofNo[k] = make([]float64, f.in.Analyzers), make([]float64, f.in.Analyzers)
	}
	for a := range s.scale {
		owner, k := f.ownerOf(a), 0
		if a >= f.in.Analyzers {
			k = 1
		}
		if owner < 0 || f.layout.of[a] < 0 || e.prior[k] == 0 {
			continue
		}
		v := square(s.scale[a]*s.u[a]) + cov.at(a, a)
		e.sum[k], e.n[k] = e.sum[k]+v, e.n[k]+1
		e.ofAnalyzer[k][owner] += v
		e.ofNo[k][owner]++
	}
	return e
}

func square(x float64) float64 { return x * x }

// without are the prior variances of both parts as the other analyzers show them,
// at most those of the fit.
func (e *spreads) without(analyzer int) (constant, period float64) {
	var out [2]float64
	for k := range out {
		others := (e.sum[k] - e.ofAnalyzer[k][analyzer] + spreadWeight*e.floor[k]) / (e.n[k] - e.ofNo[k][analyzer] + spreadWeight)
		out[k] = math.Min(e.prior[k], others)
	}
	return out[0], out[1]
}

// auxiliary returns the auxiliary residual of each calibration period's bias b = b1 +
// b2, and of each analyzer without periods, and the column of the largest; -1
// without one. With s^2 the prior and v the posterior variance of b,
//
//	z = b / sqrt(s^2 - v) = b' / sqrt(s^2 + v'),  b' = b s^2/(s^2 - v),  v' = v s^2/(s^2 - v)
//
// (Harvey and Koopman 1992, J. Bus. Econ. Statist. 10:377, from memory); b' and v'
// are estimate and variance without a prior on it. s^2 + v' is taken with the prior
// the other analyzers show. 0 where fewer than stepLinks differences tell of it, or next to nothing.
func (e *spreads) auxiliary() (z []float64, worst int) {
	f := e.f
	z, worst = make([]float64, e.q), -1
	residual := func(at, analyzer int, cols ...int) {
		if f.met[at] < stepLinks {
			return
		}
		b, prior, posterior := 0.0, 0.0, 0.0
		for _, a := range cols {
			b, prior = b+e.scale[a]*e.u[a], prior+square(e.scale[a]*e.sigma)
			for _, c := range cols {
				posterior += e.cov.at(a, c)
			}
		}
		left := prior - posterior
		if !(left > leastInformation*prior) {
			return
		}
		constant, period := e.without(analyzer)
		others := constant
		if len(cols) > 1 {
			others += period
		}
		z[at] = b * prior / left / math.Sqrt(others+posterior*prior/left)
		if worst < 0 || math.Abs(z[at]) > math.Abs(z[worst]) {
			worst = at
		}
	}
	alone := make([]bool, f.in.Analyzers)
	for a := range alone {
		alone[a] = true
	}
	for p, a := range f.owner {
		if a >= 0 {
			alone[a] = false
			residual(f.in.Analyzers+p, int(a), int(a), f.in.Analyzers+p)
		}
	}
	for a, is := range alone {
		if is {
			residual(a, a, a)
		}
	}
	return z, worst
}

// leastInformation is the share of a bias's prior variance that the readings must
// take away before its residual means anything.
const leastInformation = 0.01

package drift

import (
	"context"

	"gonum.org/v1/gonum/mat"
)

// The slope of the criterion and its average information, in the ratios of variances
// phi_k = theta_k^2, of which V is a linear function. With V_k = dV/dphi_k,
//
//	P0 = V^-1 - V^-1 X (X'V^-1 X)^-1 X'V^-1,   e = P0 d,   f_k = V_k e,
//
// the criterion with sigma profiled out has the slope (Patterson and Thompson 1971,
// Biometrika 58:545, from memory)
//
//	g_k = tr(P0 V_k) - e'V_k e / sigma^2
//
// and, as the mean of its observed and its expected curvature, where the traces cancel
// (Gilmour, Thompson and Cullis 1995, Biometrics 51:1440, from memory),
//
//	H_kl = f_k'P0 f_l / sigma^2 - (e'V_k e)(e'V_l e) / (sigma^4 (n - p)),
//
// the last term being what sigma takes with it. Neither needs more than one pass over
// the units beside the evaluation itself:
//
//   - V_k is h on the diagonal for wandering, h h' for the slope of a unit, Z_k Z_k' for
//     a part of the biases, and one column more for each reading of an unknown analyzer;
//   - e of a unit is P_u (d - X beta - Z b), Z'P0 d is u/T by the mixed-model equations;
//   - tr(P0 V_k) of a unit's part is tr(P_u V_k) less the trace of W'P_u V_k P_u W with
//     the posterior covariance of the coefficients and biases that W = [X Z] of the unit
//     has; that of the biases, Z'P0 Z = T^-1 (I - U) T^-1 with U the posterior covariance
//     of u, is told by its diagonal;
//   - f_k is taken for d in the mixed-model equations, whose factor stands.

// scoring is one slope on the way.
type scoring struct {
	*solution
	free  []int
	fit   *Fit
	cov   *joint    // of biases and coefficients, over sigma^2
	shown []float64 // Z'P0 d of each bias
}

// score returns the slope of the criterion in the free variance ratios and its average
// information, rows of len(free). None of them may be zero. The solution must be the
// last one of its space.
func (s *solution) score(ctx context.Context, free []int) (slope []float64, information *mat.SymDense, err error) {
	s.biases()
	c := &scoring{solution: s, free: free, fit: roughFit(s), shown: make([]float64, s.q)}
	p := s.sums.m - 1
	cov := make([]float64, p*p)
	if s.o.Hold == nil {
		cov = s.betaCov()
	}
	c.cov = newJoint(s, cov)
	c.cov.sigma = 1
	for a, u := range s.u {
		if s.scale[a] > 0 {
			c.shown[a] = u / s.scale[a]
		}
	}
	total, err := c.collect(ctx)
	if err != nil {
		return nil, nil, err
	}
	c.certificates(total)
	c.traces(total)
	slope, information = c.gather(total)
	return slope, information, nil
}

// collect sums what the units tell.
func (c *scoring) collect(ctx context.Context) (*scoreSums, error) {
	n, p := len(c.free), c.sums.m-1
	units := c.f.units()
	total := newScoreSums(n, p)
	total.zf = make([]float64, c.q*n)
	parts := parts(units)
	orderedReduce(parts, c.o.Workers, func() (work func(int), add func()) {
		d := newScoreDesk(c)
		work = func(shard int) {
			d.reset()
			for u := shard * units / parts; u < (shard+1)*units/parts && ctx.Err() == nil; u++ {
				d.unit(u)
			}
		}
		return work, func() { d.addTo(total) }
	})
	return total, ctx.Err()
}

// certificates adds what they observe of the biases' parts.
func (c *scoring) certificates(total *scoreSums) {
	n, unit := len(c.free), c.o.unit()
	f := make([]float64, n)
	c.f.certificates.each(func(_ int, one *Certificate) {
		w := unit / one.SD * unit / one.SD
		cols := one.columns(c.f.in.Analyzers)
		for i, k := range c.free {
			if f[i] = 0; k >= 2 && k-2 < len(cols) {
				f[i] = c.shown[cols[k-2]]
			}
		}
		x := c.f.instrumentEntries(one.Level, nil)
		for i, fi := range f {
			for j, fj := range f {
				total.ff[i*n+j] += w * fi * fj
			}
			for _, e := range x {
				total.xf[e.at*n+i] += w * e.value * fi
			}
			for _, a := range cols {
				total.zf[int(a)*n+i] += w * fi
			}
		}
	})
}

// traces adds what the biases themselves tell of their spreads.
func (c *scoring) traces(total *scoreSums) {
	for i, k := range c.free {
		if k < 2 {
			continue
		}
		for a := range c.scale {
			if t2 := square(c.scale[a]); (a >= c.f.in.Analyzers) == (k == 3) && c.f.layout.of[a] >= 0 && t2 > 0 {
				total.trace[i] += (1 - c.cov.at(a, a)/t2) / t2
				total.square[i] += square(c.shown[a])
			}
		}
	}
}

// gather takes biases and coefficients out of the products of the f_k, and sigma.
func (c *scoring) gather(total *scoreSums) (slope []float64, information *mat.SymDense) {
	n, m := len(c.free), c.sums.m
	p := m - 1
	v := total.zf
	for a, t := range c.scale {
		for i := range n {
			v[a*n+i] *= t
		}
	}
	if c.q > 0 {
		c.f.layout.solveT(c.sums.zz, v, n, c.o.Workers)
	}
	for a := range c.q {
		row := v[a*n : (a+1)*n]
		for i, vi := range row {
			for j, vj := range row {
				total.ff[i*n+j] -= vi * vj
			}
			for x, vx := range c.v[a*m : a*m+p] {
				total.xf[x*n+i] -= vx * vi
			}
		}
	}
	s2 := c.sigma * c.sigma
	slope, information = make([]float64, n), mat.NewSymDense(n, nil)
	for i := range n {
		slope[i] = total.trace[i] - total.square[i]/s2
		for j := range i + 1 {
			sum := total.ff[i*n+j]
			for x := range p {
				for y := range p {
					sum -= total.xf[x*n+i] * c.cov.beta[x*p+y] * total.xf[y*n+j]
				}
			}
			information.SetSym(i, j, sum/s2-total.square[i]*total.square[j]/(s2*s2*c.dof))
		}
	}
	return slope, information
}

// scoreSums are the sums over units: of each free part the trace of P0 V_k and e'V_k e,
// and the products of the f_k with each other, the coefficients' columns and the biases'.
type scoreSums struct {
	trace, square, ff, xf []float64
	zf                    []float64 // of the whole
	zfs                   entries   // of a part
}

func newScoreSums(n, p int) *scoreSums {
	return &scoreSums{trace: make([]float64, n), square: make([]float64, n), ff: make([]float64, n*n), xf: make([]float64, p*n)}
}

func (s *scoreSums) reset() {
	clear(s.trace)
	clear(s.square)
	clear(s.ff)
	clear(s.xf)
	s.zfs.reset()
}

func (s *scoreSums) addTo(to *scoreSums) {
	addTo(to.trace, s.trace)
	addTo(to.square, s.square)
	addTo(to.ff, s.ff)
	addTo(to.xf, s.xf)
	s.zfs.addTo(to.zf)
}

package drift

import "math"

// Draws are joint draws of all coefficients and biases of a fit: what the units
// have in common and err in together.
type Draws struct {
	n    int
	size int
	off  []float64 // size a draw: departure from the estimate, biases first
}

// Draws makes n joint draws from standard normal numbers.
func (fit *Fit) Draws(n int, normal func() float64) *Draws {
	size := len(fit.b) + len(fit.beta)
	d := &Draws{n: n, size: size, off: make([]float64, n*size)}
	l := semiFactor(fit.cov, size)
	z := make([]float64, size)
	for s := range n {
		for k := range z {
			z[k] = normal()
		}
		row := d.off[s*size : (s+1)*size]
		for i := range row {
			for j, zj := range z[:i+1] {
				row[i] += l[i*size+j] * zj
			}
		}
	}
	return d
}

// semiFactor is a Cholesky factor of a covariance in which some directions may
// have no variance: a bias with a prior of 0, a coefficient that is held.
func semiFactor(c []float64, n int) []float64 {
	l := make([]float64, n*n)
	for j := range n {
		row := l[j*n : j*n+j]
		left := c[j*n+j]
		for _, x := range row {
			left -= x * x
		}
		if !(left > 1e-12*c[j*n+j]) {
			continue
		}
		l[j*n+j] = math.Sqrt(left)
		for i := j + 1; i < n; i++ {
			sum := c[i*n+j]
			for k, x := range row {
				sum -= l[i*n+k] * x
			}
			l[i*n+j] = sum / l[j*n+j]
		}
	}
	return l
}

// Draw draws the unit's true deviation on a day once for each joint draw, into
// out: the common part moves with it, the unit's own part and the choice of what
// the record leaves open come from normal.
func (o *Outlook) Draw(point *Point, d *Draws, normal func() float64, out []float64) {
	type state struct {
		weight, mean, sd float64
		at               []int
		g                []float64
	}
	q := len(o.p.fit.b)
	states := make([]state, 0, len(o.parts))
	for i := range o.parts {
		b := &o.parts[i]
		one := o.p.state(o.Unit, b, point)
		s := state{weight: b.weight, mean: one.mean, g: append([]float64{}, o.p.g...)}
		s.sd = math.Sqrt(math.Max(0, one.variance-quadratic(b.cov, s.g)))
		for k := range s.g {
			at := q + k
			if k >= len(o.p.fit.beta) {
				at = int(b.cols[k-len(o.p.fit.beta)])
			}
			s.at = append(s.at, at)
		}
		states = append(states, s)
	}
	for k := range out {
		if len(states) == 0 || k >= d.n {
			out[k] = math.NaN()
			continue
		}
		luck, pick := phi(normal()), 0
		for pick+1 < len(states) && luck >= states[pick].weight {
			luck -= states[pick].weight
			pick++
		}
		s := &states[pick]
		y := s.mean + s.sd*normal()
		for i, at := range s.at {
			y += s.g[i] * d.off[k*d.size+at]
		}
		out[k] = y
	}
}

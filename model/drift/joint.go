package drift

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/gonum"
)

// joint is the covariance of (b, beta scaled), sigma^2 in it, kept as its parts:
// a square of so many biases would hold gigabytes for a large fleet.
//
//	Cov(b) = T (sigma^2 A^-1 + W Cov(beta) W') T,  Cov(b, beta) = -T W Cov(beta),  W = A^-1 T Z'P X
//
// The block inverse of Henderson's coefficient matrix, its Schur complement being
// Cov(beta)^-1: the first term is what is not known of a bias with the coefficients
// given, the second what the coefficients' own error moves it by.
type joint struct {
	p, q   int
	sigma  float64
	lay    *layout
	scale  []float64 // T
	factor []float64 // U of U'U = A, in the blocks of the layout
	inv    []float64 // A^-1 in the same blocks, upper triangles; U^-1 until it is whole
	whole  bool
	w, wc  []float64 // W and W Cov(beta), q by p
	beta   []float64 // Cov(beta), p by p
}

// known is the covariance of coefficients alone, the biases being 0 for sure.
func known(beta []float64, p, q int) *joint {
	return &joint{
		p: p, q: q, whole: true, beta: beta, scale: make([]float64, q), lay: &layout{of: make([]int32, q)},
		w: make([]float64, q*p), wc: make([]float64, q*p),
	}
}

// newJoint is the covariance of a solution, given that of beta. Until it is completed single
// elements are dear: half of the work is left undone for those who ask for few.
func newJoint(s *solution, beta []float64) *joint {
	q, m := s.q, s.sums.m
	p := m - 1
	c := &joint{
		p: p, q: q, sigma: s.sigma, lay: &s.f.layout, beta: beta, factor: s.sums.zz,
		scale: make([]float64, q), w: make([]float64, q*p), wc: make([]float64, q*p),
	}
	if q == 0 {
		return c
	}
	c.inv = c.lay.halfInverse(s.sums.zz)
	v := append([]float64{}, s.v...)
	c.lay.solve(blas.NoTrans, s.sums.zz, v, m, 1)
	for i := range q {
		c.scale[i] = s.scale[i]
		w, wc := c.w[i*p:(i+1)*p], c.wc[i*p:(i+1)*p]
		copy(w, v[i*m:])
		for k, wk := range w {
			for j, b := range beta[k*p : (k+1)*p] {
				wc[j] += wk * b
			}
		}
	}
	return c
}

// at is one element; i and j count the biases first, then the coefficients.
func (c *joint) at(i, j int) float64 {
	if i > j {
		i, j = j, i
	}
	switch {
	case i >= c.q:
		return c.beta[(i-c.q)*c.p+j-c.q]
	case j >= c.q:
		return -c.scale[i] * c.wc[i*c.p+j-c.q]
	}
	t := c.scale[i] * c.scale[j]
	if t == 0 {
		return 0
	}
	sum := 0.0
	switch block := c.lay.of[i]; {
	case block < 0 && i == j:
		sum = c.sigma * c.sigma
	case block >= 0 && block == c.lay.of[j]:
		sum = c.sigma * c.sigma * c.inverse(int32(i), int32(j))
	}
	w := c.w[j*c.p : (j+1)*c.p]
	for k, x := range c.wc[i*c.p : (i+1)*c.p] {
		sum += x * w[k]
	}
	return t * sum
}

// inverse is one element of A^-1, both columns of one block.
func (c *joint) inverse(i, j int32) float64 {
	if c.whole {
		return c.inv[c.lay.at(i, j)]
	}
	blk := &c.lay.blocks[c.lay.of[i]]
	n, x, y := len(blk.cols), int(c.lay.place[i]), int(c.lay.place[j])
	from := max(x, y)
	row := func(k int) blas64.Vector { return blas64.Vector{N: n - from, Data: c.inv[blk.off+k*n+from:], Inc: 1} }
	return blas64.Dot(row(x), row(y))
}

// complete makes the inverse whole, A^-1 = U^-1 U^-T.
func (c *joint) complete() *joint {
	if !c.whole && c.q > 0 {
		for b := range c.lay.blocks {
			blk := &c.lay.blocks[b]
			n := len(blk.cols)
			gonum.Implementation{}.Dlauum(blas.Upper, n, c.inv[blk.off:blk.off+n*n], n)
		}
	}
	c.whole = true
	return c
}

// local is the covariance of the coefficients and of some biases, in this order.
func (c *joint) local(cols []int32) []float64 {
	p, m := c.p, c.p+len(cols)
	out := make([]float64, m*m)
	for i := range p {
		copy(out[i*m:i*m+p], c.beta[i*p:])
	}
	for a, i := range cols {
		ti := c.scale[i]
		if ti == 0 {
			continue
		}
		wc, row := c.wc[int(i)*p:][:p], out[(p+a)*m:][:m]
		for k, x := range wc {
			row[k] = -ti * x
			out[k*m+p+a] = row[k]
		}
		block := c.lay.of[i]
		for b, j := range cols[:a+1] {
			sum := 0.0
			switch {
			case block < 0 && i == j:
				sum = c.sigma * c.sigma
			case block >= 0 && block == c.lay.of[j] && c.scale[j] != 0:
				sum = c.sigma * c.sigma * c.inv[c.lay.at(i, j)]
			}
			for k, x := range c.w[int(j)*p:][:p] {
				sum += wc[k] * x
			}
			row[p+b] = ti * c.scale[j] * sum
			out[(p+b)*m+p+a] = row[p+b]
		}
	}
	return out
}

// draws makes n joint draws of departures from the estimate: beta by the factor of its
// covariance, then each bias given beta, b = T (sigma U^-1 z - W beta) with z standard
// normal, whose covariance is the one above. It makes a row of n numbers
// for each bias, then for each coefficient. Normal is asked draw by draw.
func (c *joint) draws(n int, normal func() float64) []float64 {
	out := make([]float64, (c.q+c.p)*n)
	for s := range n {
		for k := range c.q + c.p {
			out[k*n+s] = normal()
		}
	}
	beta := out[c.q*n:]
	l := semiFactor(c.beta, c.p)
	for k := c.p - 1; k >= 0; k-- {
		row := beta[k*n : (k+1)*n]
		for s := range row {
			row[s] *= l[k*c.p+k]
		}
		for j := range k {
			axpy(row, l[k*c.p+j], beta[j*n:(j+1)*n])
		}
	}
	c.lay.solve(blas.NoTrans, c.factor, out[:c.q*n], n, 1)
	for a := range c.q {
		row := out[a*n : (a+1)*n]
		for s := range row {
			row[s] *= c.sigma
		}
		for k, w := range c.w[a*c.p : (a+1)*c.p] {
			axpy(row, -w, beta[k*n:(k+1)*n])
		}
		for s := range row {
			row[s] *= c.scale[a]
		}
	}
	return out
}

func axpy(dst []float64, a float64, x []float64) {
	if a != 0 {
		blas64.Axpy(a, blas64.Vector{N: len(x), Data: x, Inc: 1}, blas64.Vector{N: len(dst), Data: dst, Inc: 1})
	}
}

// A pivot below 1e-12 of its diagonal is taken for rounding and its column left at 0,
// which is the factor of a distribution that does not move in that direction.

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

package drift

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
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
	inv    []float64 // A^-1 where the factor has numbers
	w, wc  []float64 // W and W Cov(beta), q by p
	beta   []float64 // Cov(beta), p by p
}

// known is the covariance of coefficients alone, the biases being 0 for sure.
func known(beta []float64, p, q int) *joint {
	return &joint{
		p: p, q: q, beta: beta, scale: make([]float64, q), lay: &layout{of: make([]int32, q)},
		w: make([]float64, q*p), wc: make([]float64, q*p),
	}
}

// newJoint is the covariance of a solution, given that of beta.
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
	c.inv = c.lay.inverse(s.sums.zz, s.o.Workers)
	v := append([]float64{}, s.v...)
	c.lay.solve(s.sums.zz, v, m, s.o.Workers)
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
	if at := c.lay.at(i, j); at >= 0 {
		return c.inv[at]
	}
	return c.lay.column(c.factor, i)[c.lay.place[j]]
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
		var solved []float64 // the column of A^-1, where somebody asks for more of it than is kept
		for b, j := range cols[:a+1] {
			sum := 0.0
			switch {
			case block < 0 && i == j:
				sum = c.sigma * c.sigma
			case block >= 0 && block == c.lay.of[j] && c.scale[j] != 0:
				at := c.lay.at(i, j)
				if at >= 0 {
					sum = c.sigma * c.sigma * c.inv[at]
					break
				}
				if solved == nil {
					solved = c.lay.column(c.factor, i)
				}
				sum = c.sigma * c.sigma * solved[c.lay.place[j]]
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
	c.spread(out[:c.q*n], n)
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

// plainColumns is the largest block that draws factor in the order of its columns. The
// order of elimination changes with a reading removed, and every draw with it: ranges of
// ranks would flicker from night to night.
const plainColumns = 2048

// spread replaces rows of n standard normal numbers by U^-1 of them.
func (c *joint) spread(y []float64, n int) {
	for b := range c.lay.blocks {
		blk := &c.lay.blocks[b]
		if len(blk.cols) > plainColumns {
			blk.solve(c.factor, y, n)
			continue
		}
		cols, a := blk.plain(c.factor)
		k := len(cols)
		lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: k, Stride: k, Data: a})
		room := make([]float64, k*n)
		for i, col := range cols {
			copy(room[i*n:(i+1)*n], y[int(col)*n:])
		}
		blas64.Trsm(blas.Left, blas.NoTrans, 1, blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: k, Stride: k, Data: a},
			blas64.General{Rows: k, Cols: n, Stride: n, Data: room})
		for i, col := range cols {
			copy(y[int(col)*n:(int(col)+1)*n], room[i*n:])
		}
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

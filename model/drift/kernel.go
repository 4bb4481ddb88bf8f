package drift

import (
	"math"
)

// Theta is the ratios of the model's standard deviations to that of the noise:
// Q of a year's Brownian wandering (sqrt q), Tau of the unit slopes, B1 of the
// constant analyzer biases, B2 of those by calibration period. Signs do not
// matter.
type Theta struct{ Q, Tau, B1, B2 float64 }

// A unit's part of the fleet matrix. With w the variance multiples of its readings, the
// covariance of its differences over sigma^2 is R + tau^2 h h' where R is tridiagonal:
// neighbours share a reading, readings two apart share nothing. R = L L' with L
// bidiagonal, so that R^-1 C needs one pass forwards over the columns and no matrix is
// ever formed (the innovations form of the same model; Ansley, Biometrika 66:59, 1979,
// from memory). The slope's rank-one part is taken out afterwards by the formula of
// Sherman and Morrison (absorb).

// kernel holds one unit's columns C = [X | d | h | Z] after the forward pass of
// its tridiagonal R, and their Gram matrix. X are the coefficients whose
// covariates change in the unit. It is reused from unit to unit.
type kernel struct {
	f     *Fleet
	th    Theta
	place []int32 // of a covariate among the coefficients, -1 where it has none
	p     int     // columns of X
	c     int     // columns in use
	xs    []int32 // coefficients of X, in order
	from  []int32 // and their places in a row of the unit
	cols  []int32 // global analyzer columns of Z; of the fleet's rows: not to be changed
	rows  []differenceRow
	x     []float64 // covariates of the rows
	diffs []diff
	row   []float64
	prev  []float64
	g     []float64 // lower triangle, c by c
	logR  float64   // log|R| less that of det
	det   float64   // the rest of |R|: one logarithm a unit, not one a pivot
	keep  bool      // the rows of a pass, in kept
	kept  []float64
}

// diff is one difference: its readings, its time, the diagonal of R and the
// element to its left.
type diff struct {
	i, j         int32
	h, diag, off float64
}

func newKernel(f *Fleet, th Theta) *kernel {
	k := &kernel{}
	k.set(f, th)
	return k
}

// set makes the kernel one of a fleet and of ratios.
func (k *kernel) set(f *Fleet, th Theta) {
	k.f, k.th = f, th
	k.place = k.place[:0]
	for range f.stride {
		k.place = append(k.place, -1)
	}
	for i, col := range f.used {
		k.place[col] = int32(i)
	}
}

// gather lists the unit's differences and the columns that change in it.
func (k *kernel) gather(u int) {
	t := k.f.rows
	k.rows = t.diffs[t.first[u]:t.first[u+1]]
	k.cols = t.zcols[t.zfirst[u]:t.zfirst[u+1]]
	xs := t.xcols[t.xfirst[u]:t.xfirst[u+1]]
	k.x = t.x[t.xat[u]:][:len(k.rows)*len(xs)]
	k.xs, k.from = k.xs[:0], k.from[:0]
	for i, col := range xs {
		if at := k.place[col]; at >= 0 {
			k.xs, k.from = append(k.xs, at), append(k.from, int32(i))
		}
	}
	k.p = len(k.xs)
	// An unknown analyzer is a bias seen once: noise.
	q2, b1, b2 := k.th.Q*k.th.Q, k.th.B1*k.th.B1, k.th.B2*k.th.B2
	k.diffs = k.diffs[:0]
	for i := range k.rows {
		d := &k.rows[i]
		wi := d.wi + float64(d.blind[0])*b1 + float64(d.blind[1])*b2
		wj := d.wj + float64(d.blind[2])*b1 + float64(d.blind[3])*b2
		one := diff{i: d.i, j: d.j, h: d.h, diag: wi + wj + q2*d.h}
		if d.linked {
			one.off = -wi
		}
		k.diffs = append(k.diffs, one)
	}
}

// size makes room for c columns and clears the Gram matrix.
func (k *kernel) size(c int) {
	k.c = c
	if cap(k.row) < c {
		k.row, k.prev, k.g = make([]float64, c, 2*c), make([]float64, c, 2*c), make([]float64, c*c, 4*c*c)
	}
	k.row, k.prev, k.g = k.row[:c], k.prev[:c], k.g[:c*c]
	clear(k.g)
}

// unit runs the forward pass of a unit and fills the Gram matrix G = C'R^-1 C
// and |R|. Extra columns are set by the caller through fill. It reports
// whether every pivot was positive.
func (k *kernel) unit(u int) bool {
	k.gather(u)
	return k.pass(0, nil)
}

// pass is the forward substitution of R = L L' on the columns, extra of them at
// the end filled by the caller: row k of L^-1 C is
//
//	(C_k - sub row_(k-1)) / l_k,   sub = R[k,k-1]/l_(k-1),  l_k^2 = R[k,k] - sub^2
//
// and the Gram matrix of these rows is C'R^-1 C. R is positive definite while every
// reading has noise; a pivot that is not positive means weights of 0 on both sides.
func (k *kernel) pass(extra int, fill func(at int, row []float64)) bool {
	k.size(k.p + 2 + len(k.cols) + extra)
	product, last := 1.0, 1.0
	k.logR = 0
	k.kept = k.kept[:0]
	for at := range k.diffs {
		d := &k.diffs[at]
		sub := d.off / last
		pivot := d.diag - sub*sub
		if !(pivot > 0) {
			return false
		}
		last = math.Sqrt(pivot)
		k.row, k.prev = k.prev, k.row
		k.columns(at, at == 0 || d.off == 0, sub)
		if fill != nil {
			fill(at, k.row)
		}
		inv := 1 / last
		for c := range k.row {
			k.row[c] *= inv
		}
		k.gram()
		if k.keep {
			k.kept = append(k.kept, k.row...)
		}
		product *= pivot
		if product > 1e250 || product < 1e-250 {
			k.logR += math.Log(product)
			product = 1
		}
	}
	k.det = product
	return true
}

// columns writes C_k - sub row_(k-1) into row.
func (k *kernel) columns(at int, fresh bool, sub float64) {
	row, prev := k.row, k.prev
	if fresh {
		clear(row)
	} else {
		prev = prev[:len(row)]
		for c := range row {
			row[c] = -sub * prev[c]
		}
	}
	d := &k.rows[at]
	if n := len(k.x) / len(k.rows); n > 0 {
		x := k.x[at*n : (at+1)*n]
		for c, i := range k.from {
			row[c] += x[i]
		}
	}
	row[k.p] += d.y
	row[k.p+1] += d.h
	z := row[k.p+2:]
	for i, c := range d.z {
		switch {
		case c < 0:
		case i < 2:
			z[c]--
		default:
			z[c]++
		}
	}
}

// gram adds the outer product of row to the lower triangle of G.
func (k *kernel) gram() {
	row, c := k.row, k.c
	for a, ra := range row {
		if ra == 0 {
			continue
		}
		g := k.g[a*c : a*c+a+1]
		r := row[:len(g)]
		for b, rb := range r {
			g[b] += ra * rb
		}
	}
}

// Without the slope the differences of a unit would be taken as independent evidence
// of its rate; with it they count as tau allows.

// absorb turns G into C'P C by taking the slope out, P = R^-1 - c R^-1 h h'R^-1,
// and returns 1 + tau^2 h'R^-1 h. The h row of G ends as C'P h.
func (k *kernel) absorb() float64 {
	c, h := k.c, k.p+1
	tau2 := k.th.Tau * k.th.Tau
	if tau2 == 0 {
		return 1
	}
	ghh := k.g[h*c+h]
	shrink := tau2 / (1 + tau2*ghh)
	col := k.row // scratch: the h column of G
	for a := range col {
		col[a] = k.g[max(a, h)*c+min(a, h)]
	}
	for a, ga := range col {
		if ga == 0 {
			continue
		}
		s := shrink * ga
		g := k.g[a*c : a*c+a+1]
		for b := range g {
			g[b] -= s * col[b]
		}
	}
	return 1 + tau2*ghh
}

// at returns C'P C at two columns, once absorbed.
func (k *kernel) at(a, b int) float64 { return k.g[max(a, b)*k.c+min(a, b)] }

// residual returns column a times P r, r = d - X beta - Z b.
func (k *kernel) residual(a int, fit *Fit) float64 {
	sum := k.at(a, k.p)
	for c, x := range k.xs {
		sum -= k.at(a, c) * fit.beta[x]
	}
	for z, col := range k.cols {
		sum -= k.at(a, k.p+2+z) * fit.b[col]
	}
	return sum
}

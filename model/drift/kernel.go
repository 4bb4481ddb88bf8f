package drift

import (
	"math"
)

// Theta is the ratios of the model's standard deviations to that of the noise:
// Q of a year's Brownian wandering (sqrt q), Tau of the unit slopes, B1 of the
// constant analyzer biases, B2 of those by calibration period. Signs do not
// matter.
type Theta struct{ Q, Tau, B1, B2 float64 }

// kernel holds one unit's columns C = [X | d | h | Z] after the forward pass of
// its tridiagonal R, and their Gram matrix. It is reused from unit to unit.
type kernel struct {
	f     *Fleet
	th    Theta
	p     int
	c     int // columns in use
	local []int32
	cols  []int32 // global analyzer columns of the local ones
	diffs []diff
	row   []float64
	prev  []float64
	g     []float64 // lower triangle, c by c
	logR  float64   // log|R| less that of det
	det   float64   // the rest of |R|: one logarithm a unit, not one a pivot
}

// diff is one difference: its readings, its time, the diagonal of R and the
// element to its left.
type diff struct {
	i, j         int32
	h, diag, off float64
}

func newKernel(f *Fleet, th Theta) *kernel {
	k := &kernel{f: f, th: th, p: len(f.used), local: make([]int32, f.in.Analyzers+f.in.Periods)}
	for i := range k.local {
		k.local[i] = -1
	}
	return k
}

// noise is w of a reading. An unknown analyzer is a bias seen once: noise.
func (k *kernel) noise(r int) float64 {
	w := k.f.w[r]
	if k.f.an[r] < 0 {
		w += k.th.B1 * k.th.B1
	}
	if k.f.per[r] < 0 {
		w += k.th.B2 * k.th.B2
	}
	return w
}

// gather lists the unit's differences and gives each analyzer column that
// differs within one a local number.
func (k *kernel) gather(u int) {
	f := k.f
	k.diffs = k.diffs[:0]
	for _, c := range k.cols {
		k.local[c] = -1
	}
	k.cols = k.cols[:0]
	q2 := k.th.Q * k.th.Q
	prev, cut, linked := -1, false, false
	var wPrev float64
	for r := int(f.start[u]); r < int(f.start[u+1]); r++ {
		cut = cut || f.cut[r]
		if f.gone[r] {
			continue
		}
		w := k.noise(r)
		joined := prev >= 0 && !cut && f.seg[prev] == f.seg[r]
		if joined {
			h := f.t[r] - f.t[prev]
			d := diff{i: int32(prev), j: int32(r), h: h, diag: wPrev + w + q2*h}
			if linked {
				d.off = -wPrev
			}
			k.diffs = append(k.diffs, d)
			k.enlist(prev, r)
		}
		prev, wPrev, cut, linked = r, w, false, joined
	}
}

func (k *kernel) enlist(i, j int) {
	f := k.f
	if a, b := f.an[i], f.an[j]; a != b {
		k.number(a)
		k.number(b)
	}
	if a, b := f.per[i], f.per[j]; a != b {
		q := int32(f.in.Analyzers)
		if a >= 0 {
			k.number(a + q)
		}
		if b >= 0 {
			k.number(b + q)
		}
	}
}

func (k *kernel) number(col int32) {
	if col >= 0 && k.local[col] < 0 {
		k.local[col] = int32(len(k.cols))
		k.cols = append(k.cols, col)
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
// the end filled by the caller.
func (k *kernel) pass(extra int, fill func(at int, row []float64)) bool {
	k.size(k.p + 2 + len(k.cols) + extra)
	product, last := 1.0, 1.0
	k.logR = 0
	for at := range k.diffs {
		d := &k.diffs[at]
		sub := d.off / last
		pivot := d.diag - sub*sub
		if !(pivot > 0) {
			return false
		}
		last = math.Sqrt(pivot)
		k.row, k.prev = k.prev, k.row
		k.columns(d, at == 0 || d.off == 0, sub)
		if fill != nil {
			fill(at, k.row)
		}
		inv := 1 / last
		for c := range k.row {
			k.row[c] *= inv
		}
		k.gram()
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
func (k *kernel) columns(d *diff, fresh bool, sub float64) {
	row, prev, f := k.row, k.prev, k.f
	if fresh {
		clear(row)
	} else {
		prev = prev[:len(row)]
		for c := range row {
			row[c] = -sub * prev[c]
		}
	}
	xi, xj := f.f[int(d.i)*f.stride:][:f.stride], f.f[int(d.j)*f.stride:][:f.stride]
	for c, col := range f.used {
		row[c] += xj[col] - xi[col]
	}
	row[k.p] += f.y[d.j] - f.y[d.i]
	row[k.p+1] += d.h
	z := row[k.p+2:]
	if a, b := f.an[d.i], f.an[d.j]; a != b {
		if a >= 0 {
			z[k.local[a]]--
		}
		if b >= 0 {
			z[k.local[b]]++
		}
	}
	if a, b := f.per[d.i], f.per[d.j]; a != b {
		q := int32(f.in.Analyzers)
		if a >= 0 {
			z[k.local[a+q]]--
		}
		if b >= 0 {
			z[k.local[b+q]]++
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

// absorb turns G into C'P C by taking the slope out, P = R^-1 - c R^-1 h h'R^-1,
// and returns 1 + tau^2 h'R^-1 h. The h row of G ends as C'P h.
func (k *kernel) absorb() float64 {
	c, h := k.c, k.p+1
	tau2 := k.th.Tau * k.th.Tau
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

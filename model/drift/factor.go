package drift

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// The factor of the biases' matrix, rows of U in U'U = I + T Z'P Z T, each with the
// columns that elimination fills and no others (Davis 2006, Direct Methods for Sparse
// Linear Systems, chapters 3 and 4, from memory).

// factorize factors I + T Z'P Z T in place, and returns the logarithm of its
// determinant. The matrix is positive definite whatever the records hold, since a
// Gram matrix is added to the identity: biases need no pivoting, and a prior of
// spread 0 (a row and column of T at 0) leaves a 1 on the diagonal and costs nothing.
// The determinant is gathered as a product, with a logarithm only before it runs out
// of range.
func (l *layout) factorize(zz, scale []float64, workers int) (float64, error) {
	logs := make([]float64, len(l.blocks))
	ok := l.each(workers, func(b int) bool {
		blk := &l.blocks[b]
		blk.scaled(zz, scale)
		a := zz[blk.off : blk.off+len(blk.to)]
		if !blk.cholesky(a) {
			return false
		}
		product := 1.0
		for i := range blk.cols {
			if product *= a[blk.start[i]]; product > 1e250 || product < 1e-250 {
				logs[b] += 2 * math.Log(product)
				product = 1
			}
		}
		logs[b] += 2 * math.Log(product)
		return true
	})
	if !ok {
		return 0, ErrPivot
	}
	log := 0.0
	for _, x := range logs {
		log += x
	}
	return log, nil
}

// scaled makes Z'P Z into I + T Z'P Z T.
func (b *block) scaled(zz, scale []float64) {
	t := make([]float64, len(b.cols))
	for i, c := range b.cols {
		t[i] = scale[c]
	}
	for i, ti := range t {
		from, end := int(b.start[i]), int(b.start[i+1])
		row := zz[b.off+from : b.off+end]
		for k, j := range b.to[from:end] {
			row[k] *= ti * t[j]
		}
		row[0]++
	}
}

// cholesky factors row by row: from row i the rows before it are taken that hold its
// column. Each of them waits at the next column it holds.
func (b *block) cholesky(a []float64) bool {
	n := len(b.cols)
	w := make([]float64, n)
	at := make([]int32, n) // of a row that waits: where its column stands
	first, next := make([]int32, n), make([]int32, n)
	for i := range first {
		first[i] = -1
	}
	wait := func(k, p int32) {
		if p < b.start[k+1] {
			i := b.to[p]
			at[k], next[k], first[i] = p, first[i], k
		}
	}
	for i := range n {
		from, end := b.start[i], b.start[i+1]
		row, to := a[from:end], b.to[from:end]
		for k, j := range to {
			w[j] = row[k]
		}
		for k := first[i]; k >= 0; {
			p, after := at[k], next[k]
			u, to := a[p:b.start[k+1]], b.to[p:b.start[k+1]]
			x := u[0]
			if last := to[len(to)-1]; inOneRun(to) {
				axpy(w[to[0]:last+1], -x, u)
			} else {
				for t, v := range u {
					w[to[t]] -= x * v
				}
			}
			wait(k, p+1)
			k = after
		}
		if i >= b.full {
			copy(row, w[i:])
			continue
		}
		if !(w[i] > 0) {
			return false
		}
		pivot := math.Sqrt(w[i])
		row[0] = pivot
		inv := 1 / pivot
		for k, j := range to[1:] {
			row[k+1] = w[j] * inv
		}
		wait(int32(i), from+1)
	}
	square := b.square(a)
	_, ok := lapack64.Potrf(square)
	b.triangle(square, a)
	return ok
}

// square is the full triangle as the upper one of a square.
func (b *block) square(a []float64) blas64.Symmetric {
	n := len(b.cols) - b.full
	out := blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: max(1, n), Data: make([]float64, n*n)}
	for i := range n {
		copy(out.Data[i*n+i:(i+1)*n], a[b.start[b.full+i]:b.start[b.full+i+1]])
	}
	return out
}

// triangle is the way back.
func (b *block) triangle(square blas64.Symmetric, a []float64) {
	n := square.N
	for i := range n {
		copy(a[b.start[b.full+i]:b.start[b.full+i+1]], square.Data[i*n+i:(i+1)*n])
	}
}

// solveT solves U'x = y and solve solves U x = y with the factor of each block, for rows
// of m numbers, in place.
func (l *layout) solveT(factor, y []float64, m, workers int) {
	l.each(workers, func(b int) bool {
		l.blocks[b].solveT(factor, y, m)
		return true
	})
}

func (l *layout) solve(factor, y []float64, m, workers int) {
	l.each(workers, func(b int) bool {
		l.blocks[b].solve(factor, y, m)
		return true
	})
}

// solveFewT is solveT for one right-hand side that is zero in most blocks, which stay so.
func (l *layout) solveFewT(factor, y []float64) {
	for b := range l.blocks {
		if blk := &l.blocks[b]; slices.ContainsFunc(blk.cols, func(c int32) bool { return y[c] != 0 }) {
			blk.solveT(factor, y, 1)
		}
	}
}

func (b *block) solveT(factor, y []float64, m int) {
	a := factor[b.off : b.off+len(b.to)]
	for i, c := range b.cols {
		from, end := b.start[i], b.start[i+1]
		row, to := a[from:end], b.to[from:end]
		if m == 1 {
			x := y[c] / row[0]
			y[c] = x
			for k, j := range to[1:] {
				y[b.cols[j]] -= row[k+1] * x
			}
			continue
		}
		x := y[int(c)*m:][:m]
		scale(x, 1/row[0])
		for k, j := range to[1:] {
			axpy(y[int(b.cols[j])*m:][:m], -row[k+1], x)
		}
	}
}

func (b *block) solve(factor, y []float64, m int) {
	a := factor[b.off : b.off+len(b.to)]
	for i := len(b.cols) - 1; i >= 0; i-- {
		c := int(b.cols[i])
		from, end := b.start[i], b.start[i+1]
		row, to := a[from:end], b.to[from:end]
		if m == 1 {
			x := y[c]
			for k, j := range to[1:] {
				x -= row[k+1] * y[b.cols[j]]
			}
			y[c] = x / row[0]
			continue
		}
		x := y[c*m:][:m]
		for k, j := range to[1:] {
			axpy(x, -row[k+1], y[int(b.cols[j])*m:][:m])
		}
		scale(x, 1/row[0])
	}
}

func scale(x []float64, by float64) {
	for i := range x {
		x[i] *= by
	}
}

// inverse returns the numbers of (U'U)^-1 at the places that the factor holds, from the
// last row that is not full to the first (Takahashi, Fagan and Chin 1973, from memory):
//
//	S_iJ = -u_iJ S_JJ / u_ii,   S_ii = (1/u_ii - u_iJ S_Ji) / u_ii
//
// with J the columns of row i, all of which meet each other in the factor. Between
// blocks the posterior covariance comes from the coefficients alone (joint.go).
func (l *layout) inverse(factor []float64, workers int) []float64 {
	out := make([]float64, l.size)
	l.each(workers, func(b int) bool {
		blk := &l.blocks[b]
		blk.inverse(factor[blk.off:blk.off+len(blk.to)], out[blk.off:blk.off+len(blk.to)])
		return true
	})
	return out
}

func (b *block) inverse(u, s []float64) {
	n := len(b.cols)
	x, sum := make([]float64, n), make([]float64, n)
	square := b.square(u)
	lapack64.Potri(blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: square.N, Stride: square.Stride, Data: square.Data})
	b.triangle(square, s)
	for i := b.full - 1; i >= 0; i-- {
		from, end := b.start[i], b.start[i+1]
		row, to := u[from:end], b.to[from:end]
		for k, j := range to[1:] {
			x[j], sum[j] = row[k+1], 0
		}
		for _, k := range to[1:] {
			own, cols := s[b.start[k]:b.start[k+1]], b.to[b.start[k]:b.start[k+1]]
			xk, of := x[k], own[0]*x[k]
			own, cols = own[1:], cols[1:]
			if len(cols) > 0 && inOneRun(cols) {
				first, last := cols[0], cols[len(cols)-1]+1
				of += dot(own, x[first:last]) // 0 outside J
				axpy(sum[first:last], xk, own)
			} else {
				for t, v := range own {
					j := cols[t]
					of += v * x[j]
					sum[j] += v * xk
				}
			}
			sum[k] += of
		}
		inv := 1 / row[0]
		left := inv
		for k, j := range to[1:] {
			v := -sum[j] * inv
			s[int(from)+k+1] = v
			left -= row[k+1] * v
			x[j] = 0
		}
		s[from] = left * inv
	}
}

// column returns one column of (U'U)^-1 in its block, by place.
func (l *layout) column(factor []float64, col int32) []float64 {
	b := &l.blocks[l.of[col]]
	a := factor[b.off : b.off+len(b.to)]
	y := make([]float64, len(b.cols))
	y[l.place[col]] = 1
	for i := int(l.place[col]); i < len(y); i++ {
		from, end := b.start[i], b.start[i+1]
		row, to := a[from:end], b.to[from:end]
		y[i] /= row[0]
		for k, j := range to[1:] {
			y[j] -= row[k+1] * y[i]
		}
	}
	for i := len(y) - 1; i >= 0; i-- {
		from, end := b.start[i], b.start[i+1]
		row, to := a[from:end], b.to[from:end]
		for k, j := range to[1:] {
			y[i] -= row[k+1] * y[j]
		}
		y[i] /= row[0]
	}
	return y
}

// plain returns U'U of a block as a full square in the order of the columns.
func (b *block) plain(factor []float64) (sorted []int32, square []float64) {
	n := len(b.cols)
	sorted = slices.Sorted(slices.Values(b.cols))
	at := make([]int, n)
	for i, c := range b.cols {
		at[i], _ = slices.BinarySearch(sorted, c)
	}
	square = make([]float64, n*n)
	a := factor[b.off : b.off+len(b.to)]
	for i := range n {
		from, end := b.start[i], b.start[i+1]
		row, to := a[from:end], b.to[from:end]
		for k, j := range to {
			for t, o := range to[:k+1] {
				x, y := at[j], at[o]
				square[min(x, y)*n+max(x, y)] += row[k] * row[t]
			}
		}
	}
	return sorted, square
}

// inOneRun says that places follow each other without a gap: most of those that are
// taken last do, and are read as vectors.
func inOneRun(to []int32) bool { return int(to[len(to)-1]-to[0]) == len(to)-1 }

func dot(x, y []float64) float64 {
	return blas64.Dot(blas64.Vector{N: len(x), Data: x, Inc: 1}, blas64.Vector{N: len(y), Data: y, Inc: 1})
}

func axpy(dst []float64, a float64, x []float64) {
	if a != 0 {
		blas64.Axpy(a, blas64.Vector{N: len(x), Data: x, Inc: 1}, blas64.Vector{N: len(dst), Data: dst, Inc: 1})
	}
}

package drift

import (
	"math"
	"slices"
	"sync/atomic"

	"github.com/sourcegraph/conc"
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// layout parts the analyzer columns into blocks that no unit joins: the matrix of
// the biases is zero between them, and is kept and factored block by block. Crews
// that never meet make small blocks of a large one.
type layout struct {
	blocks []block
	of     []int32 // block of a column, -1 where no difference shows it
	place  []int32 // its place in the block
	size   int     // numbers in all blocks
}

// block is some columns, in order, and where its square begins.
type block struct {
	off  int
	cols []int32
}

// newLayout joins the columns that some unit's differences show, by union of sets
// with path halving: two columns are in one block if a chain of units compares them.
// Blocks are also the components of what can be known: a difference of two biases is
// estimable within a block, and between blocks nothing but the prior speaks of it.
func newLayout(f *Fleet) layout {
	q := f.in.Analyzers + f.in.Periods
	parent, compared := make([]int32, q), make([]bool, q)
	for a := range parent {
		parent[a] = int32(a)
	}
	root := func(a int32) int32 {
		for parent[a] != a {
			parent[a] = parent[parent[a]]
			a = parent[a]
		}
		return a
	}
	for u := range f.in.Series {
		first := int32(-1)
		join := func(a, b int32, offset int) {
			if a == b {
				return
			}
			for _, c := range [2]int32{a, b} {
				if c < 0 {
					continue
				}
				c += int32(offset)
				compared[c] = true
				if first < 0 {
					first = c
				}
				x, y := root(first), root(c)
				parent[max(x, y)] = min(x, y)
			}
		}
		f.eachDiff(u, func(i, j int) {
			join(f.an[i], f.an[j], 0)
			join(f.per[i], f.per[j], f.in.Analyzers)
		})
	}
	f.certificates.each(func(_ int, c *Certificate) {
		cols := c.columns(f.in.Analyzers)
		for _, a := range cols {
			compared[a] = true
			x, y := root(cols[0]), root(a)
			parent[max(x, y)] = min(x, y)
		}
	})
	l := layout{of: make([]int32, q), place: make([]int32, q)}
	at := map[int32]int32{}
	for a := range parent {
		l.of[a] = -1
		if !compared[a] {
			continue
		}
		r := root(int32(a))
		b, ok := at[r]
		if !ok {
			b = int32(len(l.blocks))
			at[r] = b
			l.blocks = append(l.blocks, block{})
		}
		l.of[a], l.place[a] = b, int32(len(l.blocks[b].cols))
		l.blocks[b].cols = append(l.blocks[b].cols, int32(a))
	}
	for b := range l.blocks {
		l.blocks[b].off = l.size
		l.size += len(l.blocks[b].cols) * len(l.blocks[b].cols)
	}
	return l
}

// at is where the product of two columns of one unit is kept, upper triangle.
func (l *layout) at(a, b int32) int {
	blk := &l.blocks[l.of[a]]
	x, y := l.place[a], l.place[b]
	return blk.off + int(min(x, y))*len(blk.cols) + int(max(x, y))
}

// each does something for every block with a number of workers, and reports
// whether it went well for all.
func (l *layout) each(workers int, do func(b int) bool) bool {
	if l.size < worthSharing {
		workers = 1
	}
	var next, failed atomic.Int32
	var all conc.WaitGroup
	for range min(max(workers, 1), len(l.blocks)) {
		all.Go(func() {
			for b := int(next.Add(1)) - 1; b < len(l.blocks); b = int(next.Add(1)) - 1 {
				if !do(b) {
					failed.Add(1)
				}
			}
		})
	}
	all.Wait()
	return failed.Load() == 0
}

// worthSharing is how many numbers in blocks are worth a second worker.
const worthSharing = 1 << 16

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
		n := len(blk.cols)
		a := zz[blk.off : blk.off+n*n]
		t := make([]float64, n)
		for i, c := range blk.cols {
			t[i] = scale[c]
		}
		for i, ti := range t {
			row := a[i*n : (i+1)*n]
			for j := i; j < n; j++ {
				row[j] *= ti * t[j]
			}
			row[i]++
		}
		_, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: n, Data: a})
		product := 1.0
		for i := range n {
			if product *= a[i*n+i]; product > 1e250 || product < 1e-250 {
				logs[b] += 2 * math.Log(product)
				product = 1
			}
		}
		logs[b] += 2 * math.Log(product)
		return ok
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

// upper is the factor of a block.
func (b *block) upper(factor []float64) blas64.Triangular {
	n := len(b.cols)
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Stride: n, Data: factor[b.off : b.off+n*n]}
}

// longRows is from how many right-hand sides on they are solved as they lie; fewer
// are turned, so that what is added up is long.
const longRows = 128

// solve solves U'x = y (blas.Trans) or U x = y with the factor of each block, for rows
// of m numbers, in place.
func (l *layout) solve(trans blas.Transpose, factor, y []float64, m, workers int) {
	l.each(workers, func(b int) bool {
		l.blocks[b].solve(trans, factor, y, m)
		return true
	})
}

// solveFew is solve for one right-hand side that is zero in most blocks, which stay so.
func (l *layout) solveFew(trans blas.Transpose, factor, y []float64) {
	for b := range l.blocks {
		if blk := &l.blocks[b]; slices.ContainsFunc(blk.cols, func(c int32) bool { return y[c] != 0 }) {
			blk.solve(trans, factor, y, 1)
		}
	}
}

// solve is that of a layout, for one of its blocks.
func (b *block) solve(trans blas.Transpose, factor, y []float64, m int) {
	n := len(b.cols)
	room := make([]float64, n*m)
	if m >= longRows {
		for i, c := range b.cols {
			copy(room[i*m:(i+1)*m], y[int(c)*m:])
		}
		blas64.Trsm(blas.Left, trans, 1, b.upper(factor), blas64.General{Rows: n, Cols: m, Stride: m, Data: room})
		for i, c := range b.cols {
			copy(y[int(c)*m:(int(c)+1)*m], room[i*m:])
		}
		return
	}
	turned := blas.NoTrans
	if trans == blas.NoTrans {
		turned = blas.Trans
	}
	for i, c := range b.cols {
		for k, v := range y[int(c)*m : (int(c)+1)*m] {
			room[k*n+i] = v
		}
	}
	blas64.Trsm(blas.Right, turned, 1, b.upper(factor), blas64.General{Rows: m, Cols: n, Stride: n, Data: room})
	for i, c := range b.cols {
		for k := range m {
			y[int(c)*m+k] = room[k*n+i]
		}
	}
}

// halfInverse returns U^-1 in the blocks, of which (I + T Z'P Z T)^-1 = U^-1 U^-T is
// made. Only what lies within blocks is ever read: between them the posterior
// covariance comes from the coefficients alone (joint.go).
func (l *layout) halfInverse(factor []float64) []float64 {
	out := slices.Clone(factor)
	for b := range l.blocks {
		lapack64.Trtri(l.blocks[b].upper(out))
	}
	return out
}

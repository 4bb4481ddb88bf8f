package drift

import (
	"math"
	"slices"

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

// newLayout joins the columns that some unit's differences show.
func (f *Fleet) newLayout() layout {
	q := f.in.Analyzers + f.in.Periods
	parent, shown := make([]int32, q), make([]bool, q)
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
				shown[c] = true
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
	l := layout{of: make([]int32, q), place: make([]int32, q)}
	at := map[int32]int32{}
	for a := range parent {
		l.of[a] = -1
		if !shown[a] {
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

// factor factors I + T Z'P Z T in place, and returns the logarithm of its
// determinant.
func (s *solution) factor(f *Fleet) (float64, error) {
	log := 0.0
	for _, blk := range f.layout.blocks {
		n := len(blk.cols)
		a := s.sums.zz[blk.off : blk.off+n*n]
		for i, ci := range blk.cols {
			ti := f.scaleOf(s.th, int(ci))
			for j := i; j < n; j++ {
				a[i*n+j] *= ti * f.scaleOf(s.th, int(blk.cols[j]))
			}
			a[i*n+i]++
		}
		if _, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: n, Data: a}); !ok {
			return 0, ErrPivot
		}
		product := 1.0
		for i := range n {
			if product *= a[i*n+i]; product > 1e250 || product < 1e-250 {
				log += 2 * math.Log(product)
				product = 1
			}
		}
		log += 2 * math.Log(product)
	}
	return log, nil
}

// upper is the factor of a block.
func (b *block) upper(factor []float64) blas64.Triangular {
	n := len(b.cols)
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Stride: n, Data: factor[b.off : b.off+n*n]}
}

// solveBiases solves U'x = y (blas.Trans) or U x = y for rows of m numbers, in
// place.
func (s *solution) solveBiases(f *Fleet, trans blas.Transpose, y []float64, m int) {
	f.layout.solve(trans, s.sums.zz, y, m)
}

// longRows is from how many right-hand sides on they are solved as they lie; fewer
// are turned, so that what is added up is long.
const longRows = 128

// solve solves with the factor of each block, a block after the other.
func (l *layout) solve(trans blas.Transpose, factor, y []float64, m int) {
	var room []float64
	for b := range l.blocks {
		blk := &l.blocks[b]
		n := len(blk.cols)
		room = zeros(room, n*m)
		if m >= longRows {
			for i, c := range blk.cols {
				copy(room[i*m:(i+1)*m], y[int(c)*m:])
			}
			blas64.Trsm(blas.Left, trans, 1, blk.upper(factor), blas64.General{Rows: n, Cols: m, Stride: m, Data: room})
			for i, c := range blk.cols {
				copy(y[int(c)*m:(int(c)+1)*m], room[i*m:])
			}
			continue
		}
		for i, c := range blk.cols {
			for k, v := range y[int(c)*m : (int(c)+1)*m] {
				room[k*n+i] = v
			}
		}
		turned := blas.NoTrans
		if trans == blas.NoTrans {
			turned = blas.Trans
		}
		blas64.Trsm(blas.Right, turned, 1, blk.upper(factor), blas64.General{Rows: m, Cols: n, Stride: n, Data: room})
		for i, c := range blk.cols {
			for k := range m {
				y[int(c)*m+k] = room[k*n+i]
			}
		}
	}
}

// inverse returns (I + T Z'P Z T)^-1 in its blocks, upper triangles.
func (s *solution) inverse(f *Fleet) []float64 {
	out := slices.Clone(s.sums.zz)
	for b := range f.layout.blocks {
		lapack64.Potri(f.layout.blocks[b].upper(out))
	}
	return out
}

package drift

import (
	"math"
	"strings"
)

// aliasPivot is the share of a column's sum of squares that must be left after
// the columns before it.
const aliasPivot = 1e-10

// Columns are factored in their order (Cholesky of their Gram matrix), so that of two
// that say the same the first stays. A column keeps its place if more than aliasPivot of
// its sum of squares is not explained by those before it; a share of 1e-10 is far above
// rounding of scaled columns and far below anything an engineer would call a difference.

// findAliased decides which columns the differences can tell apart: a column
// that never changes within a segment, or that follows from the ones before it,
// leaves the fit with its name and the reason; so does one excluded before.
func (f *Fleet) findAliased() {
	gram := f.columnGram()
	n := f.stride
	l := make([]float64, n*n)
	f.used, f.drops = nil, nil
	defer f.findWidening()
	for k := range n {
		if why, out := f.excluded(k); out {
			f.drops = append(f.drops, Dropped{f.cols[k].Name, why})
			continue
		}
		left := gram[k*n+k]
		for _, j := range f.used {
			s := gram[k*n+j]
			for _, i := range f.used {
				if i == j {
					break
				}
				s -= l[k*n+i] * l[j*n+i]
			}
			l[k*n+j] = s / l[j*n+j]
			left -= l[k*n+j] * l[k*n+j]
		}
		if gram[k*n+k] == 0 {
			f.drops = append(f.drops, Dropped{f.cols[k].Name, "it never changes within a segment"})
			continue
		}
		if left < aliasPivot*gram[k*n+k] {
			f.drops = append(f.drops, Dropped{f.cols[k].Name, "it follows from " + f.parents(l, k)})
			continue
		}
		l[k*n+k] = math.Sqrt(left)
		f.used = append(f.used, k)
	}
}

// columnGram sums the products of the scaled covariate differences.
func (f *Fleet) columnGram() []float64 {
	n := f.stride
	gram, x := make([]float64, n*n), make([]float64, n)
	for u := range f.in.Series {
		f.eachDiff(u, func(i, j int) {
			for k := range x {
				x[k] = f.f[j*n+k] - f.f[i*n+k]
			}
			for a, xa := range x {
				if xa == 0 {
					continue
				}
				for b := range a + 1 {
					gram[a*n+b] += xa * x[b]
				}
			}
		})
	}
	return gram
}

// parents names the columns in the fit that column k is a combination of: the nonzero
// entries of L'^-1 l_k, its coefficients on the columns before it.
func (f *Fleet) parents(l []float64, k int) string {
	n, m := f.stride, len(f.used)
	coef := make([]float64, m)
	for a := m - 1; a >= 0; a-- {
		i := f.used[a]
		s := l[k*n+i]
		for b := a + 1; b < m; b++ {
			s -= l[f.used[b]*n+i] * coef[b]
		}
		coef[a] = s / l[i*n+i]
	}
	var names []string
	for a, c := range coef {
		if math.Abs(c) > 1e-6 {
			names = append(names, f.cols[f.used[a]].Name)
		}
	}
	return strings.Join(names, ", ")
}

package drift

import (
	"math"
	"slices"
)

// aliasPivot is the share of a column's sum of squares that must be left after
// the columns before it.
const aliasPivot = 1e-10

// covariates are the columns of a fleet and which of them are in the fit.
type covariates struct {
	cols    []Column
	scale   []float64 // powers of two; column in f = covariate / scale
	used    []int     // columns of f in the fit, in order
	drops   []Dropped
	exclude map[int]Absence // columns kept out for another reason than aliasing
	held    map[int]Absence // columns out by their MaxSE, whatever else is excluded
	widen   []int           // columns with a MaxSE that are not in the fit
}

// Columns are factored in their order (Cholesky of their Gram matrix), so that of two
// that say the same the first stays. A column keeps its place if more than aliasPivot of
// its sum of squares is not explained by those before it; a share of 1e-10 is far above
// rounding of scaled columns and far below anything an engineer would call a difference.

// choose decides by their Gram matrix which columns the differences can tell apart: a column
// that never changes within a segment, or that follows from the ones before it,
// leaves the fit with its name and the reason; so does one excluded before.
func (c *covariates) choose(gram []float64) {
	n := len(c.cols)
	l := make([]float64, n*n)
	c.used, c.drops = nil, nil
	defer c.findWidening()
	for k := range n {
		if why, out := c.excluded(k); out {
			c.drops = append(c.drops, Dropped{c.cols[k].Name, why})
			continue
		}
		left := gram[k*n+k]
		for _, j := range c.used {
			s := gram[k*n+j]
			for _, i := range c.used {
				if i == j {
					break
				}
				s -= l[k*n+i] * l[j*n+i]
			}
			l[k*n+j] = s / l[j*n+j]
			left -= l[k*n+j] * l[k*n+j]
		}
		if gram[k*n+k] == 0 {
			c.drops = append(c.drops, Dropped{c.cols[k].Name, NeverChanges{}})
			continue
		}
		if left < aliasPivot*gram[k*n+k] {
			c.drops = append(c.drops, Dropped{c.cols[k].Name, Follows{From: c.parents(l, k)}})
			continue
		}
		l[k*n+k] = math.Sqrt(left)
		c.used = append(c.used, k)
	}
}

// parents names the columns in the fit that column k is a combination of: the nonzero
// entries of L'^-1 l_k, its coefficients on the columns before it.
func (c *covariates) parents(l []float64, k int) (names []string) {
	n, m := len(c.cols), len(c.used)
	coef := make([]float64, m)
	for a := m - 1; a >= 0; a-- {
		i := c.used[a]
		s := l[k*n+i]
		for b := a + 1; b < m; b++ {
			s -= l[c.used[b]*n+i] * coef[b]
		}
		coef[a] = s / l[i*n+i]
	}
	for a, x := range coef {
		if math.Abs(x) > 1e-6 {
			names = append(names, c.cols[c.used[a]].Name)
		}
	}
	return names
}

// excluded says whether a column is kept out of the fit, and why.
func (c *covariates) excluded(k int) (why Absence, out bool) {
	if why, out = c.held[k]; out {
		return why, out
	}
	why, out = c.exclude[k]
	return why, out
}

// findWidening lists the columns with a MaxSE that are not in the fit.
func (c *covariates) findWidening() {
	c.widen = nil
	in := make([]bool, len(c.cols))
	for _, k := range c.used {
		in[k] = true
	}
	for k, col := range c.cols {
		if _, meant := c.exclude[k]; !in[k] && col.MaxSE > 0 && col.Prior != nil && !meant {
			c.widen = append(c.widen, k)
		}
	}
}

// inseparable is what a column out of the fit does to the forecasts.
func (c *covariates) inseparable(k int) Inseparable {
	col := &c.cols[k]
	return Inseparable{Column: col.Name, Unit: col.Unit, SD: col.Prior.SD}
}

// optional reports whether a column may be left out without a note.
func (c *covariates) optional(name string) bool {
	return slices.ContainsFunc(c.cols, func(col Column) bool { return col.Name == name && col.Optional })
}

// entry is one number of a row that is zero but for a few.
type entry struct {
	at    int
	value float64
}

// instrumentEntries appends what is not zero in the instrumentRow of level.
func (c *covariates) instrumentEntries(level []float64, to []entry) []entry {
	for k, col := range c.used {
		if c.cols[col].Instrument && col < len(level) && level[col] != 0 {
			to = append(to, entry{k, level[col] / c.scale[col]})
		}
	}
	return to
}

// instrumentRow is the scaled row of the coefficients in the fit for a reading's
// level covariates of which only those of the instrument count; level nil is 0.
func (c *covariates) instrumentRow(level []float64) []float64 {
	row := make([]float64, len(c.used))
	for _, e := range c.instrumentEntries(level, nil) {
		row[e.at] = e.value
	}
	return row
}

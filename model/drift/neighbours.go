package drift

import (
	"cmp"
	"math"
	"slices"
)

// Figures of the level that neighbours share.
const (
	sharedBins   = 4   // parts of a year in which levels are compared
	sharedYears  = 1.0 // for which a shared level lasts: common practice, no source (gas is bought by the year)
	sharedCells  = 20  // fewest parts of the year of an area that tell of it
	sharedSurely = 2.5 // standard errors from which it is taken to be there
	sharedPairs  = 200 // readings on a side of a cell at most: more tell no more
	sharedClip   = 3   // robust deviations beyond which a difference counts as that much
)

// end is one end of a difference: its residual with the sign that a level above the
// usual on that day would give it.
type end struct {
	cell     [2]int // area and part of the year
	residual float64
	years    float64 // from the reading before
	starts   bool    // the difference begins here; else it ends
	unit     int
	site     int
	an       int32
}

// sharedLevel is the variance of a level that the units of an area have in common for
// about a year: another gas, a station that was set anew. The noise of readings takes
// it up, yet it is none: the state of today has it, and the state at the last reading
// had another.
//
// Let g be that level. A difference that ends in a season carries +g, one of another
// unit that begins there -g, and wandering that units share is of one year in the one
// and of another in the other, so that the mean of their products is -Var(g) where
// both are longer than a year, and less of it as alike says where they are not. Units of
// one site and readings of one analyzer are not compared: these have other things in
// common. It is 0 where it is not above 0 by sharedSurely standard errors over the
// seasons of the areas, and never more than the noise found leaves beside an
// instrument's.
func sharedLevel(fit *Fit) areaLevel {
	ends := endsOf(fit)
	sum, n, square := 0.0, 0.0, 0.0
	type product struct{ sum, n float64 }
	var cells []product
	for from := 0; from < len(ends); {
		to := from
		for to < len(ends) && ends[to].cell == ends[from].cell {
			to++
		}
		if s, k := products(ends[from:to]); k > 0 {
			cells = append(cells, product{s, k})
			sum, n = sum+s, n+k
		}
		from = to
	}
	if len(cells) < sharedCells {
		return 0
	}
	mean := sum / n
	for _, c := range cells {
		square += (c.sum - mean*c.n) * (c.sum - mean*c.n)
	}
	if !(mean > sharedSurely*math.Sqrt(square)/n) {
		return 0
	}
	most := fit.Sigma*fit.Sigma - TypicalSigma*TypicalSigma/4
	return areaLevel(math.Max(0, math.Min(mean, most)))
}

// endsOf lists both ends of the differences of units whose area is known, by area and
// part of the year.
func endsOf(fit *Fit) []end {
	f := fit.fleet
	var out []end
	var sizes []float64
	for u := range f.in.Series {
		s := &f.in.Series[u]
		if s.Area == 0 {
			continue
		}
		f.eachDiff(u, func(i, j int) {
			r := fit.rest(int32(i), int32(j))
			sizes = append(sizes, math.Abs(r))
			for k, at := range [2]int{i, j} {
				if f.an[at] >= 0 {
					out = append(out, end{[2]int{s.Area, int(math.Floor(f.t[at] * sharedBins))}, r, f.t[j] - f.t[i], k == 0, u, s.Site, f.an[at]})
				}
			}
		})
	}
	if len(sizes) == 0 {
		return nil
	}
	slices.Sort(sizes)
	most := sharedClip * sizes[len(sizes)/2] / robustScale
	for k := range out {
		out[k].residual = math.Max(-most, math.Min(most, out[k].residual))
	}
	slices.SortStableFunc(out, func(a, b end) int {
		return cmp.Or(cmp.Compare(a.cell[0], b.cell[0]), cmp.Compare(a.cell[1], b.cell[1]))
	})
	return out
}

// products sums the products of the differences that end in a cell with those that
// begin there, and the squares of what each tells: c of them is Var(g), so that the sum
// of c times the product over that of c^2 is its least squares.
func products(cell []end) (sum, n float64) {
	var sides [2][]*end
	for k := range cell {
		e, side := &cell[k], 0
		if e.starts {
			side = 1
		}
		if len(sides[side]) < sharedPairs {
			sides[side] = append(sides[side], e)
		}
	}
	for _, a := range sides[0] {
		for _, b := range sides[1] {
			if a.unit != b.unit && a.an != b.an && (a.site != b.site || a.site == 0) {
				c := alike(a.years) + alike(b.years) - alike(a.years+b.years) - 1
				sum, n = sum+c*a.residual*b.residual, n+c*c
			}
		}
	}
	return sum, n
}

// alike is the correlation of a shared level with itself so many years later.
func alike(years float64) float64 { return math.Max(0, 1-years/sharedYears) }

// areaLevel is the variance of a level that the units of an area have in common for
// about a year, points squared.
type areaLevel float64

// since is the variance a state gains from it so many years after the reading that the
// state is conditioned on.
func (v areaLevel) since(years float64) float64 { return float64(v) * (1 - alike(years)) }

package drift

import (
	"fmt"
	"math"
)

// Input is what a fleet is made of. The series are kept, not copied: they must
// not change afterwards.
type Input struct {
	Design    Design
	Rules     Rules
	Series    []Series
	Analyzers int // columns of the constant biases
	Periods   int // columns of the biases by calibration period
	// Certificates are observations of biases from outside the readings.
	Certificates []Certificate
}

// Fleet is the readings of all units in segments, ready for evaluation: flat
// slices, unit after unit. It is read by any number of goroutines; Clean
// returns another.
type Fleet struct {
	in      Input
	comps   []int
	cols    []Column
	stride  int       // columns of f, used or not
	scale   []float64 // powers of two; column in f = covariate / scale
	used    []int     // columns of f in the fit, in order
	drops   []Dropped
	exclude map[int]string // columns kept out for another reason than aliasing
	held    map[int]string // columns out by their MaxSE, whatever else is excluded
	widen   []int          // columns with a MaxSE that are not in the fit
	next    []moments      // of the level columns over all readings
	owner   []int32        // analyzer of each period, -1 where no reading names it
	met     []int          // differences to another analyzer, by bias column
	metBy   []int          // units with such a difference
	refused []bool         // certificates that the readings contradict

	start   []int32 // readings of unit u: start[u] .. start[u+1]
	t, y, w []float64
	an, per []int32 // -1 none
	seg     []int32
	vis     []int32
	idx     []int32
	set     []float64
	f       []float64 // stride a reading

	gone []bool // reading removed
	cut  []bool // segment cut before the reading

	layout      layout
	rows        *differenceRows
	imputed     Imputation // medians over the fleet
	technicians technicians
	counts      Counts
}

// Dropped is a covariate left out of the fit, and why.
type Dropped struct{ Column, Why string }

// Counts says how much the fleet has to tell.
type Counts struct {
	Units, Readings, Segments, Differences int
	CrossAnalyzer, CrossPeriod             int // differences between two analyzers, two periods
	SeveralAnalyzers                       int // analyzers in such differences
}

// NewFleet places every reading of every unit in its segment. An error names
// the unit and what its series lacks.
func NewFleet(in Input) (*Fleet, error) {
	comps, err := in.Design.companions()
	if err != nil {
		return nil, err
	}
	f := &Fleet{in: in, comps: comps, cols: in.Design.columns(), start: []int32{0}}
	f.stride = len(f.cols)
	f.f = make([]float64, 0, f.stride*in.readings())
	if err := in.checkCertificates(); err != nil {
		return nil, err
	}
	var placed []Placed
	for u := range in.Series {
		s := &in.Series[u]
		if err := in.check(s, comps); err != nil {
			return nil, err
		}
		placed = segmenter{rules: in.Rules, series: s, set: math.NaN(), seg: -1}.walk(placed[:0])
		f.add(s, placed)
	}
	if len(f.t) > math.MaxInt32/2 {
		return nil, fmt.Errorf("%d readings are more than the model holds", len(f.t))
	}
	f.gone, f.cut = make([]bool, len(f.t)), make([]bool, len(f.t))
	f.imputed = f.imputeFleet()
	f.technicians = newTechnicians(in.Series, in.Rules)
	f.next, f.owner = f.levelMoments(), f.periodOwners()
	f.refused = make([]bool, len(in.Certificates))
	f.rescale()
	f.refresh()
	return f, nil
}

// readings counts the readings of all series.
func (in *Input) readings() (n int) {
	for u := range in.Series {
		for v := range in.Series[u].Visits {
			n += len(in.Series[u].Visits[v].Readings)
		}
	}
	return n
}

// add appends the placed readings of the next unit.
func (f *Fleet) add(s *Series, placed []Placed) {
	g := integral{s.Runs, f.comps}
	nl := len(f.in.Design.Level)
	for _, p := range placed {
		v := &s.Visits[p.Visit]
		r := &v.Readings[p.Reading]
		f.t, f.y = append(f.t, v.T), append(f.y, r.Y)
		f.w = append(f.w, weight(r.W))
		f.an, f.per = append(f.an, int32(max(r.Analyzer, -1))), append(f.per, int32(max(r.Period, -1)))
		f.seg, f.set = append(f.seg, int32(p.Segment)), append(f.set, p.Set)
		f.vis, f.idx = append(f.vis, int32(p.Visit)), append(f.idx, int32(p.Reading))
		at := len(f.f)
		f.f = append(f.f, make([]float64, f.stride)...)
		row := f.f[at:]
		copy(row, r.Level)
		g.fitted(v.T, row[nl:nl+len(f.comps)])
		if f.in.Design.Settling {
			row[f.stride-1] = settled(v.T, p.Set)
		}
	}
	f.start = append(f.start, int32(len(f.t)))
}

func weight(w float64) float64 {
	if w == 0 {
		return 1
	}
	return w
}

// settled is the settling column at time t after an adjustment at set; an
// adjustment nobody knows of is taken to be long past.
func settled(t, set float64) float64 {
	if math.IsNaN(set) {
		return settlingYears
	}
	return math.Min(t-set, settlingYears)
}

// rescale divides each column by the power of two nearest to its root mean
// square difference: conditioning without rounding.
func (f *Fleet) rescale() {
	sum, n := make([]float64, f.stride), 0
	for u := range f.in.Series {
		f.eachDiff(u, func(i, j int) {
			n++
			for k := range sum {
				x := f.f[j*f.stride+k] - f.f[i*f.stride+k]
				sum[k] += x * x
			}
		})
	}
	f.scale = make([]float64, f.stride)
	for k := range sum {
		f.scale[k] = 1
		if sum[k] > 0 {
			f.scale[k] = math.Exp2(math.Round(math.Log2(math.Sqrt(sum[k] / float64(n)))))
		}
	}
	for at := range f.f {
		f.f[at] /= f.scale[at%f.stride]
	}
}

// eachDiff visits the differences of a unit: readings i, j of one segment with
// none that counts between them and no cut.
func (f *Fleet) eachDiff(u int, visit func(i, j int)) {
	prev, cut := -1, false
	for r := int(f.start[u]); r < int(f.start[u+1]); r++ {
		cut = cut || f.cut[r]
		if f.gone[r] {
			continue
		}
		if prev >= 0 && !cut && f.seg[prev] == f.seg[r] {
			visit(prev, r)
		}
		prev, cut = r, false
	}
}

// refresh counts again and finds the columns the differences can tell apart.
func (f *Fleet) refresh() {
	c := Counts{Units: len(f.in.Series)}
	seen := make([]bool, f.in.Analyzers)
	f.met = make([]int, f.in.Analyzers+f.in.Periods)
	f.metBy = make([]int, len(f.met))
	lastMet := make([]int, len(f.met))
	for u := range f.in.Series {
		linked := 0
		for r := f.start[u]; r < f.start[u+1]; r++ {
			if !f.gone[r] {
				c.Readings++
			}
		}
		f.eachDiff(u, func(i, j int) {
			linked++
			if a, b := f.an[i], f.an[j]; a != b && a >= 0 && b >= 0 {
				c.CrossAnalyzer++
				seen[a], seen[b] = true, true
				f.meet(i, u, lastMet)
				f.meet(j, u, lastMet)
			}
			if a, b := f.per[i], f.per[j]; a != b && a >= 0 && b >= 0 {
				c.CrossPeriod++
			}
		})
		c.Differences += linked
	}
	c.Segments = c.Readings - c.Differences
	for _, s := range seen {
		if s {
			c.SeveralAnalyzers++
		}
	}
	f.counts, f.layout, f.rows = c, f.newLayout(), f.newDifferenceRows()
	f.findAliased()
}

// meet counts a reading's bias columns in a difference to another analyzer, and the
// units that have one; last holds the unit counted last, plus one.
func (f *Fleet) meet(r, unit int, last []int) {
	for _, col := range [...]int32{f.an[r], f.per[r] + int32(f.in.Analyzers)} {
		if col < int32(f.in.Analyzers) && col != f.an[r] { // no period
			continue
		}
		f.met[col]++
		if last[col] != unit+1 {
			last[col] = unit + 1
			f.metBy[col]++
		}
	}
}

// Counts returns how much the fleet has to tell.
func (f *Fleet) Counts() Counts { return f.counts }

// Differences returns how many differences a unit has: what a class of units is
// large enough for is decided on their sum.
func (f *Fleet) Differences(u int) int {
	n := 0
	f.eachDiff(u, func(int, int) { n++ })
	return n
}

// Shares returns what technicians did about readings far out.
func (f *Fleet) Shares() Shares { return f.technicians.shares }

// Dropped returns the covariates left out of the fit.
func (f *Fleet) Dropped() []Dropped { return f.drops }

func share(k, n int) float64 {
	if n == 0 {
		return math.NaN()
	}
	return float64(k) / float64(n)
}

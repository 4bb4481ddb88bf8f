package drift

import (
	"fmt"
	"math"
	"slices"
)

// Input is what a fleet is made of. The series are kept, not copied: they must
// not change afterwards.
type Input struct {
	Design    Design
	Rules     Config
	Series    []Series
	Analyzers int // columns of the constant biases
	Periods   int // columns of the biases by calibration period
	// Certificates are observations of biases from outside the readings.
	Certificates []Certificate
}

// Fleet is what can be evaluated: the readings of all units in segments, the covariates
// that are in the fit, and what is left to compare. It never changes once it is made, and
// is read by any number of goroutines: what removes readings, columns or certificates
// returns another, which shares what it has in common with the first.
type Fleet struct {
	in    Input
	comps []int // companions of the drift columns

	// What the record holds, whatever becomes of its readings.
	next        []moments  // of the level columns over all readings
	owner       []int32    // analyzer of each period, -1 where no reading names it
	imputed     Imputation // medians over the fleet
	technicians technicians

	readings
	covariates
	certificates certificates

	// What the readings left have to compare; see refresh.
	comparisons
	layout layout
	rows   *differenceRows
	pairs  pairs
}

// Dropped is a covariate left out of the fit, and why.
type Dropped struct {
	Column string
	Why    Absence
}

// NewFleet places every reading of every unit in its segment. An error names
// the unit and what its series lacks.
func NewFleet(in Input) (*Fleet, error) {
	comps, err := in.Design.companions()
	if err != nil {
		return nil, err
	}
	f := &Fleet{in: in, comps: comps, certificates: certificates{in.Certificates, make([]bool, len(in.Certificates))}}
	f.cols = in.Design.columns()
	f.readings = readings{stride: len(f.cols), start: []int32{0}, f: make([]float64, 0, len(f.cols)*in.readings())}
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
	f.imputed = imputeFleet(in.Series, comps)
	f.technicians = newTechnicians(in.Series, in.Rules)
	f.next, f.owner = f.levelMoments(len(in.Design.Level)), in.periodOwners(&f.readings)
	f.scale = f.rescale()
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

// periodOwners finds the analyzer each calibration period belongs to.
func (in *Input) periodOwners(rs *readings) []int32 {
	out := make([]int32, in.Periods)
	for p := range out {
		out[p] = -1
	}
	for at, p := range rs.per {
		if p >= 0 && rs.an[at] >= 0 {
			out[p] = rs.an[at]
		}
	}
	for _, c := range in.Certificates {
		if c.Period >= 0 && c.Analyzer >= 0 {
			out[c.Period] = int32(c.Analyzer)
		}
	}
	return out
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

// Counts returns how much the fleet has to tell.
func (f *Fleet) Counts() Counts { return f.counts }

// Dropped returns the covariates left out of the fit.
func (f *Fleet) Dropped() []Dropped { return f.drops }

func share(k, n int) float64 {
	if n == 0 {
		return math.NaN()
	}
	return float64(k) / float64(n)
}

// refresh counts again and finds the columns the differences can tell apart.
func (f *Fleet) refresh() {
	f.comparisons = newComparisons(&f.readings, f.in.Analyzers, f.in.Periods)
	f.rows = newDifferenceRows(f)
	f.layout, f.pairs = arrange(f)
	f.choose(f.columnGram())
}

// subset copies some units' readings into a fleet of their own, with the scales,
// imputations and shares of the whole.
func (f *Fleet) subset(units []int) *Fleet {
	out := *f
	out.in.Series = make([]Series, 0, len(units))
	for _, u := range units {
		out.in.Series = append(out.in.Series, f.in.Series[u])
	}
	out.readings = f.pick(units)
	out.refresh()
	return &out
}

// refusing returns the fleet without a certificate.
func (f *Fleet) refusing(certificate int) *Fleet {
	out := *f
	out.certificates = f.certificates.without(certificate)
	out.layout, out.pairs = arrange(&out)
	return &out
}

// Without returns the fleet with some columns kept out of the fit; columns kept out
// before and not named again come back.
func (f *Fleet) Without(columns ...string) *Fleet {
	out := *f
	out.exclude = nil
	return out.excluding(KeptOut{}, columns...)
}

// excluding returns the fleet without some more columns, for one reason.
func (f *Fleet) excluding(why Absence, columns ...string) *Fleet {
	out := *f
	out.exclude = map[int]Absence{}
	for k, c := range f.cols {
		if slices.Contains(columns, c.Name) {
			out.exclude[k] = why
		} else if w, ok := f.exclude[k]; ok {
			out.exclude[k] = w
		}
	}
	out.choose(out.columnGram())
	return &out
}

// Differences returns how many differences a unit has: what a class of units is
// large enough for is decided on their sum.
func (f *Fleet) Differences(u int) int {
	n := 0
	f.eachDiff(u, func(int, int) { n++ })
	return n
}

// ownerOf is the analyzer of a bias column.
func (f *Fleet) ownerOf(col int) int {
	if col < f.in.Analyzers {
		return col
	}
	return int(f.owner[col-f.in.Analyzers])
}

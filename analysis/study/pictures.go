package study

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// tenths is into how many parts of equal count a picture's points are put.
const tenths = 10

// Tenths returns the mean place and the mean height of points in up to ten parts of
// equal count along x, to be joined by a line where a bend should be seen. Points
// of one x stay together; points with a missing number are left out.
func Tenths(x, y []float64) (meanX, meanY []float64) {
	var order []int
	for i := range x {
		if whole(x[i], y[i]) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	n := len(order)
	for from := 0; from < n; {
		to := max(from+1, (len(meanX)+1)*n/tenths)
		for to < n && x[order[to]] == x[order[to-1]] {
			to++
		}
		to = min(to, n)
		sumX, sumY := 0.0, 0.0
		for _, i := range order[from:to] {
			sumX, sumY = sumX+x[i], sumY+y[i]
		}
		meanX, meanY = append(meanX, sumX/float64(to-from)), append(meanY, sumY/float64(to-from))
		from = to
	}
	return meanX, meanY
}

// Cook returns how far each row alone draws the fit: Cook's distance (Cook,
// Technometrics 19, 1977; from memory), the squared standardized residual times h /
// ((1 - h) k). The leverages h of a fit add up to its k coefficients.
func (d *Diagnostic) Cook() []float64 {
	k := 0.0
	for _, h := range d.Leverage {
		k += h
	}
	out := make([]float64, len(d.Leverage))
	for i, h := range d.Leverage {
		out[i] = d.Standardized[i] * d.Standardized[i] * h / (math.Max(1-h, 1e-9) * k)
	}
	return out
}

// VentCell is a field of the map of vents: units of one diameter whose length lies
// from FromM up to less than ToM.
type VentCell struct {
	FromM, ToM float64
	DiameterM  float64
	Units      int
}

// VentMap counts units by diameter and by steps of length, at most twelve of them, each
// a round number of a unit of so many metres;
// unmapped are the units without either number. Cells come by diameter, then length;
// those without a unit are left out.
func VentMap(units []UnitVent, unitM float64) (cells []VentCell, unmapped int) {
	longest := 0.0
	for i := range units {
		if whole(units[i].LengthM, units[i].DiameterM) {
			longest = math.Max(longest, units[i].LengthM)
		}
	}
	const most, rounding = 12, 1e-9 // 40 ft are two steps of 20
	step := unitM
	for _, s := range []float64{2, 5, 10, 20, 50, 100, 200, 500} {
		if longest/step >= most {
			step = s * unitM
		}
	}
	type place struct {
		diameter float64
		step     int
	}
	counts := map[place]int{}
	for i := range units {
		u := &units[i]
		if !whole(u.LengthM, u.DiameterM) {
			unmapped++
			continue
		}
		counts[place{math.Round(u.DiameterM*1e4) / 1e4, int(u.LengthM/step + rounding)}]++
	}
	for p, n := range counts {
		cells = append(cells, VentCell{float64(p.step) * step, float64(p.step+1) * step, p.diameter, n})
	}
	slices.SortFunc(cells, func(a, b VentCell) int {
		return cmp.Or(cmp.Compare(a.DiameterM, b.DiameterM), cmp.Compare(a.FromM, b.FromM))
	})
	return cells, unmapped
}

// Quartiles are the middle half of a number and where it lies; NaN without any.
type Quartiles struct {
	Low, Middle, High float64
	Known, Missing    int
}

// quartilesOf returns the quartiles of the values that are known.
func quartilesOf(values []float64) Quartiles {
	known := slices.DeleteFunc(slices.Clone(values), func(v float64) bool { return !whole(v) })
	q := Quartiles{math.NaN(), math.NaN(), math.NaN(), len(known), len(values) - len(known)}
	if len(known) == 0 {
		return q
	}
	slices.Sort(known)
	const quarter, half, threeQuarters = 0.25, 0.5, 0.75
	of := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, known, nil) }
	q.Low, q.Middle, q.High = of(quarter), of(half), of(threeQuarters)
	return q
}

// Description is what the rows of one question at one fire are like, those that no
// fit takes included.
type Description struct {
	Kind                               Kind
	Fire                               judge.Fire
	From, To                           day.Day // days of the later readings
	LengthM, OfRun, OfFan, Years, AirK Quartiles
	AgeYears, CO2Points                Quartiles
	Controls, Fuels                    []Share
	Counts
}

// Share is how many rows have something.
type Share struct {
	Name string
	Rows int
}

// Describe says what the rows of each question are like, at high fire (single with
// it), low fire, and low less high.
func (s *Study) Describe() (all []Description) {
	for _, kind := range Kinds {
		for _, fire := range fires {
			var rows []*Row
			for i := range s.Rows {
				if r := &s.Rows[i]; r.asked(kind, fire) {
					rows = append(rows, r)
				}
			}
			all = append(all, describe(kind, fire, rows))
		}
	}
	return all
}

// asked reports whether a row belongs to a question at a fire; a single fire goes
// with high.
func (r *Row) asked(kind Kind, fire judge.Fire) bool {
	return r.Kind == kind && (r.Fire == fire || fire == judge.High && r.Fire == judge.Single)
}

func describe(kind Kind, fire judge.Fire, rows []*Row) Description {
	d := Description{Kind: kind, Fire: fire, Counts: countsOf(rows)}
	for i, r := range rows {
		if i == 0 {
			d.From, d.To = r.After, r.After
		}
		d.From, d.To = min(d.From, r.After), max(d.To, r.After)
	}
	numbers := func(of func(*Row) float64) Quartiles {
		v := make([]float64, len(rows))
		for i, r := range rows {
			v[i] = of(r)
		}
		return quartilesOf(v)
	}
	d.LengthM = numbers(func(r *Row) float64 { return r.LengthM })
	d.OfRun = numbers(func(r *Row) float64 { return r.OfRun })
	d.OfFan = numbers(func(r *Row) float64 { return r.OfFan })
	d.Years = numbers(func(r *Row) float64 { return r.Years })
	d.AirK = numbers(func(r *Row) float64 { return r.AirK })
	d.AgeYears = numbers(func(r *Row) float64 { return r.AgeYears })
	d.CO2Points = numbers(func(r *Row) float64 { return r.CO2Points })
	d.Controls = sharesOf(rows, func(r *Row) string { return string(r.Control) })
	d.Fuels = sharesOf(rows, func(r *Row) string { return r.Fuel })
	return d
}

// sharesOf counts rows by a word, the most frequent first; "" is not counted.
func sharesOf(rows []*Row, of func(*Row) string) (all []Share) {
	counts := map[string]int{}
	for _, r := range rows {
		counts[of(r)]++
	}
	delete(counts, "")
	for name, n := range counts {
		all = append(all, Share{name, n})
	}
	slices.SortFunc(all, func(a, b Share) int { return cmp.Or(-cmp.Compare(a.Rows, b.Rows), cmp.Compare(a.Name, b.Name)) })
	return all
}

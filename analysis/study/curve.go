package study

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"fluedrift/model/judge"
)

// manyRows is from how many rows a curve has a fourth knot.
const manyRows = 100

// curves are those of the burner controls of a question and fire, by length; of the
// declared comparison by loss too. All controls have one where none has rows enough.
func (s fitting) curves(kind Kind, fire judge.Fire, rows []*Row) {
	controls := commonest(rows)
	if len(controls) == 0 {
		controls = []judge.Control{""}
	}
	for _, c := range controls {
		own := within(rows, c)
		s.curve(Primary{kind, fire, c}, byLength, own)
		if s.Settings.Primary == (Primary{kind, fire, c}) {
			s.curve(s.Settings.Primary, byFan, own)
		}
	}
}

// curve fits a natural spline beside the line.
func (s fitting) curve(of Primary, m measure, all []*Row) {
	rows := slices.DeleteFunc(slices.Clone(all), func(r *Row) bool { return !whole(m.of(r), r.CO2Points) })
	if len(rows) < fewest {
		return
	}
	c := Curve{Kind: of.Kind, Fire: of.Fire, Control: of.Control, Measure: m.name, Counts: countsOf(rows)}
	if err := c.fit(rows, m, s.Settings); err != nil {
		none := NotMade{Kind: of.Kind, Fire: of.Fire, Control: of.Control, Measure: m.name, Part: ACurve, Why: Failed{Err: err}}
		s.NotMade = append(s.NotMade, none)
		return
	}
	s.Curves = append(s.Curves, c)
}

// fit fills a curve.
func (c *Curve) fit(rows []*Row, m measure, set Config) error {
	per := func(*Row) float64 { return 1 }
	if c.Kind == Drift {
		per = func(r *Row) float64 { return r.Years }
	}
	for _, r := range rows {
		c.At = append(c.At, m.of(r))
	}
	knots := 3
	if len(rows) >= manyRows {
		knots = 4
	}
	spline, err := newSpline(c.At, knots)
	if err != nil {
		return err
	}
	c.Knots = spline.Knots
	line := newDesign(c.Kind, rows, m)
	straight, err := Regress(line.data(responses[0].of))
	if err != nil {
		return err
	}
	bent := newDesign(c.Kind, rows, m)
	var bends []int
	for k := range len(spline.Knots) - 2 {
		bends = append(bends, len(bent.columns))
		bent.timed(fmt.Sprintf("bend %d", k+1), "", func(r *Row) float64 { return spline.basis(m.of(r))[k+1] })
	}
	fit, err := Regress(bent.data(responses[0].of))
	if err != nil {
		return err
	}
	test, err := fit.wald(bends)
	if err != nil {
		return err
	}
	c.F, c.P = test.F, test.P
	x, contrasts := bent.places(spline, c.At)
	for _, w := range contrasts {
		sum := 0.0
		for i, b := range straight.Beta {
			sum += b * w[i]
		}
		c.Line = append(c.Line, sum)
	}
	of := bent.through(spline)
	for i, r := range rows {
		value := fit.Residuals[i] / per(r)
		for k, w := range of(c.At[i]) {
			value += fit.Beta[k] * w
		}
		c.Change = append(c.Change, value)
	}
	c.Band, err = fit.curve(x, contrasts, set.Draws, set.Seed)
	return err
}

// through gives the columns of the curve at a place, as they are drawn; they are
// the last of the columns.
func (d *design) through(s Spline) func(z float64) []float64 {
	at := d.standard(0, math.NaN())
	vent := slices.IndexFunc(d.columns, func(c column) bool { return c.name == VentName })
	return func(z float64) []float64 {
		row, basis := slices.Clone(at), s.basis(z)
		row[vent] = z
		copy(row[len(row)-len(s.Knots)+2:], basis[1:])
		return row
	}
}

// places are where a curve is drawn, within the middle 96 % of the data, with no
// change of air, at the mean age, and after settling: contrasts of the columns.
func (d *design) places(s Spline, at []float64) (x []float64, rows [][]float64) {
	sorted := slices.Sorted(slices.Values(at))
	const tail, steps = 0.02, 40
	low, high := stat.Quantile(tail, stat.Empirical, sorted, nil), stat.Quantile(1-tail, stat.Empirical, sorted, nil)
	of := d.through(s)
	for k := range steps + 1 {
		v := low + (high-low)*float64(k)/steps
		x, rows = append(x, v), append(rows, of(v))
	}
	return x, rows
}

// standard is a row of the columns for a vent of the given measure: no change of
// air; of drift one year at an age, NaN for the rows' mean, after settling; burner
// controls as the rows have them.
func (d *design) standard(z, age float64) []float64 {
	row := make([]float64, len(d.columns))
	if math.IsNaN(age) {
		age = 0
		for _, r := range d.rows {
			age += r.AgeYears / float64(len(d.rows))
		}
	}
	for i, c := range d.columns {
		switch c.name {
		case constantName:
			row[i] = 1
		case VentName:
			row[i] = z
		case ageName:
			row[i] = age
		}
		if c.level {
			row[i] = c.share
		}
	}
	return row
}

package study

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/model/day"
)

// ventFigure is a drawing with its caption.
type ventFigure struct {
	Drawing template.HTML
	Caption string
}

// interval is a line of a figure of estimates.
type interval struct {
	name string
	study.Contrast
}

// drawIntervals draws estimates with their intervals, one below the other, beside
// the line of no effect and the bounds of equivalence.
func drawIntervals(rows []interval, bound float64, axis, label, caption string) (ventFigure, error) {
	f := page.NewBroadFigure(axis, "")
	var ticks []plot.Tick
	var points plotter.XYs
	n := float64(len(rows))
	for i, r := range rows {
		y := n - float64(i)
		ticks = append(ticks, plot.Tick{Value: y, Label: r.name})
		points = append(points, plotter.XY{X: r.Value, Y: y})
		f.Line("", plotter.XYs{{X: r.Low, Y: y}, {X: r.High, Y: y}}, page.ModelTone, page.Solid)
	}
	upright := func(x float64, as page.Stroke) {
		f.Line("", plotter.XYs{{X: x, Y: 0.5}, {X: x, Y: n + 0.5}}, page.PlainTone, as)
	}
	upright(0, page.Dashed)
	upright(-bound, page.Dotted)
	upright(bound, page.Dotted)
	f.Marks(points, draw.BoxGlyph{}, page.ModelTone, 3)
	f.Y.Tick.Marker = plot.ConstantTicks(ticks)
	f.Y.Min, f.Y.Max = 0.5, n+0.5
	return drawn(f, label, caption)
}

// drawn draws a figure and gives it its caption.
func drawn(f *page.Figure, label, caption string) (ventFigure, error) {
	drawing, err := f.SVG(label)
	return ventFigure{drawing, caption}, err
}

// drawVentCurve draws the rows, the line, the curve and both of its bands.
func drawVentCurve(c *study.Curve) (ventFigure, error) {
	per := "change of CO2, points"
	if c.Kind == study.Drift {
		per += " a year"
	}
	f := page.NewFigure(c.Measure, per)
	line := func(y []float64) (at plotter.XYs) {
		for i, x := range c.Band.X {
			at = append(at, plotter.XY{X: x, Y: y[i]})
		}
		return at
	}
	f.Dots(xys(c.At, c.Change), page.PlainTone)
	b := &c.Band
	for _, l := range []struct {
		y  []float64
		as page.Stroke
	}{
		{b.Y, page.Solid},
		{c.Line, page.LongDashed},
		{b.Low, page.Dashed},
		{b.High, page.Dashed},
		{b.AllLow, page.Dotted},
		{b.AllHigh, page.Dotted},
	} {
		if len(l.y) > 0 {
			f.Line("", line(l.y), page.ModelTone, l.as)
		}
	}
	of := words.Comparison(study.Primary{Kind: c.Kind, Fire: c.Fire, Control: c.Control})
	caption := fmt.Sprintf("%s, by %s: %s of %s, %d knots; any bend: F %.2f, p %.3f.",
		words.Capital(of), c.Measure, words.Counted(len(c.At), "row"), words.Units(c.Units), len(c.Knots), c.F, c.P)
	return drawn(f, fmt.Sprintf("Curve of %s by %s", of, c.Measure), caption)
}

// drawCorrection draws how a correction was found: the effect with errors added to
// the lengths, and where following it back to none ends.
func drawCorrection(c *study.Correction) (ventFigure, error) {
	f := page.NewBroadFigure("error variance added, in units of what there is", "effect of the vent, points")
	points := xys(c.Added, c.Slopes)
	const none = -1 // added: no error is left
	found := plotter.XYs{{X: none, Y: c.Corrected.Value}}
	f.Line("", slices.Concat(found, points), page.PlainTone, page.Dashed)
	f.Line("", plotter.XYs{{X: none, Y: c.Corrected.Low}, {X: none, Y: c.Corrected.High}}, page.ModelTone, page.Solid)
	f.Marks(points, draw.CircleGlyph{}, page.ModelTone, 3)
	f.Marks(found, draw.BoxGlyph{}, page.ModelTone, 3)
	caption := fmt.Sprintf("%s, %s: circles are the effect with errors of growing size added to the recorded lengths (at 0 "+
		"as recorded), the square where a parabola through them ends with no error left, with its 95 %% interval.",
		words.Capital(string(c.Kind)), words.Fire(c.Fire))
	return drawn(f, fmt.Sprintf("Correction of %s for errors in lengths", c.Kind), caption)
}

// xys joins places and heights; points with a missing number are left out.
func xys(x, y []float64) (at plotter.XYs) {
	for i := range x {
		if !math.IsNaN(x[i]) && !math.IsNaN(y[i]) && !math.IsInf(x[i], 0) && !math.IsInf(y[i], 0) {
			at = append(at, plotter.XY{X: x[i], Y: y[i]})
		}
	}
	return at
}

// drawVentMap draws where units are by length and diameter.
func drawVentMap(in units.Set, fleet []study.UnitVent) (ventFigure, error) {
	cells, without := study.VentMap(fleet, 1/in.Value(units.Length, 1))
	f := newVentFigure(in)
	var at plotter.XYs
	var counts []int
	most, on := 1, 0
	var ticks []plot.Tick
	var rows []float64 // diameters, one below the other at equal steps
	for _, c := range cells {
		most, on = max(most, c.Units), on+c.Units
		if !slices.Contains(rows, c.DiameterM) {
			rows = append(rows, c.DiameterM)
			ticks = append(ticks, plot.Tick{Value: float64(len(rows)), Label: ventUnits{in}.Width(c.DiameterM)})
		}
		at = append(at, plotter.XY{X: in.Value(units.Length, (c.FromM+c.ToM)/2), Y: float64(len(rows))})
		counts = append(counts, c.Units)
	}
	if len(at) == 0 {
		return ventFigure{Caption: "Map of vents: no unit has both a length and a diameter on record."}, nil
	}
	f.Counts(at, counts, most)
	f.Y.Tick.Marker = plot.ConstantTicks(ticks)
	f.Y.Min, f.Y.Max, f.X.Min = 0.5, float64(len(rows))+0.5, 0
	return drawn(f, "Map of vents: units by length and diameter", fmt.Sprintf("Where the units are: recorded length in "+
		"steps of %.0f %s by diameter, as of the last record; each circle bears its number of units, %d in all, at most %d. %s.",
		in.Value(units.Length, cells[0].ToM-cells[0].FromM), in.UnitOf(units.Length), on, most, offMap(without)))
}

// offMap counts the units that the map of vents has no place for.
func offMap(n int) string {
	if n == 1 {
		return "1 unit without a length or a diameter is not on it"
	}
	return words.Units(n) + " without a length or a diameter are not on it"
}

// yearTicks marks the first days of years on an axis of days.
type yearTicks struct{}

// Ticks gives as many years as fit.
func (yearTicks) Ticks(low, high float64) (ticks []plot.Tick) {
	first, last := day.Day(low).Year(), day.Day(high).Year()
	step := 1
	for (last-first)/step >= 7 {
		step++
	}
	for year := first; year <= last; year++ {
		start := float64(day.Of(year, time.January, 1))
		if start < low || start > high {
			continue
		}
		t := plot.Tick{Value: start}
		if (last-year)%step == 0 {
			t.Label = fmt.Sprint(year)
		}
		ticks = append(ticks, t)
	}
	return ticks
}

package study

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"fluedrift/analysis/report/page"
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
	p := page.NewPlot(axis, "")
	var ticks []plot.Tick
	var points plotter.XYs
	n := float64(len(rows))
	for i, r := range rows {
		y := n - float64(i)
		ticks = append(ticks, plot.Tick{Value: y, Label: r.name})
		points = append(points, plotter.XY{X: r.Value, Y: y})
		if err := page.AddLine(p, "", plotter.XYs{{X: r.Low, Y: y}, {X: r.High, Y: y}}, page.ModelTone, page.Solid); err != nil {
			return ventFigure{}, err
		}
	}
	for _, x := range []struct {
		at float64
		as page.Stroke
	}{{0, page.Dashed}, {-bound, page.Dotted}, {bound, page.Dotted}} {
		if err := page.AddLine(p, "", plotter.XYs{{X: x.at, Y: 0.5}, {X: x.at, Y: n + 0.5}}, page.PlainTone, x.as); err != nil {
			return ventFigure{}, err
		}
	}
	marks, err := plotter.NewScatter(points)
	if err != nil {
		return ventFigure{}, err
	}
	marks.Shape, marks.Color, marks.Radius = draw.BoxGlyph{}, page.ModelTone, vg.Points(3)
	p.Add(marks)
	p.Y.Tick.Marker = plot.ConstantTicks(ticks)
	p.Y.Min, p.Y.Max = 0.5, n+0.5
	drawing, err := page.SVGSized(p, page.ByItself, label)
	return ventFigure{drawing, caption}, err
}

// drawVentCurve draws the rows, the line, the curve and both of its bands.
func drawVentCurve(c *study.Curve) (ventFigure, error) {
	per := "change of CO2, points"
	if c.Kind == study.Drift {
		per += " a year"
	}
	p := page.NewPlot(c.Measure, per)
	line := func(y []float64) (at plotter.XYs) {
		for i, x := range c.Band.X {
			at = append(at, plotter.XY{X: x, Y: y[i]})
		}
		return at
	}
	page.AddDots(p, "", xys(c.At, c.Change), page.PlainTone)
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
		if len(l.y) == 0 {
			continue
		}
		if err := page.AddLine(p, "", line(l.y), page.ModelTone, l.as); err != nil {
			return ventFigure{}, err
		}
	}
	caption := fmt.Sprintf("%s, %s: change of CO2 against %s. Dots: %s of %s, like the lines as if the air had not changed. "+
		"Solid: natural cubic spline, %d knots; long dashes: straight line; short dashes: 95 %% at each place; dotted: 95 %% "+
		"over all places. Test of any bend: F %.2f, p %.3f.",
		words.Capital(string(c.Kind)), words.Fire(c.Fire), c.Measure, words.Counted(len(c.At), "row"),
		words.Units(c.Units), len(c.Knots), c.F, c.P)
	drawing, err := page.SVG(p, fmt.Sprintf("Curve of %s at %s by %s", c.Kind, words.Fire(c.Fire), c.Measure))
	return ventFigure{drawing, caption}, err
}

// drawCorrection draws how a correction was found: the effect with errors added to
// the lengths, and where following it back to none ends.
func drawCorrection(c *study.Correction) (ventFigure, error) {
	p := page.NewPlot("error variance added, in units of what there is", "effect of the vent, points")
	points := xys(c.Added, c.Slopes)
	const none = -1 // added: no error is left
	found := plotter.XY{X: none, Y: c.Corrected.Value}
	if err := page.AddLine(p, "", append(plotter.XYs{found}, points...), page.PlainTone, page.Dashed); err != nil {
		return ventFigure{}, err
	}
	span := plotter.XYs{{X: none, Y: c.Corrected.Low}, {X: none, Y: c.Corrected.High}}
	if err := page.AddLine(p, "", span, page.ModelTone, page.Solid); err != nil {
		return ventFigure{}, err
	}
	for _, m := range []struct {
		at    plotter.XYs
		shape draw.GlyphDrawer
	}{{points, draw.CircleGlyph{}}, {plotter.XYs{found}, draw.BoxGlyph{}}} {
		marks, err := plotter.NewScatter(m.at)
		if err != nil {
			return ventFigure{}, err
		}
		marks.Shape, marks.Color, marks.Radius = m.shape, page.ModelTone, vg.Points(3)
		p.Add(marks)
	}
	drawing, err := page.SVGSized(p, page.ByItself, fmt.Sprintf("Correction of %s for errors in lengths", c.Kind))
	caption := fmt.Sprintf("%s, %s: circles are the effect with errors of growing size added to the recorded lengths (at 0 "+
		"as recorded), the square where a parabola through them ends with no error left, with its 95 %% interval.",
		words.Capital(string(c.Kind)), words.Fire(c.Fire))
	return ventFigure{drawing, caption}, err
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
func drawVentMap(units []study.UnitVent) (ventFigure, error) {
	cells, without := study.VentMap(units)
	p := page.NewPlot("recorded length, m", "diameter, mm")
	var at plotter.XYs
	var names []string
	most, on := 1, 0
	var ticks []plot.Tick
	for _, c := range cells {
		most, on = max(most, c.Units), on+c.Units
	}
	var rows []float64 // diameters, one below the other at equal steps
	for _, c := range cells {
		if !slices.Contains(rows, c.DiameterM) {
			rows = append(rows, c.DiameterM)
			ticks = append(ticks, plot.Tick{Value: float64(len(rows)), Label: fmt.Sprintf("%.0f", c.DiameterM*1000)})
		}
		at = append(at, plotter.XY{X: (c.FromM + c.ToM) / 2, Y: float64(len(rows))})
		names = append(names, fmt.Sprint(c.Units))
	}
	if len(at) == 0 {
		return ventFigure{Caption: "Map of vents: no unit has both a length and a diameter on record."}, nil
	}
	marks, err := plotter.NewScatter(at)
	if err != nil {
		return ventFigure{}, err
	}
	marks.GlyphStyleFunc = func(i int) draw.GlyphStyle {
		r := 2.5 + 8*math.Sqrt(float64(cells[i].Units)/float64(most))
		return draw.GlyphStyle{Color: page.BandTone, Radius: vg.Points(r), Shape: draw.CircleGlyph{}}
	}
	labels, err := plotter.NewLabels(plotter.XYLabels{XYs: at, Labels: names})
	if err != nil {
		return ventFigure{}, err
	}
	for i := range labels.TextStyle {
		labels.TextStyle[i].Font.Variant, labels.TextStyle[i].Font.Size = "Sans", vg.Points(8)
		labels.TextStyle[i].XAlign, labels.TextStyle[i].YAlign = draw.XCenter, draw.YCenter
	}
	p.Add(marks, labels)
	p.Y.Tick.Marker = plot.ConstantTicks(ticks)
	p.Y.Min, p.Y.Max, p.X.Min = 0.5, float64(len(rows))+0.5, 0
	drawing, err := page.SVGSized(p, page.ByItself, "Map of vents: units by length and diameter")
	caption := fmt.Sprintf("Where the units are: recorded length in steps of %g m by diameter, as of the last record; each "+
		"circle bears its number of units, %d in all, at most %d. %s.",
		cells[0].ToM-cells[0].FromM, on, most, offMap(without))
	return ventFigure{drawing, caption}, err
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
	first, last := page.YearOf(int32(low)), page.YearOf(int32(high))
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

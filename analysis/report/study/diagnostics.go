package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/plotter"

	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
)

// diagnosticView is what is drawn of one fit.
type diagnosticView struct {
	Title   string
	Figures []ventFigure
}

// panel is one picture of a fit's rows.
type panel struct {
	name, x, y string // what it is, and its axes
	at, height []float64
	says       string
	means      bool // join the means of tenths
	years      bool // the axis is of days
	line       []plotter.XY
}

// drawDiagnostics draws what a fit leaves over against all it might hang on.
func drawDiagnostics(in units.Set, s *study.Study, d *study.Diagnostic) (diagnosticView, error) {
	v := diagnosticView{Title: fmt.Sprintf("%s, %s", words.Capital(string(d.Kind)), words.Fire(d.Fire))}
	for _, p := range panelsOf(in, s, d) {
		f, err := p.draw(v.Title)
		if err != nil {
			return v, err
		}
		v.Figures = append(v.Figures, f)
	}
	return v, nil
}

// panelsOf lists the pictures of a fit.
func panelsOf(in units.Set, s *study.Study, d *study.Diagnostic) []panel {
	of := func(value func(*study.Row) float64) []float64 {
		out := make([]float64, len(d.Rows))
		for i, r := range d.Rows {
			out[i] = value(&s.Rows[r])
		}
		return out
	}
	left := fmt.Sprintf("residual, %s", d.Unit)
	zero := func(x []float64) []plotter.XY { return acrossOf(x, func(float64) float64 { return 0 }) }
	plain := func(name, axis string, x []float64) panel {
		return panel{
			name: "Residuals against " + name, x: axis, y: left, at: x, height: d.Residual, means: true, line: zero(x),
			says: fmt.Sprintf("%d rows, standard deviation %.3f %s; solid: means of tenths, dashed: "+
				"zero.", d.Counts.Rows, d.ResidualSD, d.Unit),
		}
	}
	days := plain("time", "day of the later reading", of(func(r *study.Row) float64 { return float64(r.After) }))
	days.years = true
	out := []panel{
		plain("what was fitted", "fitted change, "+d.Unit, d.Fitted),
		plain("recorded length", "length after, "+in.UnitOf(units.Length),
			of(func(r *study.Row) float64 { return in.Value(units.Length, r.LengthM) })),
		days,
		plain("air temperature", "combustion air at the later reading, "+in.UnitOf(units.Temperature),
			of(func(r *study.Row) float64 { return in.Value(units.Temperature, r.AirC) })),
		plain("change of air", "change of air between the readings, "+in.WarmerUnit(),
			of(func(r *study.Row) float64 { return in.WarmerValue(r.AirK) })),
		{
			name: "Normal quantiles", x: "normal quantile", y: "standardized residual", at: d.Quantile, height: d.Standardized,
			line: acrossOf(d.Quantile, func(x float64) float64 { return x }),
			says: "normal residuals lie along the dashed line. The intervals do not need that, but long tails and few sites make them " +
				"less sure.",
		},
	}
	out = append(out, leveragePanel(s, d), panel{
		name: "Partial residuals of the vent", x: ventAxis(d),
		y: "partial residual, " + d.Unit, at: d.Vent, height: d.Partial, means: true,
		line: acrossOf(d.Vent, func(x float64) float64 { return d.Slope * x }),
		says: fmt.Sprintf("each change less all that was fitted but the vent; dashed: the fitted effect, %+.3f, solid: means "+
			"of tenths. Where they part the effect is no straight line.", d.Slope),
	})
	return out
}

func ventAxis(d *study.Diagnostic) string {
	if d.Kind == study.Drift {
		return d.Measure + ", times years"
	}
	return d.Measure
}

// leveragePanel draws standardized residuals against leverage and names the rows
// that draw the fit most.
func leveragePanel(s *study.Study, d *study.Diagnostic) panel {
	cook := d.Cook()
	order := make([]int, len(cook))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(cook[b], cook[a]) })
	var words strings.Builder
	for k, i := range order[:min(3, len(order))] {
		r := &s.Rows[d.Rows[i]]
		if k > 0 {
			words.WriteString(", ")
		}
		fmt.Fprintf(&words, "%s of %s (%.2f)", r.Serial, table.DayCell(r.After), cook[i])
	}
	return panel{
		name: "Leverage", x: "leverage", y: "standardized residual", at: d.Leverage, height: d.Standardized,
		line: acrossOf(d.Leverage, func(float64) float64 { return 0 }),
		says: fmt.Sprintf("to the right are rows with an unusual vent or air, which could pull the fit; those also far from zero do. "+
			"Largest Cook's distances: %s; common practice looks at rows beyond 1.", words.String()),
	}
}

// acrossOf is a line over the range of places.
func acrossOf(x []float64, y func(float64) float64) []plotter.XY {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		if !math.IsNaN(v) {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	if low > high {
		return nil
	}
	return []plotter.XY{{X: low, Y: y(low)}, {X: high, Y: y(high)}}
}

// draw draws a panel.
func (v *panel) draw(of string) (ventFigure, error) {
	f := page.NewFigure(v.x, v.y)
	if v.years {
		f.X.Tick.Marker = yearTicks{}
	}
	f.Dots(xys(v.at, v.height), page.PlainTone)
	if len(v.line) > 0 {
		f.Line("", v.line, page.OtherTone, page.Dashed)
	}
	if v.means {
		if x, y := study.Tenths(v.at, v.height); len(x) > 1 {
			f.Line("", xys(x, y), page.ModelTone, page.Solid)
		}
	}
	return drawn(f, v.name+": "+of, of+". "+v.name+": "+v.says)
}

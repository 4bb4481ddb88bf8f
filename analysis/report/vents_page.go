package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"gonum.org/v1/plot/plotter"

	"fluedrift/analysis/study"
	"fluedrift/analysis/watch"
)

//go:embed vents.tmpl.html
var ventsText string

var ventsTemplate = template.Must(template.New("vents").Funcs(template.FuncMap{
	"day": func(d int32) string { return watch.DayWords(d) }, "visible": visible, "declared": declared,
	"n3": func(v float64) string { return number(v, 3) }, "n4": func(v float64) string { return number(v, 4) },
}).Parse(studyStyle + ventsText))

// ventFigure is a drawn curve with its caption.
type ventFigure struct {
	Drawing template.HTML
	Caption string
}

// ventsPage is what the page shows.
type ventsPage struct {
	*study.Study
	Line     string
	Figures  []ventFigure
	Limits   []Item
	Cautions []string
}

// VentLimits are the limits of any such study, in words for the report.
func VentLimits() []Item {
	return []Item{
		{"Design", "Observational: nobody drew lots for vents. Differences within a unit cancel what stays the same in it, and nothing else."},
		{"Confounding", "Long vents go with buildings, model lines and areas; the fit with fuel, model line and altitude shows how far that carries, not that nothing is left."},
		{"Lengths on record", "Taken as exact in these fits. Errors in them draw effects towards zero; no correction is made here."},
		{"Visits", "Not at random: units that give trouble are seen more often."},
		{"Factory bench", "The constant of installation holds bench, transport, gas and altitude together; only its slope is about vents."},
		{"Analyzers", "Two analyzers take part in most rows; their errors are in the noise here and are not set right."},
		{"Many comparisons", "One was declared beforehand; intervals of all others are not corrected for their number."},
		{"Not in this study", "Sensitivity to single sources, analyzers and areas, a random slope by site, settling after adjustment and age are not looked at."},
	}
}

// WriteVentsPage writes a vent study as one page that needs nothing else.
func WriteVentsPage(w io.Writer, s *study.Study) error {
	v := ventsPage{Study: s, Line: VentsLine(s), Limits: VentLimits(), Cautions: Cautions()}
	for i := range s.Curves {
		f, err := drawVentCurve(&s.Curves[i])
		if err != nil {
			return fmt.Errorf("write page of vents: %w", err)
		}
		v.Figures = append(v.Figures, f)
	}
	if err := ventsTemplate.Execute(w, v); err != nil {
		return fmt.Errorf("write page of vents: %w", err)
	}
	return nil
}

// drawVentCurve draws the rows, the curve and both of its bands.
func drawVentCurve(c *study.Curve) (ventFigure, error) {
	p := newPlot(c.Measure, "change of CO2, points")
	line := func(y []float64) (at plotter.XYs) {
		for i, x := range c.Band.X {
			at = append(at, plotter.XY{X: x, Y: y[i]})
		}
		return at
	}
	var rows plotter.XYs
	for i, x := range c.At {
		rows = append(rows, plotter.XY{X: x, Y: c.Change[i]})
	}
	addDots(p, "rows", rows, plainTone)
	b := &c.Band
	for _, l := range []struct {
		name string
		y    []float64
		as   stroke
	}{{"curve", b.Y, solid}, {"95 % at each place", b.Low, dashed}, {"", b.High, dashed}} {
		if err := addLine(p, l.name, line(l.y), modelTone, l.as); err != nil {
			return ventFigure{}, err
		}
	}
	for i, y := range [][]float64{b.AllLow, b.AllHigh} {
		if err := addLine(p, []string{"95 % over all places", ""}[i], line(y), otherTone, dotted); err != nil {
			return ventFigure{}, err
		}
	}
	caption := fmt.Sprintf("%s, %s fire: change of CO2 against %s, %d rows as dots, a natural cubic spline with %d knots, no change of air. Test of any bend: F %.2f, p %.3f.",
		c.Kind, c.Fire, c.Measure, len(c.At), len(c.Knots), c.F, c.P)
	drawing, err := svgOf(p, caption)
	return ventFigure{drawing, caption}, err
}

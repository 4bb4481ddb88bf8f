package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"image/color"
	"io"
	"math"

	"gonum.org/v1/plot/plotter"

	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/watch"
)

// studyStyle is the look of the pages that are read as reports.
//
//go:embed study.tmpl.html
var studyStyle string

//go:embed hindsight.tmpl.html
var hindsightText string

var hindsightTemplate = template.Must(template.New("hindsight").Funcs(template.FuncMap{
	"day": func(d int32) string { return watch.DayWords(d) }, "visible": visible, "share": shareWords, "units": units,
	"n2": func(v float64) string { return number(v, 2) }, "n3": func(v float64) string { return number(v, 3) }, "n4": func(v float64) string { return number(v, 4) },
	"f2": func(f hindsight.Figure) string { return figureWords(f, 2) }, "f3": func(f hindsight.Figure) string { return figureWords(f, 3) }, "f4": func(f hindsight.Figure) string { return figureWords(f, 4) },
}).Parse(studyStyle + hindsightText))

// number writes a figure, a dash where there is none.
func number(v float64, decimals int) string {
	if math.IsNaN(v) {
		return "-"
	}
	return NumberCell(v, decimals).String()
}

func figureWords(f hindsight.Figure, decimals int) string {
	if math.IsNaN(f.Value) {
		return "-"
	}
	return number(f.Value, decimals) + " (" + number(f.Low, decimals) + " to " + number(f.High, decimals) + ")"
}

func shareWords(s hindsight.Share) string {
	if s.Of == 0 {
		return "-"
	}
	return fmt.Sprintf("%d of %d: %s", s.In, s.Of, figureWords(s.Part, 3))
}

// Item is a line of the checklist of what a report of a forecast should say.
type Item struct{ Asks, Says string }

// hindsightPage is what the page shows.
type hindsightPage struct {
	*hindsight.Result
	Line           string
	Curve, Benefit template.HTML
	Checklist      []Told
	Cautions       []string
}

// WriteHindsightPage writes a look back as one page that needs nothing else.
func WriteHindsightPage(w io.Writer, r *hindsight.Result) error {
	v := hindsightPage{Result: r, Line: HindsightLine(r), Checklist: HindsightChecklist(r), Cautions: Cautions()}
	var err error
	if len(r.Orders) > 0 {
		if v.Curve, err = drawCurve(r); err != nil {
			return fmt.Errorf("write page of hindsight: %w", err)
		}
		if v.Benefit, err = drawBenefit(r); err != nil {
			return fmt.Errorf("write page of hindsight: %w", err)
		}
	}
	if err := hindsightTemplate.Execute(w, v); err != nil {
		return fmt.Errorf("write page of hindsight: %w", err)
	}
	return nil
}

// drawCurve draws the calibration curve in the band of true probabilities.
func drawCurve(r *hindsight.Result) (template.HTML, error) {
	p := newPlot("probability before the visit", "share found outside")
	var low, high, curve plotter.XYs
	for _, c := range r.Calibration.Curve {
		low, high, curve = append(low, plotter.XY{X: c.Chance, Y: c.Low}), append(high, plotter.XY{X: c.Chance, Y: c.High}), append(curve, plotter.XY{X: c.Chance, Y: c.Share})
	}
	ring := append(plotter.XYs{}, low...)
	for i := len(high) - 1; i >= 0; i-- {
		ring = append(ring, high[i])
	}
	band, err := plotter.NewPolygon(ring)
	if err != nil {
		return "", err
	}
	band.Color, band.LineStyle.Width = bandTone, 0
	p.Add(band)
	if err := addLine(p, "", plotter.XYs{{X: 0, Y: 0}, {X: 1, Y: 1}}, plainTone, dashed); err != nil {
		return "", err
	}
	if err := addLine(p, "as found", curve, modelTone, solid); err != nil {
		return "", err
	}
	p.Legend.Add("if every probability were true", band)
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 0, 1, 0, 1
	return svgOf(p, "Calibration: share found outside against the probability before the visit; the grey band holds nine tenths of what true probabilities would show")
}

// leastBenefit is how far below zero net benefit is drawn.
const leastBenefit = 0.1

// drawBenefit draws the net benefit over thresholds.
func drawBenefit(r *hindsight.Result) (template.HTML, error) {
	p := newPlot("probability from which one goes", "net benefit a fire")
	var model, all, none, stale plotter.XYs
	for _, b := range r.Benefit {
		model, all = append(model, plotter.XY{X: b.Threshold, Y: b.Model.Value}), append(all, plotter.XY{X: b.Threshold, Y: b.All.Value})
		none, stale = append(none, plotter.XY{X: b.Threshold}), append(stale, plotter.XY{X: b.Threshold, Y: b.Stale.Value})
	}
	for _, l := range []struct {
		name string
		at   plotter.XYs
		tone color.Color
		as   stroke
	}{{"by the model", model, modelTone, solid}, {"visiting all", all, plainTone, longDashed}, {"visiting none", none, plainTone, dashed}, {"by last visit", stale, otherTone, dotted}} {
		if err := addLine(p, l.name, l.at, l.tone, l.as); err != nil {
			return "", err
		}
	}
	p.Legend.Left, p.Legend.Top = false, false
	p.Y.Min = max(p.Y.Min, -leastBenefit) // a line far below is of no use to anybody
	return svgOf(p, "Net benefit over thresholds of visiting by the model, all, none, and by last visit")
}

package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"gonum.org/v1/plot/plotter"

	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/report/words"
)

//go:embed report.css
var reportStyle string

// StudyStyle is the look of the pages that are read as reports, as the template style.
// They are light alone: so are the figures on them.
var StudyStyle = `{{define "style"}}<style>` + baseStyle + reportStyle + `</style>{{end}}`

//go:embed hindsight.tmpl.html
var hindsightText string

var hindsightTemplate = template.Must(template.New("hindsight").Funcs(template.FuncMap{
	"covered":   func(k int) string { return words.Covered(hindsight.Covered(k)) },
	"groupKind": words.GroupKind,
	"day":       words.Day, "visible": words.Visible, "share": words.Share, "units": words.Units, "way": words.Way,
	"n2": Decimals(2), "n3": Decimals(3), "n4": Decimals(4),
	"f2": figures(2), "f3": figures(3), "f4": figures(4),
}).Parse(StudyStyle + hindsightText))

// Decimals writes numbers with so many decimals in a template.
func Decimals(n int) func(float64) string {
	return func(v float64) string { return words.Number(v, n) }
}

// figures writes figures with their intervals in a template.
func figures(decimals int) func(hindsight.Figure) string {
	return func(f hindsight.Figure) string { return words.Figure(f, decimals) }
}

// hindsightPage is what the page shows.
type hindsightPage struct {
	*hindsight.Result
	Line           string
	Curve, Benefit template.HTML
	Checklist      []words.Told
	Cautions       []string
}

// WriteHindsightPage writes a look back as one page that needs nothing else.
func WriteHindsightPage(w io.Writer, r *hindsight.Result) error {
	v := hindsightPage{Result: r, Line: words.HindsightLine(r), Checklist: words.HindsightChecklist(r), Cautions: words.Cautions()}
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
	f := NewFigure("probability before the visit", "share found out of limits")
	var low, high, curve plotter.XYs
	for _, c := range r.Calibration.Curve {
		low = append(low, plotter.XY{X: c.Chance, Y: c.Low})
		high = append(high, plotter.XY{X: c.Chance, Y: c.High})
		curve = append(curve, plotter.XY{X: c.Chance, Y: c.Share})
	}
	named := f.Band(low, high)
	f.Line("", plotter.XYs{{X: 0, Y: 0}, {X: 1, Y: 1}}, PlainTone, Dashed)
	f.Line("as found", curve, ModelTone, Solid)
	named("if every probability were true")
	f.X.Min, f.X.Max, f.Y.Min, f.Y.Max = 0, 1, 0, 1
	return f.SVG("Calibration: share found out of limits against the probability before the visit; the grey band holds nine tenths of " +
		"what true probabilities would give")
}

// leastBenefit is how far below zero net benefit is drawn.
const leastBenefit = 0.1

// drawBenefit draws the net benefit over thresholds.
func drawBenefit(r *hindsight.Result) (template.HTML, error) {
	f := NewFigure("probability from which one goes", "net benefit a fire")
	var model, all, none, stale plotter.XYs
	for _, b := range r.Benefit {
		model, all = append(model, plotter.XY{X: b.Threshold, Y: b.Model.Value}), append(all, plotter.XY{X: b.Threshold, Y: b.All.Value})
		none, stale = append(none, plotter.XY{X: b.Threshold}), append(stale, plotter.XY{X: b.Threshold, Y: b.Stale.Value})
	}
	f.Line("by the model", model, ModelTone, Solid)
	f.Line("visiting all", all, PlainTone, LongDashed)
	f.Line("visiting none", none, PlainTone, Dashed)
	f.Line("by last visit", stale, OtherTone, Dotted)
	f.Legend.Left, f.Legend.Top = false, false
	f.Y.Min = max(f.Y.Min, -leastBenefit) // a line far below is of no use to anybody
	return f.SVG("Net benefit over thresholds of visiting by the model, all, none, and by last visit")
}

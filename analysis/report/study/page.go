// Package study writes the vent study: its tables, its page, the page of one vent,
// and a script that makes the declared comparison again.
package study

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/model/judge"
)

//go:embed vents.tmpl.html
var ventsText string

var ventsTemplate = template.Must(template.New("vents").Funcs(template.FuncMap{
	"day": words.Day, "visible": words.Visible, "declared": words.Declared, "capital": words.Capital, "fire": words.Fire,
	"n3": page.Decimals(3), "n1": page.Decimals(1), "n0": page.Decimals(0),
	"p3":     func(v float64) string { return fmt.Sprintf("%.3f", v) },
	"signed": words.Signed, "notMade": words.NotMade, "span": words.Span, "behind": words.Behind,
	"quartiles": words.Quartiles, "shares": words.ShareList,
	"part": words.Part, "told": func(s study.Spread) string { return words.ToldApart(&s) },
	"whyNot": words.WhyNot, "modelNotes": words.ModelNotes,
	"leftOut":     func(f study.Flow) []words.Tally { return words.LeftOut(&f) },
	"notFitted":   func(f study.Flow) []words.Tally { return words.NotFitted(&f) },
	"howDeclared": words.HowDeclared, "lack": words.Lack, "lengthsFrom": words.LengthsFrom,
}).Parse(page.StudyStyle + ventsText))

// ventsPage is what the page shows. It holds nothing reckoned here: figures come
// from the study.
type ventsPage struct {
	*study.Study
	ventUnits
	Line          string
	Step          string // of length, that effects are told by
	Main          []mainRow
	SameOtherwise []otherRow
	Intervals     []ventFigure        // a question each
	Described     []study.Description // of the declared fire
	Map           ventFigure
	Curves        []ventFigure // of the declared comparison
	MoreCurves    []figureGroup
	Tests         []study.JointTest
	Effects       []effectGroup
	Physics       physicsGroup // of the declared comparison
	MorePhysics   physicsGroup
	Varied        variedGroup // of the declared comparison
	VariedFigure  ventFigure
	Correction    ventFigure  // of the declared comparison
	LeftOut       variedGroup // one analyzer, one area at a time
	Other         []variedGroup
	Declared      diagnosticView
	Others        []diagnosticView
	Own           []words.ModelGroup // the drift model's own fits
	Untold        string             // its spreads that the records cannot tell apart
	Open          string             // what it leaves for somebody to look at
	Limits        []words.Item
	Checklist     []words.CheckItem
	Cautions      []string
	Files         []words.Item
}

// mainRow is one line of the table of main results: what a step of length does.
type mainRow struct {
	study.PerMetre
	Quoted study.Contrast // of the step
	By     string
	Says   string // beside the bound, or why there is no figure
}

// otherRow is an estimate of a quantity beside the one quoted.
type otherRow struct {
	Of, By, Why string
	study.Contrast
}

// figureGroup is figures under one heading.
type figureGroup struct {
	Title   string
	Figures []ventFigure
}

// effectGroup is the vent's effects of one question and fire.
type effectGroup struct {
	Title   string
	Effects []study.Effect
}

// physicsGroup is predictions beside estimates.
type physicsGroup struct {
	Title string
	Rows  []study.Prediction
}

// variedRow is one sensitivity of one question, numbered in its table.
type variedRow struct {
	Number      int
	Group, Name string
	study.Slope
}

// variedGroup is the sensitivities of one question.
type variedGroup struct {
	Title string
	Rows  []variedRow
	Made  int // rows with a figure
}

// add numbers a row and puts it in.
func (g *variedGroup) add(r variedRow) {
	r.Number = len(g.Rows) + 1
	if r.NotMade == nil {
		g.Made++
	}
	g.Rows = append(g.Rows, r)
}

// WriteVentsPage writes a vent study as one page that needs nothing else.
func WriteVentsPage(w io.Writer, in units.Set, s *study.Study) error {
	v := ventsPage{
		Study: s, ventUnits: ventUnits{in}, Line: words.VentsLine(in, s), Limits: words.VentLimits(in, s),
		Checklist: words.VentChecklist(in, s), Cautions: words.Cautions(), Files: words.VentFiles(),
		Own: words.ModelGroups(in, s.Model), Untold: words.Untold(s.Model), Open: words.Open(s.Model),
	}
	p := s.Settings.Primary
	for _, d := range s.Describe() {
		if d.Fire == p.Fire {
			v.Described = append(v.Described, d)
		}
	}
	v.main(in, s)
	v.effects(s)
	v.physics(s)
	v.sensitivities(s)
	if err := v.draw(s); err != nil {
		return fmt.Errorf("write page of vents: %w", err)
	}
	if err := ventsTemplate.Execute(w, &v); err != nil {
		return fmt.Errorf("write page of vents: %w", err)
	}
	return nil
}

// fires are those of a study in the page's order.
var ventFires = []judge.Fire{judge.High, judge.Low, study.LowLessHigh}

// main gives the effects of a step of length, and the other estimates of the same.
func (v *ventsPage) main(in units.Set, s *study.Study) {
	var step float64
	step, v.Step = words.Step(in)
	for _, m := range study.Metres(s) {
		r := mainRow{PerMetre: m}
		if m.Why != nil {
			r.Says = words.Lack(m.Why)
			v.Main = append(v.Main, r)
			continue
		}
		r.Quoted, r.By, r.Says = m.Estimates[0].Scaled(step), words.EstimatedBy(m.Estimates[0].By), words.Beside(&m, step, s.Settings.Bound)
		v.Main = append(v.Main, r)
		for _, e := range m.Estimates {
			v.SameOtherwise = append(v.SameOtherwise, otherRow{
				words.Comparison(m.Primary), words.EstimatedBy(e.By), words.WhyItDiffers(&e), e.Scaled(step),
			})
		}
	}
}

// effects puts the vent's effects into small tables.
func (v *ventsPage) effects(s *study.Study) {
	for _, kind := range study.Kinds {
		for _, fire := range ventFires {
			g := effectGroup{Title: fmt.Sprintf("%s, %s", words.Capital(string(kind)), words.Fire(fire))}
			for _, e := range s.Effects {
				if e.Kind != kind || e.Fire != fire {
					continue
				}
				if e.Name == study.VentName && e.Fit != study.ControlFit || e.WithinControl {
					g.Effects = append(g.Effects, e)
				}
			}
			if len(g.Effects) > 0 {
				v.Effects = append(v.Effects, g)
			}
		}
	}
	for _, t := range s.Tests {
		if t.Response == study.InPoints && t.Measure == study.ByLength {
			v.Tests = append(v.Tests, t)
		}
	}
}

// physics takes the comparison with first principles in points by length.
func (v *ventsPage) physics(s *study.Study) {
	p := s.Settings.Primary
	v.Physics.Title = "Prediction beside estimate, declared comparison"
	v.MorePhysics.Title = "Prediction beside estimate, the other questions and fires"
	for _, r := range s.Predictions {
		if r.Response != study.InPoints || r.Measure != study.ByLength {
			continue
		}
		if r.Kind == p.Kind && (r.Fire == p.Fire || p.Fire == study.LowLessHigh) && (p.Control == "" || r.Control == p.Control) {
			v.Physics.Rows = append(v.Physics.Rows, r)
		} else {
			v.MorePhysics.Rows = append(v.MorePhysics.Rows, r)
		}
	}
}

// sensitivities takes the declared question's apart from the others', and the
// many that leave one out apart from the rest.
func (v *ventsPage) sensitivities(s *study.Study) {
	v.Varied.Title, v.LeftOut.Title = "The declared comparison computed in other ways", "One analyzer and one area left out at a time"
	for i, kind := range study.Kinds {
		other := variedGroup{Title: words.Capital(string(kind)) + " computed in other ways"}
		for _, one := range s.Sensitivities {
			row := variedRow{Group: words.Group(one.Group), Name: words.Choice(one.Choice), Slope: one.Slopes[i]}
			switch {
			case kind != s.Settings.Primary.Kind:
				other.add(row)
			case one.Group == study.GroupAnalyzers || one.Group == study.GroupAreas:
				v.LeftOut.add(row)
			default:
				v.Varied.add(row)
			}
		}
		if len(other.Rows) > 0 {
			v.Other = append(v.Other, other)
		}
	}
}

// draw draws all figures.
func (v *ventsPage) draw(s *study.Study) (err error) {
	p := s.Settings.Primary
	if err := v.drawEstimates(s); err != nil {
		return err
	}
	if v.Map, err = drawVentMap(v.in, s.Units); err != nil {
		return err
	}
	for i := range s.Corrections {
		if c := &s.Corrections[i]; c.Kind == p.Kind && c.NotMade == nil && len(c.Added) > 0 {
			if v.Correction, err = drawCorrection(c); err != nil {
				return err
			}
		}
	}
	for i := range s.Curves {
		c := &s.Curves[i]
		f, err := drawVentCurve(c)
		if err != nil {
			return err
		}
		if c.Kind == p.Kind && c.Fire != study.LowLessHigh || p == (study.Primary{Kind: c.Kind, Fire: c.Fire, Control: c.Control}) {
			v.Curves = append(v.Curves, f)
			continue
		}
		title := fmt.Sprintf("Curves of %s", c.Kind)
		if n := len(v.MoreCurves); n == 0 || v.MoreCurves[n-1].Title != title {
			v.MoreCurves = append(v.MoreCurves, figureGroup{Title: title})
		}
		g := &v.MoreCurves[len(v.MoreCurves)-1]
		g.Figures = append(g.Figures, f)
	}
	for i := range s.Diagnostics {
		d := &s.Diagnostics[i]
		declared := p == study.Primary{Kind: d.Kind, Fire: d.Fire, Control: d.Control}
		if !declared && (d.Fire != judge.High || d.Control == "") { // a picture of every fit would make the page heavy
			continue
		}
		view, err := drawDiagnostics(v.in, s, d)
		if err != nil {
			return err
		}
		if declared {
			v.Declared = view
		} else {
			v.Others = append(v.Others, view)
		}
	}
	return nil
}

// drawEstimates draws the figures of intervals.
func (v *ventsPage) drawEstimates(s *study.Study) (err error) {
	var main, varied []interval
	for _, kind := range study.Kinds {
		main = nil
		for _, r := range v.Main {
			if r.Kind != kind || r.Why != nil {
				continue
			}
			name := string(r.Fire)
			if r.Control != "" {
				name = fmt.Sprintf("%s, %s", r.Control, r.Fire)
			}
			if r.Declared {
				name += " (declared)"
			}
			main = append(main, interval{name, r.Quoted})
		}
		if len(main) == 0 {
			continue
		}
		f, err := drawIntervals(main, s.Settings.Bound, words.PointsOf(kind)+" of CO2", words.Capital(string(kind))+": effects of "+v.Step,
			fmt.Sprintf("%s: effect of %s more, with 95 %% intervals; dashed: none, dotted: the bound of %g.",
				words.Capital(string(kind)), v.Step, s.Settings.Bound))
		if err != nil {
			return err
		}
		v.Intervals = append(v.Intervals, f)
	}
	for _, r := range v.Varied.Rows {
		if r.NotMade == nil {
			varied = append(varied, interval{fmt.Sprint(r.Number), r.Contrast})
		}
	}
	if len(varied) > 1 {
		v.VariedFigure, err = drawIntervals(varied, s.Settings.Bound, "points of CO2", "The declared effect under other choices",
			"The declared comparison computed in other ways, numbered as in the table, with 95 % intervals; dashed: none, dotted: the bound.")
	}
	return err
}

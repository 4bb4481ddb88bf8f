package study

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg/draw"

	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/model/day"
)

//go:embed answer.tmpl.html
var answerText string

var answerTemplate = template.Must(template.New("answer").Funcs(template.FuncMap{
	"day": words.Day, "visible": words.Visible, "capital": words.Capital, "fire": words.Fire,
	"compared": words.Compared,
	"signed":   words.Signed, "notMade": words.NotMade, "span": words.Span, "behind": words.Behind,
	"fromTo": func(low, high float64) string { return words.Signed(low) + " to " + words.Signed(high) },
	"n2":     page.Decimals(2), "n3": page.Decimals(3),
	"count": func(n int) string { return words.Number(known(n), 0) },
}).Parse(page.StudyStyle + answerText))

// answerPage is what the page of one configuration shows.
type answerPage struct {
	VentAsked
	ventUnits
	Against  *VentAsked // nil: none
	Less     []study.Difference
	Benches  []string
	AsOf     day.Day
	Tables   []expectedTable // the first stands open
	Figure   ventFigure
	Place    ventFigure
	Cautions []string
}

// expectedTable is what is expected by one measure in one response.
type expectedTable struct {
	Title string
	Rows  []study.Expected
}

// expectedTables groups what is expected; points by length come first.
func expectedTables(a *study.Answer) (all []expectedTable) {
	for _, response := range []string{study.InPoints, study.InLnLambda} {
		for _, measure := range []string{study.ByLength, study.ByFan} {
			t := expectedTable{Title: response + " by " + measure}
			for _, e := range a.Expected {
				if e.Response == response && e.Measure == measure {
					t.Rows = append(t.Rows, e)
				}
			}
			if len(t.Rows) > 0 {
				all = append(all, t)
			}
		}
	}
	return all
}

// VentAsked is an answer with its configuration in the words of who asked.
type VentAsked struct {
	*study.Answer
	Asked string
}

// WriteVentAnswer writes what a study expects of one vent, and how far that differs from
// another where one is given, as one page that needs nothing else.
func WriteVentAnswer(w io.Writer, in units.Set, s *study.Study, one VentAsked, other *VentAsked) error {
	a := one.Answer
	v := answerPage{
		VentAsked: one, ventUnits: ventUnits{in}, AsOf: s.AsOf, Cautions: words.Cautions(), Tables: expectedTables(a), Against: other,
	}
	if other != nil {
		v.Less = study.Differences(s, a, other.Answer)
	}
	for _, b := range study.Benches(s, a) {
		v.Benches = append(v.Benches, words.Bench(b))
	}
	var drawn []interval
	for _, e := range a.Expected {
		if e.Response == study.InPoints && e.Measure == study.ByLength {
			drawn = append(drawn, interval{fmt.Sprintf("%s, %s", e.Kind, e.Fire), e.Mean})
		}
	}
	var err error
	if len(drawn) > 0 {
		if v.Figure, err = drawIntervals(drawn, s.Settings.Bound, "points of CO2, a year for drift", "Expected changes with 95 % intervals",
			fmt.Sprintf("Expected change of CO2 by equivalent length: squares are means of all units so configured, lines their "+
				"95 %% intervals, dashed: no change, dotted: the study's bound of %g points. Drift is a year's change.",
				s.Settings.Bound)); err != nil {
			return fmt.Errorf("write page of a vent: %w", err)
		}
	}
	if v.Place, err = drawPlace(in, s.Units, a); err != nil {
		return fmt.Errorf("write page of a vent: %w", err)
	}
	if err := answerTemplate.Execute(w, &v); err != nil {
		return fmt.Errorf("write page of a vent: %w", err)
	}
	return nil
}

// drawPlace draws a configuration among the units: dots, the nearest as squares,
// the configuration as a cross.
func drawPlace(in units.Set, fleet []study.UnitVent, a *study.Answer) (ventFigure, error) {
	f := newVentFigure(in)
	var x, y []float64
	at := func(u *study.UnitVent) {
		x, y = append(x, in.Value(units.Length, u.LengthM)), append(y, in.Value(units.Width, u.DiameterM))
	}
	for i := range fleet {
		at(&fleet[i])
	}
	all := xys(x, y)
	x, y = nil, nil
	for i := range a.Nearest {
		at(&a.Nearest[i].UnitVent)
	}
	near := xys(x, y)
	c := &a.Configuration
	own := xys([]float64{in.Value(units.Length, c.LengthM)}, []float64{in.Value(units.Width, c.DiameterM)})
	if len(all) == 0 {
		return ventFigure{}, nil
	}
	f.Dots(all, page.PlainTone)
	if len(near) > 0 {
		f.Marks(near, draw.SquareGlyph{}, page.ModelTone, 4)
	}
	caption := fmt.Sprintf("The vent asked about (cross) among %s with a recorded length and diameter (dots); squares are "+
		"the %d nearest.", words.Counted(len(all), "unit"), len(a.Nearest))
	if len(own) > 0 {
		f.Marks(own, draw.CrossGlyph{}, page.OtherTone, 8)
	} else {
		caption += " Its length or diameter is not given, so it has no place here."
	}
	roomAround(f)
	return drawn(f, "The vent among the units by length and diameter", caption)
}

// roomAround keeps marks off the edges.
func roomAround(f *page.Figure) {
	for _, axis := range []*plot.Axis{&f.X, &f.Y} {
		room := 0.05 * math.Max(axis.Max-axis.Min, 1)
		axis.Min, axis.Max = axis.Min-room, axis.Max+room
	}
}

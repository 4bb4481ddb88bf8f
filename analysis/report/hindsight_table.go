package report

import (
	"fmt"
	"math"

	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/watch"
)

// measureRow is one figure of a look back.
type measureRow struct {
	about, of, measure string
	figure             hindsight.Figure
	count              int
}

// hindsightColumns are the columns of a look back: a figure a row.
var hindsightColumns = []column[measureRow]{
	{Column{"about", "what the figure is about: an order, probabilities, calibration, coverage, net benefit, a group, selection, answers", "", "judged", Text, "about"}, func(r *measureRow) Cell { return TextCell(r.about) }},
	{Column{"of", "way, group or interval it was measured on", "", "judged", Text, "of"}, func(r *measureRow) Cell { return TextCell(r.of) }},
	{Column{"measure", "which figure", "", "judged", Text, "measure"}, func(r *measureRow) Cell { return TextCell(r.measure) }},
	{Column{"value", "the figure", "", "judged", Number, "value"}, func(r *measureRow) Cell { return NumberCell(r.figure.Value, 4) }},
	{Column{"low", "lower end of its 90 % interval over resampled sites; empty where none was made", "", "judged", Number, "low"}, func(r *measureRow) Cell { return NumberCell(r.figure.Low, 4) }},
	{Column{"high", "upper end of its 90 % interval", "", "judged", Number, "high"}, func(r *measureRow) Cell { return NumberCell(r.figure.High, 4) }},
	{Column{"n", "how many it rests on", "", "judged", Number, "n"}, func(r *measureRow) Cell { return CountCell(r.count) }},
}

// Hindsight makes the table of a look back.
func Hindsight(r *hindsight.Result) Table {
	t := fill("hindsight", hindsightColumns, measureRows(r))
	t.AsOf, t.Head = r.Settings.AsOf, []string{HindsightLine(r)}
	for i := range r.Origins {
		t.Head = append(t.Head, r.Origins[i].Trends...)
	}
	return t
}

func measureRows(r *hindsight.Result) (rows []measureRow) {
	nan := math.NaN()
	plain := func(v float64) hindsight.Figure { return hindsight.Figure{Value: v, Low: nan, High: nan} }
	for _, o := range r.Origins {
		of := watch.DayWords(o.Day)
		rows = append(rows, measureRow{"origin", of, "units listed", plain(float64(o.Listed)), o.Units},
			measureRow{"origin", of, "visited within the horizon", plain(float64(o.Visited)), o.Listed},
			measureRow{"origin", of, "with an as found", plain(float64(o.WithFound)), o.Visited})
	}
	for _, part := range []struct {
		about string
		rows  []hindsight.OrderRow
		n     int
	}{{"order", r.Orders, r.Units}, {"order, visits not yet exported included", r.All, r.AllUnits}, {"order, routine annual visits alone", r.Routine, r.RoutineN},
		{"order, visits read within 90 days of the analyzer's calibration", r.Fresh, r.FreshUnits}} {
		for i := range part.rows {
			o := &part.rows[i]
			for _, m := range orderMeasures(o, r.Settings.CrewVisits) {
				rows = append(rows, measureRow{part.about, o.Way.Words(), m.name, m.figure, part.n})
			}
		}
	}
	for _, c := range r.Chances {
		for _, m := range []named{{"Brier score", c.Brier}, {"miscalibration", c.Miscalibration}, {"discrimination", c.Discrimination},
			{"uncertainty", c.Uncertainty}, {"Brier score of the model less this", c.LessBrier}} {
			rows = append(rows, measureRow{"probabilities", c.Way.Words(), m.name, m.figure, r.Fires})
		}
	}
	for _, part := range []struct {
		of string
		c  *hindsight.Calibration
		n  int
	}{{"the model", &r.Calibration, r.Fires}, {"the model, routine annual visits alone", &r.RoutineCalibration, r.RoutineFires}} {
		if len(part.c.Curve) == 0 {
			continue
		}
		for _, m := range []named{{"miscalibration", plain(part.c.Observed)}, {"of true probabilities on as many visits", plain(part.c.Perfect)},
			{"upper twentieth of it", plain(part.c.Perfect95)}, {"share of draws as far off", plain(part.c.P)}} {
			rows = append(rows, measureRow{"calibration", part.of, m.name, m.figure, part.n})
		}
	}
	for _, s := range r.Coverage {
		rows = append(rows, measureRow{"coverage", s.Name, "share", s.Part, s.Of})
	}
	for _, b := range r.Benefit {
		for _, m := range []named{{"by the model", b.Model}, {"visiting all", b.All}, {"by last visit", b.Stale}, {"visiting none", plain(0)}, {"of the model less the best of the others", b.Ahead}} {
			rows = append(rows, measureRow{"net benefit", fmt.Sprintf("threshold %.2f", b.Threshold), m.name, m.figure, r.Fires})
		}
	}
	for _, g := range r.Groups {
		for _, m := range []named{{"share of fires found outside", g.Share}, {"mean probability", g.Chance}, {"area under the curve", g.AUC}, {"precision in the top 10 %", g.Top10}} {
			rows = append(rows, measureRow{g.Kind, g.Name, m.name, m.figure, g.Units})
		}
	}
	for _, a := range r.Answers {
		rows = append(rows, measureRow{"answers", a.Name, "found outside at the next visit", a.Part, a.Of})
	}
	return rows
}

type named struct {
	name   string
	figure hindsight.Figure
}

// orderMeasures are the figures of one way to order.
func orderMeasures(o *hindsight.OrderRow, crew int) []named {
	return []named{{"precision in the top 5 %", o.Top5}, {"precision in the top 10 %", o.Top10}, {fmt.Sprintf("precision in the first %d", crew), o.TopCrew},
		{"lift in the top 10 %", o.Lift10}, {"area under the curve", o.AUC},
		{"area of the model less this", o.LessAUC}, {"top 10 % of the model less this", o.LessTop10}}
}

// DecisionWords say how the forecast stands beside the best simple rule, on the
// visits that decide and on all.
func DecisionWords(r *hindsight.Result) string {
	d := r.Decision
	var s string
	switch d.Verdict {
	case hindsight.NoOrder, hindsight.TooFew:
		return ""
	case hindsight.Ahead:
		s = "Ahead of every simple rule"
	case hindsight.Behind:
		s = "On this fleet a simple rule puts units in a better order: " + d.Best.Words()
	default:
		s = "On this fleet the forecast is not clearly better than " + d.Best.Words()
	}
	less := func(f hindsight.Figure) string {
		return fmt.Sprintf("%+.2f (%+.2f to %+.2f)", f.Value, f.Low, f.High)
	}
	for i := range r.Orders {
		if o := &r.Orders[i]; o.Way == d.Best && d.Fresh {
			return s + fmt.Sprintf(": area under the curve %s against it on %s read within 90 days of a calibration, %s on all.", less(d.Less), units(d.Units), less(o.LessAUC))
		}
	}
	return s + fmt.Sprintf(": area under the curve %s against %s.", less(d.Less), d.Best.Words())
}

// HindsightLine is a look back in one line, for the head of a watchlist.
func HindsightLine(r *hindsight.Result) string {
	day := watch.DayWords(r.Settings.AsOf)
	if len(r.Orders) == 0 {
		return fmt.Sprintf("Hindsight of %s: no next visit with an as found to compare with.", day)
	}
	o, own := r.Orders[hindsight.Model], r.Orders[hindsight.List]
	s := fmt.Sprintf("Hindsight of %s: of the first 10 %% by the model %.0f %% were found outside at the next visit (in the list's order %.0f %%, of all %.0f %%), %s, %s looked at from %s.",
		day, 100*o.Top10.Value, 100*own.Top10.Value, 100*r.Share, areaWords(r, o.AUC), units(r.Units), counted(len(r.Origins), "day"))
	if words := DecisionWords(r); words != "" {
		s += " " + words
	}
	if r.Calibration.Off {
		s += " Its probabilities are off beyond noise."
	}
	return s
}

// areaWords give the area under the curve, or say why there is none.
func areaWords(r *hindsight.Result, area hindsight.Figure) string {
	switch {
	case r.Units < hindsight.LeastForArea:
		return fmt.Sprintf("too few looks (%d) for an area under the curve: %d are needed", r.Units, hindsight.LeastForArea)
	case math.IsNaN(area.Value):
		return "no area under the curve: all were found outside, or none"
	}
	return fmt.Sprintf("area under the curve %.2f (90 %% interval %.2f to %.2f)", area.Value, area.Low, area.High)
}

package lists

import (
	"fmt"
	"math"

	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
)

// measureRow is one figure of a look back.
type measureRow struct {
	about, of, measure string
	figure             hindsight.Figure
	count              int
}

// hindsightColumns are the columns of a look back: a figure a row.
var hindsightColumns = []table.ColumnOf[measureRow]{
	table.TextColumn("about", "about", "judged",
		"what the figure is about: an order, probabilities, calibration, coverage, net benefit, a group, selection, answers",
		func(r *measureRow) string { return r.about }),
	table.TextColumn("of", "of", "judged",
		"way, group or interval it was measured on",
		func(r *measureRow) string { return r.of }),
	table.TextColumn("measure", "measure", "judged",
		"which figure",
		func(r *measureRow) string { return r.measure }),
	table.NumberColumn("value", "value", "", "judged",
		"the figure",
		4, func(r *measureRow) float64 { return r.figure.Value }),
	table.NumberColumn("low", "low", "", "judged",
		"lower end of its 90 % interval over resampled sites; empty where none was made",
		4, func(r *measureRow) float64 { return r.figure.Low }),
	table.NumberColumn("high", "high", "", "judged",
		"upper end of its 90 % interval",
		4, func(r *measureRow) float64 { return r.figure.High }),
	table.CountColumn("n", "n", "", "judged",
		"how many it rests on",
		func(r *measureRow) int { return r.count }),
}

// Hindsight makes the table of a look back.
func Hindsight(r *hindsight.Result) table.Table {
	t := table.Fill("hindsight", hindsightColumns, measureRows(r))
	t.AsOf, t.Head = r.Settings.AsOf, []string{words.HindsightLine(r)}
	for i := range r.Origins {
		for _, trend := range words.Notes(r.Origins[i].Trends) {
			t.Head = append(t.Head, trend+".")
		}
	}
	return t
}

func measureRows(r *hindsight.Result) (rows []measureRow) {
	nan := math.NaN()
	plain := func(v float64) hindsight.Figure { return hindsight.Figure{Value: v, Low: nan, High: nan} }
	for _, o := range r.Origins {
		of := words.Day(o.Day)
		rows = append(rows, measureRow{"origin", of, "units listed", plain(float64(o.Listed)), o.Units},
			measureRow{"origin", of, "visited within the horizon", plain(float64(o.Visited)), o.Listed},
			measureRow{"origin", of, "with an as-found reading", plain(float64(o.WithFound)), o.Visited})
	}
	for _, part := range []struct {
		about string
		rows  []hindsight.OrderRow
		n     int
	}{
		{"order", r.Orders, r.Units},
		{"order, visits not yet exported included", r.All, r.AllUnits},
		{"order, routine annual visits alone", r.Routine, r.RoutineN},
		{"order, visits read within 90 days of the analyzer's calibration", r.Fresh, r.FreshUnits},
	} {
		for i := range part.rows {
			o := &part.rows[i]
			for _, m := range orderMeasures(o, r.Settings.CrewVisits) {
				rows = append(rows, measureRow{part.about, words.Way(o.Way), m.name, m.figure, part.n})
			}
		}
	}
	for _, c := range r.Chances {
		for _, m := range []named{
			{"Brier score", c.Brier},
			{"miscalibration", c.Miscalibration},
			{"discrimination", c.Discrimination},
			{"uncertainty", c.Uncertainty},
			{"Brier score of the model less this", c.LessBrier},
		} {
			rows = append(rows, measureRow{"probabilities", words.Way(c.Way), m.name, m.figure, r.Fires})
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
		for _, m := range []named{
			{"miscalibration", plain(part.c.Observed)},
			{"of true probabilities on as many visits", plain(part.c.Perfect)},
			{"upper twentieth of it", plain(part.c.Perfect95)},
			{"share of draws as far off", plain(part.c.P)},
		} {
			rows = append(rows, measureRow{"calibration", part.of, m.name, m.figure, part.n})
		}
	}
	for k, s := range r.Coverage {
		rows = append(rows, measureRow{"coverage", words.Covered(hindsight.Covered(k)), "share", s.Part, s.Of})
	}
	for _, b := range r.Benefit {
		for _, m := range []named{
			{"by the model", b.Model},
			{"visiting all", b.All},
			{"by last visit", b.Stale},
			{"visiting none", plain(0)},
			{"of the model less the best of the others", b.Ahead},
		} {
			rows = append(rows, measureRow{"net benefit", fmt.Sprintf("threshold %.2f", b.Threshold), m.name, m.figure, r.Fires})
		}
	}
	for _, g := range r.Groups {
		for _, m := range []named{
			{"share of fires found out of limits", g.Share},
			{"mean probability", g.Chance},
			{"area under the curve", g.AUC},
			{"precision in the top 10 %", g.Top10},
		} {
			rows = append(rows, measureRow{words.GroupKind(g.Kind), g.Name, m.name, m.figure, g.Units})
		}
	}
	for _, a := range r.Answers {
		rows = append(rows, measureRow{"answers", a.Answer, "found out of limits at the next visit", a.Part, a.Of})
	}
	return rows
}

type named struct {
	name   string
	figure hindsight.Figure
}

// orderMeasures are the figures of one way to order.
func orderMeasures(o *hindsight.OrderRow, crew int) []named {
	return []named{
		{"precision in the top 5 %", o.Top5},
		{"precision in the top 10 %", o.Top10},
		{fmt.Sprintf("precision in the first %d", crew), o.TopCrew},
		{"lift in the top 10 %", o.Lift10},
		{"area under the curve", o.AUC},
		{"area of the model less this", o.LessAUC},
		{"top 10 % of the model less this", o.LessTop10},
	}
}

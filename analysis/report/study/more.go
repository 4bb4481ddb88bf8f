package study

import (
	"math"

	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
)

// variedLine is one sensitivity of one question, for the table.
type variedLine struct {
	of    *study.Sensitivity
	kind  study.Kind
	slope study.Slope
}

// variedColumns are the columns of the table of sensitivities.
var variedColumns = append(append([]table.ColumnOf[variedLine]{
	table.TextColumn("question", "", "judged",
		"installation, re-routing or drift",
		func(v *variedLine) string { return string(v.kind) }),
	table.TextColumn("otherwise", "", "judged",
		"what is otherwise",
		func(v *variedLine) string { return words.Group(v.of.Group) }),
	table.TextColumn("choice", "", "judged",
		"the choice made",
		func(v *variedLine) string { return words.Choice(v.of.Choice) }),
	table.TextColumn("measure", "", "judged",
		"how vents are told apart",
		func(v *variedLine) string { return v.of.Measure }),
}, made(whyNoSlope, contrastColumns(func(v *variedLine) study.Contrast { return v.slope.Contrast }))...),
	append(countColumns(func(v *variedLine) study.Counts { return v.slope.Counts }),
		table.CellColumn(table.Text, "note", "", "", "judged",
			"how errors are made where that is otherwise too, or why there is no figure",
			func(v *variedLine) table.Cell {
				return table.TextCell(words.SlopeNote(v.of, &v.slope))
			}))...)

func whyNoSlope(v *variedLine) study.Lack { return v.slope.NotMade }

// made leaves cells empty where a figure was not made.
func made[T any](why func(*T) study.Lack, columns []table.ColumnOf[T]) []table.ColumnOf[T] {
	out := make([]table.ColumnOf[T], len(columns))
	for i, c := range columns {
		value := c.Value
		c.Value = func(t *T) table.Cell {
			if why(t) != nil {
				return table.Cell{}
			}
			return value(t)
		}
		out[i] = c
	}
	return out
}

// ventSensitivity is the table of the vent's effect made otherwise.
func ventSensitivity(s *study.Study) table.Table {
	var lines []variedLine
	for i := range s.Sensitivities {
		for k, kind := range study.Kinds {
			lines = append(lines, variedLine{&s.Sensitivities[i], kind, s.Sensitivities[i].Slopes[k]})
		}
	}
	t := table.Fill("sensitivity", variedColumns, lines)
	t.AsOf = s.AsOf
	return t
}

// metreLine is one estimate of what a metre does.
type metreLine struct {
	*study.PerMetre
	*study.Estimate
	quoted bool
}

// metreColumns are the columns of the table of what a metre does.
var metreColumns = append(append([]table.ColumnOf[metreLine]{
	table.TextColumn("question", "", "judged",
		"installation, re-routing or drift",
		func(m *metreLine) string { return string(m.Kind) }),
	table.TextColumn("control", "", "register",
		"burner control; empty: all",
		func(m *metreLine) string { return string(m.Control) }),
	table.TextColumn("fire", "", "judged",
		"high (single with it), low, or low less high",
		func(m *metreLine) string { return string(m.Fire) }),
	table.TextColumn("estimated_by", "", "judged",
		"how the estimate is made",
		func(m *metreLine) string { return words.EstimatedBy(m.By) }),
	table.TextColumn("quoted", "", "judged",
		"yes: the one that the page quotes",
		func(m *metreLine) string { return words.YesNo(m.quoted) }),
	table.TextColumn("unit", "", "judged",
		"of the estimate: per metre of equivalent length, on the mean of the units",
		func(m *metreLine) string { return words.PointsOf(m.Kind) + " per m" }),
}, contrastColumns(func(m *metreLine) study.Contrast { return m.Contrast })...),
	append(countColumns(func(m *metreLine) study.Counts { return m.Counts }),
		table.NumberColumn("p_adjusted", "", "1", "judged",
			"p of no effect, adjusted for all quantities of the table (Holm); of the estimate quoted",
			6, func(m *metreLine) float64 {
				if m.quoted {
					return m.Holm
				}
				return math.NaN()
			}),
		table.TextColumn("declared", "", "judged",
			"declared beforehand, or exploratory",
			func(m *metreLine) string { return words.Declared(m.Declared) }),
		table.TextColumn("note", "", "judged",
			"why it differs from the other estimates of the same",
			func(m *metreLine) string { return words.WhyItDiffers(m.Estimate) }))...)

// ventMetres is the table of what a metre more of equivalent length does.
func ventMetres(s *study.Study) table.Table {
	var lines []metreLine
	for _, m := range study.Metres(s) {
		for i := range m.Estimates {
			lines = append(lines, metreLine{&m, &m.Estimates[i], i == 0})
		}
	}
	t := table.Fill("per-metre", metreColumns, lines)
	t.AsOf = s.AsOf
	return t
}

// physicsColumns are the columns of the table of predictions.
var physicsColumns = append(append(append([]table.ColumnOf[study.Prediction]{
	table.TextColumn("question", "", "judged",
		"installation, re-routing or drift",
		func(p *study.Prediction) string { return string(p.Kind) }),
	table.TextColumn("fire", "", "judged",
		"high (single with it) or low",
		func(p *study.Prediction) string { return string(p.Fire) }),
	table.TextColumn("control", "", "register",
		"burner control",
		func(p *study.Prediction) string { return string(p.Control) }),
	table.TextColumn("response", "", "judged",
		"what changes: CO2 or ln lambda",
		func(p *study.Prediction) string { return p.Response }),
	table.TextColumn("measure", "", "judged",
		"how vents are told apart",
		func(p *study.Prediction) string { return p.Measure }),
	table.TextColumn("unit", "", "judged",
		"of prediction and estimate",
		func(p *study.Prediction) string { return p.Unit }),
}, made(whyNoPhysics, append([]table.ColumnOf[study.Prediction]{
	table.NumberColumn("predicted_low", "", "", "judged",
		"slope of what first principles say, by the lowest resistance of fittings",
		6, func(p *study.Prediction) float64 { return p.Low }),
	table.NumberColumn("predicted", "", "", "judged",
		"by the middle one",
		6, func(p *study.Prediction) float64 { return p.Middle }),
	table.NumberColumn("predicted_high", "", "", "judged",
		"by the highest",
		6, func(p *study.Prediction) float64 { return p.High }),
}, contrastColumns(func(p *study.Prediction) study.Contrast { return p.Estimate })...))...),
	countColumns(func(p *study.Prediction) study.Counts { return p.Counts })...),
	table.TextColumn("basis", "", "judged",
		"what the prediction follows from",
		func(p *study.Prediction) string { return words.PhysicsBasis(p.Basis) }),
	table.TextColumn("note", "", "judged",
		"why there is no figure",
		func(p *study.Prediction) string { return words.Lack(p.NotMade) }))

func whyNoPhysics(p *study.Prediction) study.Lack { return p.NotMade }

// ventPhysics is the table of what first principles say beside what was found.
func ventPhysics(s *study.Study) table.Table {
	t := table.Fill("physics", physicsColumns, s.Predictions)
	t.AsOf = s.AsOf
	return t
}

// VentTables are all tables of a study, the dictionary last.
func VentTables(s *study.Study) []table.Table {
	all := append([]table.Table{ventRows(s), ventEffects(s), ventMetres(s), ventSensitivity(s), ventPhysics(s)}, ventModelTables(s)...)
	return append(all, table.Dictionary(all))
}

package report

import "fluedrift/analysis/study"

// variedLine is one sensitivity of one question, for the table.
type variedLine struct {
	of    *study.Sensitivity
	kind  study.Kind
	slope study.Slope
}

// variedColumns are the columns of the table of sensitivities.
var variedColumns = append(append([]column[variedLine]{
	{Column{Name: "question", Meaning: "installation, re-routing or drift", Source: "judged", Kind: Text}, func(v *variedLine) Cell { return TextCell(string(v.kind)) }},
	{Column{Name: "otherwise", Meaning: "what is otherwise", Source: "judged", Kind: Text}, func(v *variedLine) Cell { return TextCell(v.of.Group) }},
	{Column{Name: "choice", Meaning: "the choice made", Source: "judged", Kind: Text}, func(v *variedLine) Cell { return TextCell(v.of.Name) }},
	{Column{Name: "measure", Meaning: "how vents are told apart", Source: "judged", Kind: Text}, func(v *variedLine) Cell { return TextCell(v.of.Measure) }},
}, made(func(v *variedLine) string { return v.slope.NotMade }, contrastColumns(func(v *variedLine) study.Contrast { return v.slope.Contrast }))...),
	append(countColumns(func(v *variedLine) study.Counts { return v.slope.Counts }),
		column[variedLine]{Column{Name: "note", Meaning: "how errors are made where that is otherwise too, or why there is no figure", Source: "judged", Kind: Text}, func(v *variedLine) Cell {
			if v.slope.NotMade != "" {
				return TextCell(v.slope.NotMade)
			}
			return TextCell(v.of.Note)
		}})...)

// made leaves cells empty where a figure was not made.
func made[T any](why func(*T) string, columns []column[T]) []column[T] {
	out := make([]column[T], len(columns))
	for i, c := range columns {
		out[i] = column[T]{c.Column, func(t *T) Cell {
			if why(t) != "" {
				return Cell{}
			}
			return c.value(t)
		}}
	}
	return out
}

// VentSensitivity is the table of the vent's effect made otherwise.
func VentSensitivity(s *study.Study) Table {
	var lines []variedLine
	for i := range s.Sensitivities {
		for k, kind := range study.Kinds {
			lines = append(lines, variedLine{&s.Sensitivities[i], kind, s.Sensitivities[i].Slopes[k]})
		}
	}
	t := fill("sensitivity", variedColumns, lines)
	t.AsOf = s.AsOf
	return t
}

// physicsColumns are the columns of the table of predictions.
var physicsColumns = append(append(append([]column[study.Prediction]{
	{Column{Name: "question", Meaning: "installation, re-routing or drift", Source: "judged", Kind: Text}, func(p *study.Prediction) Cell { return TextCell(string(p.Kind)) }},
	{Column{Name: "fire", Meaning: "high (single with it) or low", Source: "judged", Kind: Text}, func(p *study.Prediction) Cell { return TextCell(p.Fire) }},
	{Column{Name: "control", Meaning: "burner control", Source: "register", Kind: Text}, func(p *study.Prediction) Cell { return TextCell(p.Control) }},
	{Column{Name: "response", Meaning: "what changes: CO2 or ln lambda", Source: "judged", Kind: Text}, func(p *study.Prediction) Cell { return TextCell(p.Response) }},
	{Column{Name: "measure", Meaning: "how vents are told apart", Source: "judged", Kind: Text}, func(p *study.Prediction) Cell { return TextCell(p.Measure) }},
	{Column{Name: "unit", Meaning: "of prediction and estimate", Source: "judged", Kind: Text}, func(p *study.Prediction) Cell { return TextCell(p.Unit) }},
}, made(whyNoPhysics, append([]column[study.Prediction]{
	{Column{Name: "predicted_low", Meaning: "slope of what first principles say, by the lowest resistance of fittings", Source: "judged", Kind: Number}, func(p *study.Prediction) Cell { return NumberCell(p.Low, 6) }},
	{Column{Name: "predicted", Meaning: "by the middle one", Source: "judged", Kind: Number}, func(p *study.Prediction) Cell { return NumberCell(p.Middle, 6) }},
	{Column{Name: "predicted_high", Meaning: "by the highest", Source: "judged", Kind: Number}, func(p *study.Prediction) Cell { return NumberCell(p.High, 6) }},
}, contrastColumns(func(p *study.Prediction) study.Contrast { return p.Estimate })...))...),
	countColumns(func(p *study.Prediction) study.Counts { return p.Counts })...),
	column[study.Prediction]{Column{Name: "basis", Meaning: "what the prediction follows from", Source: "judged", Kind: Text}, func(p *study.Prediction) Cell { return TextCell(p.Basis) }},
	column[study.Prediction]{Column{Name: "note", Meaning: "why there is no figure", Source: "judged", Kind: Text}, func(p *study.Prediction) Cell { return TextCell(p.NotMade) }})

func whyNoPhysics(p *study.Prediction) string { return p.NotMade }

// VentPhysics is the table of what first principles say beside what was found.
func VentPhysics(s *study.Study) Table {
	t := fill("physics", physicsColumns, s.Predictions)
	t.AsOf = s.AsOf
	return t
}

// VentTables are all tables of a study, the dictionary last.
func VentTables(s *study.Study) []Table {
	all := append([]Table{VentRows(s), VentEffects(s), VentSensitivity(s), VentPhysics(s)}, ventModelTables(s)...)
	return append(all, Dictionary(all))
}

package study

import (
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
)

// spreadColumns are the columns of the table of the drift model's spreads.
var spreadColumns = []table.ColumnOf[study.Spread]{
	table.TextColumn("fire", "", "forecast",
		"high (single with it) or low: each has a fit of its own",
		func(s *study.Spread) string { return string(s.Fire) }),
	table.TextColumn("part", "", "forecast",
		"noise of a reading; wandering in a year; spread of units' own drift; of analyzers' constant errors; of their "+
			"errors from calibration to calibration",
		func(s *study.Spread) string { return words.Part(s.Part) }),
	table.NumberColumn("standard_deviation", "", "", "forecast",
		"its standard deviation; 0 where it was not detected",
		5, func(s *study.Spread) float64 { return s.SD }),
	table.TextColumn("unit", "", "forecast",
		"unit of both",
		func(s *study.Spread) string { return s.Unit }),
	table.NumberColumn("standard_error", "", "", "forecast",
		"standard error of that, from the curvature of the criterion; empty: none",
		5, func(s *study.Spread) float64 { return s.SE }),
	table.NumberColumn("rise_without", "", "", "forecast",
		"rise of the criterion (minus twice the restricted log-likelihood) when the part is left out and the others are "+
			"estimated again; empty: not asked",
		2, func(s *study.Spread) float64 { return s.Rise }),
	table.TextColumn("told_apart", "", "forecast",
		"yes: the rise is 4 or more; else why the records do not tell it from the other parts",
		func(s *study.Spread) string { return words.ToldApart(s) }),
}

// modelColumns are the columns of the table of the drift model's effects.
var modelColumns = []table.ColumnOf[study.ModelEffect]{
	table.TextColumn("fit", "", "forecast",
		"drift: of a fire, as forecasts have it; drift of the offset: of low less high fire; installation or re-routing: "+
			"shift of a unit across it",
		func(e *study.ModelEffect) string { return e.Fit }),
	table.TextColumn("fire", "", "forecast",
		"high (single with it), low, or low less high",
		func(e *study.ModelEffect) string { return string(e.Fire) }),
	table.TextColumn("coefficient", "", "forecast",
		"what it is the effect of; bench, transport, gas and altitude stand together in one that is no effect of the vent",
		func(e *study.ModelEffect) string { return e.Name }),
	table.TextColumn("coding", "", "forecast",
		"what 0 and 1 of the covariate are; empty for shifts",
		func(e *study.ModelEffect) string { return e.Coding }),
	table.TextColumn("covariate_from", "", "forecast",
		"which records the covariate is from; empty for shifts",
		func(e *study.ModelEffect) string { return e.Source }),
	table.TextColumn("of_vent", "", "forecast",
		"yes: an effect of the vent",
		func(e *study.ModelEffect) string { return words.YesNo(e.Vent) }),
	table.NumberColumn("value", "", "", "forecast",
		"the estimate; empty: the fit has none",
		6, func(e *study.ModelEffect) float64 { return e.Value }),
	table.TextColumn("unit", "", "forecast",
		"its unit",
		func(e *study.ModelEffect) string { return e.Unit }),
	table.NumberColumn("standard_error", "", "", "forecast",
		"its standard error, with analyzers as random effects",
		6, func(e *study.ModelEffect) float64 { return e.SE }),
	table.NumberColumn("low_95", "", "", "forecast",
		"lower end of its 95 % interval",
		6, func(e *study.ModelEffect) float64 { return e.Low }),
	table.NumberColumn("high_95", "", "", "forecast",
		"upper end of its 95 % interval",
		6, func(e *study.ModelEffect) float64 { return e.High }),
	table.CountColumn("units", "", "", "forecast",
		"units behind the fit",
		func(e *study.ModelEffect) int { return e.Units }),
	table.NumberColumn("noise_points", "", "points", "forecast",
		"noise of one reading in this fit, points",
		5, func(e *study.ModelEffect) float64 { return e.NoisePoints }),
	table.TextColumn("ended", "", "forecast",
		"how the fit ended",
		func(e *study.ModelEffect) string { return words.Ended(e.Ended) }),
	table.TextColumn("note", "", "forecast",
		"why there is no figure, or why not to use it",
		func(e *study.ModelEffect) string { return words.WhyNot(e.Why) }),
}

// ofModel makes a table of what the drift model tells; empty where it was not asked.
func ofModel[R any](s *study.Study, name string, columns []table.ColumnOf[R], rows func(*study.Model) []R) table.Table {
	var all []R
	if s.Model != nil {
		all = rows(s.Model)
	}
	t := table.Fill(name, columns, all)
	t.AsOf = s.AsOf
	return t
}

// ventModelTables are the tables of the drift model: its spreads, its effects, the
// readings and changes that the others of their stretch contradict, and the steps of
// level suspected.
func ventModelTables(s *study.Study) []table.Table {
	return []table.Table{
		ofModel(s, "spreads", spreadColumns, func(m *study.Model) []study.Spread { return m.Spreads }),
		ofModel(s, "model", modelColumns, func(m *study.Model) []study.ModelEffect { return m.Effects }),
		ofModel(s, "unconfirmed", unconfirmedColumns, func(m *study.Model) []study.Unconfirmed { return m.Unconfirmed }),
		ofModel(s, "level-steps", stepColumns, func(m *study.Model) []study.LevelStep { return m.Steps }),
	}
}

package report

import (
	"fmt"
	"strings"

	"fluedrift/analysis/study"
	"fluedrift/model/drift"
)

// spreadColumns are the columns of the table of the drift model's spreads.
var spreadColumns = []column[study.Spread]{
	{Column{Name: "fire", Meaning: "high (single with it) or low: each has a fit of its own", Source: "forecast", Kind: Text}, func(s *study.Spread) Cell { return TextCell(s.Fire) }},
	{Column{Name: "part", Meaning: "noise of a reading; wandering in a year; spread of units' own drift; of analyzers' constant errors; of their errors from calibration to calibration", Source: "forecast", Kind: Text}, func(s *study.Spread) Cell { return TextCell(s.Name) }},
	{Column{Name: "standard_deviation", Meaning: "its standard deviation; 0 where it was not detected", Source: "forecast", Kind: Number}, func(s *study.Spread) Cell { return NumberCell(s.SD, 5) }},
	{Column{Name: "unit", Meaning: "unit of both", Source: "forecast", Kind: Text}, func(s *study.Spread) Cell { return TextCell(s.Unit) }},
	{Column{Name: "standard_error", Meaning: "standard error of that, from the curvature of the criterion; empty: none", Source: "forecast", Kind: Number}, func(s *study.Spread) Cell { return NumberCell(s.SE, 5) }},
	{Column{Name: "rise_without", Meaning: "rise of the criterion (minus twice the restricted log-likelihood) when the part is left out and the others are estimated again; empty: not asked", Source: "forecast", Kind: Number}, func(s *study.Spread) Cell { return NumberCell(s.Rise, 2) }},
	{Column{Name: "told_apart", Meaning: "yes: the rise is 4 or more; else why the records do not tell it from the other parts", Source: "forecast", Kind: Text}, func(s *study.Spread) Cell { return TextCell(s.Told()) }},
}

// modelColumns are the columns of the table of the drift model's effects.
var modelColumns = []column[study.ModelEffect]{
	{Column{Name: "fit", Meaning: "drift: of a fire, as forecasts have it; drift of the offset: of low less high fire; installation or re-routing: shift of a unit across it", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(e.Fit) }},
	{Column{Name: "fire", Meaning: "high (single with it), low, or low less high", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(e.Fire) }},
	{Column{Name: "coefficient", Meaning: "what it is the effect of; bench, transport, gas and altitude stand together in one that is no effect of the vent", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(e.Name) }},
	{Column{Name: "coding", Meaning: "what 0 and 1 of the covariate are; empty for shifts", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(e.Coding) }},
	{Column{Name: "covariate_from", Meaning: "which records the covariate is from; empty for shifts", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(e.Source) }},
	{Column{Name: "of_vent", Meaning: "yes: an effect of the vent", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(yesNo(e.Vent)) }},
	{Column{Name: "value", Meaning: "the estimate; empty: the fit has none", Source: "forecast", Kind: Number}, func(e *study.ModelEffect) Cell { return NumberCell(e.Value, 6) }},
	{Column{Name: "unit", Meaning: "its unit", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(e.Unit) }},
	{Column{Name: "standard_error", Meaning: "its standard error, with analyzers as random effects", Source: "forecast", Kind: Number}, func(e *study.ModelEffect) Cell { return NumberCell(e.SE, 6) }},
	{Column{Name: "low_95", Meaning: "lower end of its 95 % interval", Source: "forecast", Kind: Number}, func(e *study.ModelEffect) Cell { return NumberCell(e.Low, 6) }},
	{Column{Name: "high_95", Meaning: "upper end of its 95 % interval", Source: "forecast", Kind: Number}, func(e *study.ModelEffect) Cell { return NumberCell(e.High, 6) }},
	{Column{Name: "units", Meaning: "units behind the fit", Source: "forecast", Kind: Number}, func(e *study.ModelEffect) Cell { return CountCell(e.Units) }},
	{Column{Name: "noise_points", Meaning: "noise of one reading in this fit, points", Unit: "points", Source: "forecast", Kind: Number}, func(e *study.ModelEffect) Cell { return NumberCell(e.NoisePoints, 5) }},
	{Column{Name: "ended", Meaning: "how the fit ended", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(e.Ended) }},
	{Column{Name: "note", Meaning: "why there is no figure, or why not to use it", Source: "forecast", Kind: Text}, func(e *study.ModelEffect) Cell { return TextCell(e.Why) }},
}

// ofModel makes a table of what the drift model tells; empty where it was not asked.
func ofModel[R any](s *study.Study, name string, columns []column[R], rows func(*study.Model) []R) Table {
	var all []R
	if s.Model != nil {
		all = rows(s.Model)
	}
	t := fill(name, columns, all)
	t.AsOf = s.AsOf
	return t
}

// ventModelTables are the tables of the drift model: its spreads, its effects, the
// readings and changes that the others of their stretch contradict, and the steps of
// level suspected.
func ventModelTables(s *study.Study) []Table {
	return []Table{
		ofModel(s, "spreads", spreadColumns, func(m *study.Model) []study.Spread { return m.Spreads }),
		ofModel(s, "model", modelColumns, func(m *study.Model) []study.ModelEffect { return m.Effects }),
		ofModel(s, "unconfirmed", unconfirmedColumns, func(m *study.Model) []study.Unconfirmed { return m.Unconfirmed }),
		ofModel(s, "level-steps", stepColumns, func(m *study.Model) []study.LevelStep { return m.Steps }),
	}
}

// modelGroup is one fit of the drift model.
type modelGroup struct {
	Title, Ended string
	Benched      bool // across the way from the bench to the place
	Rows         []study.ModelEffect
}

// modelGroups parts the effects by fit and fire.
func modelGroups(m *study.Model) (all []modelGroup) {
	if m == nil {
		return nil
	}
	for _, e := range m.Effects {
		title := fmt.Sprintf("%s, %s, %s", capital(e.Fit), fireWords(e.Fire), units(e.Units))
		if n := len(all); n == 0 || all[n-1].Title != title {
			all = append(all, modelGroup{Title: title, Ended: e.Ended, Benched: e.Fit == string(study.Installation)})
		}
		g := &all[len(all)-1]
		g.Rows = append(g.Rows, e)
	}
	return all
}

// untold lists the spreads that the records do not tell from the others.
func untold(m *study.Model) string {
	if m == nil {
		return ""
	}
	var names []string
	for i := range m.Spreads {
		if p := &m.Spreads[i]; p.AtZero || p.Rise < drift.SeparableRise {
			names = append(names, p.Name+" at "+fireWords(p.Fire))
		}
	}
	return strings.Join(names, ", ")
}

// ModelLines say in a few plain lines what a study found of the drift model: its
// spreads by fire, the vent's shifts by fit, and what a reader must know; none without
// one.
func ModelLines(s *study.Study) (lines []string) {
	if s.Model == nil {
		return nil
	}
	fire := ""
	for i := range s.Model.Spreads {
		p := &s.Model.Spreads[i]
		if p.Fire != fire {
			fire = p.Fire
			lines = append(lines, fmt.Sprintf("Spreads of the drift model, %s (standard error): ", fireWords(fire)))
		} else {
			lines[len(lines)-1] += ", "
		}
		lines[len(lines)-1] += p.Name + " " + spreadWords(p)
	}
	for _, g := range modelGroups(s.Model) {
		first := true
		for _, e := range g.Rows {
			if !e.Vent || e.Coding != "" || e.Why != "" { // a drift
				continue
			}
			if first {
				lines = append(lines, fmt.Sprintf("Shift by the vent alone: %s; %s (95 %% interval): ", g.Title, e.Unit))
			} else {
				lines[len(lines)-1] += ", "
			}
			first = false
			lines[len(lines)-1] += fmt.Sprintf("%s %s (%s to %s)", e.Name, signed(e.Value), signed(e.Low), signed(e.High))
		}
	}
	return append(lines, s.Model.Notes...)
}

// spreadWords writes a standard deviation with its error and what is to be said of it.
func spreadWords(p *study.Spread) string {
	words := number(p.SD, 3) + " " + p.Unit
	if p.SE > 0 {
		words += " (" + number(p.SE, 3) + ")"
	}
	if told := p.Told(); p.AtZero || p.Rise < drift.SeparableRise {
		words += ": " + told
	}
	return words
}

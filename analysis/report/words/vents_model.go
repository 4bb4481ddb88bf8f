package words

import (
	"fmt"
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/study"
	"fluedrift/model/judge"
)

// ModelGroup is one fit of the drift model.
type ModelGroup struct {
	Title   string
	Ended   string
	Benched bool // across the way from the bench to the place
	Rows    []study.ModelEffect
}

// ModelGroups parts the effects by fit and fire, in the units of a reader.
func ModelGroups(in units.Set, m *study.Model) (all []ModelGroup) {
	if m == nil {
		return nil
	}
	for _, e := range m.Effects {
		title := fmt.Sprintf("%s, %s, %s", Capital(e.Fit), Fire(e.Fire), Units(e.Units))
		if n := len(all); n == 0 || all[n-1].Title != title {
			all = append(all, ModelGroup{Title: title, Ended: Ended(e.Ended), Benched: e.Fit == string(study.Installation)})
		}
		g := &all[len(all)-1]
		g.Rows = append(g.Rows, perDegree(in, e))
	}
	return all
}

// perDegree gives an effect of the air's temperature by the degree of the reader.
func perDegree(in units.Set, e study.ModelEffect) study.ModelEffect {
	const zeroC = 10 // of the model's covariate
	of, ok := strings.CutSuffix(e.Unit, " per K")
	if !ok || in.WarmerUnit() == "K" {
		return e
	}
	for _, v := range []*float64{&e.Value, &e.SE, &e.Low, &e.High} {
		*v /= in.WarmerValue(1)
	}
	e.Unit = of + " per " + in.WarmerUnit()
	e.Coding = strings.Replace(e.Coding, "kelvin above 10 degC", in.WarmerUnit()+" above "+in.TemperatureOf(zeroC), 1)
	return e
}

// Untold lists the spreads that the records do not tell from the others.
func Untold(m *study.Model) string {
	if m == nil {
		return ""
	}
	var names []string
	for i := range m.Spreads {
		if p := &m.Spreads[i]; untold(p) {
			names = append(names, Part(p.Part)+" at "+Fire(p.Fire))
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
	var fire judge.Fire
	for i := range s.Model.Spreads {
		p := &s.Model.Spreads[i]
		if p.Fire != fire {
			fire = p.Fire
			lines = append(lines, fmt.Sprintf("Spreads of the drift model, %s (standard error): ", Fire(fire)))
		} else {
			lines[len(lines)-1] += ", "
		}
		lines[len(lines)-1] += Part(p.Part) + " " + spreadWords(p)
	}
	for _, g := range ModelGroups(units.SI, s.Model) {
		first := true
		for _, e := range g.Rows {
			if !e.Vent || e.Coding != "" || e.Why != nil { // a drift
				continue
			}
			if first {
				lines = append(lines, fmt.Sprintf("Shift by the vent alone: %s; %s (95 %% interval): ", g.Title, e.Unit))
			} else {
				lines[len(lines)-1] += ", "
			}
			first = false
			lines[len(lines)-1] += fmt.Sprintf("%s %s (%s to %s)", e.Name, Signed(e.Value), Signed(e.Low), Signed(e.High))
		}
	}
	return append(lines, ModelNotes(s.Model)...)
}

// ModelNotes are what a reader of the model's figures must know.
func ModelNotes(m *study.Model) []string {
	notes := Notes(m.Notes)
	for _, u := range m.Unspread {
		notes = append(notes, fmt.Sprintf("%s fire: %s; no spread was measured", u.Fire, Ended(u.Ended)))
	}
	if m.NoOffset {
		notes = append(notes, string(study.LowLessHigh)+": no unit has both fires on record")
	}
	return notes
}

// untold reports whether the records do not tell a spread from the others.
func untold(s *study.Spread) bool {
	return s.Told() == study.NotDetected || s.Told() == study.Inseparable
}

// ToldApart says whether the records tell a spread of the model from the others.
func ToldApart(s *study.Spread) string {
	return [...]string{
		study.NotAsked: "not asked", study.NotDetected: "not detected",
		study.Inseparable: "cannot be told from the others on these records", study.ToldApart: "yes",
	}[s.Told()]
}

// spreadWords writes a standard deviation with its error and what is to be said of it.
func spreadWords(p *study.Spread) string {
	words := Number(p.SD, 3) + " " + p.Unit
	if p.SE > 0 {
		words += " (" + Number(p.SE, 3) + ")"
	}
	if untold(p) {
		words += ": " + ToldApart(p)
	}
	return words
}

// Open count what the model leaves for somebody to look at.
func Open(m *study.Model) string {
	if m == nil {
		return ""
	}
	return fmt.Sprintf("Unconfirmed: %d (unconfirmed.csv). Steps of level suspected: %d (level-steps.csv).", len(m.Unconfirmed), len(m.Steps))
}

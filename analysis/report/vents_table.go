package report

import (
	"fmt"

	"fluedrift/analysis/study"
)

// ventColumn is a column of the rows of a vent study.
type ventColumn struct {
	Column
	of func(*study.Row) Cell
}

func ventNumber(name, unit, meaning string, decimals int, of func(*study.Row) float64) ventColumn {
	return ventColumn{Column{Name: name, Meaning: meaning, Unit: unit, Source: "readings", Kind: Number}, func(r *study.Row) Cell { return NumberCell(of(r), decimals) }}
}

func ventText(name, source, meaning string, of func(*study.Row) string) ventColumn {
	return ventColumn{Column{Name: name, Meaning: meaning, Source: source, Kind: Text}, func(r *study.Row) Cell { return TextCell(of(r)) }}
}

var ventColumns = []ventColumn{
	ventText("question", "judged", "installation, re-routing or drift", func(r *study.Row) string { return string(r.Kind) }),
	ventText("serial", "register", "unit", func(r *study.Row) string { return r.Serial }),
	ventText("site", "register", "site: the cluster of the errors; a unit without one is its own", func(r *study.Row) string { return r.Site }),
	ventText("area", "register", "area", func(r *study.Row) string { return r.Area }),
	ventText("model_line", "register", "model line", func(r *study.Row) string { return r.Line }),
	ventText("control", "register", "burner control", func(r *study.Row) string { return r.Control }),
	ventText("fuel", "readings", "fuel of both readings", func(r *study.Row) string { return r.Fuel }),
	ventText("fire", "readings", "high, single, low, or low less high", func(r *study.Row) string { return r.Fire }),
	ventText("source", "readings", "source of the later reading", func(r *study.Row) string { return r.Source }),
	{Column{Name: "before", Meaning: "day of the earlier reading", Source: "readings", Kind: Day}, func(r *study.Row) Cell { return DayCell(r.Before) }},
	{Column{Name: "after", Meaning: "day of the later reading", Source: "readings", Kind: Day}, func(r *study.Row) Cell { return DayCell(r.After) }},
	ventText("analyzer_before", "readings", "analyzer of the earlier reading", func(r *study.Row) string { return r.AnalyzerBefore }),
	ventText("analyzer_after", "readings", "analyzer of the later reading", func(r *study.Row) string { return r.AnalyzerAfter }),
	ventNumber("change_co2_points", "points", "change of CO2 less target", 3, func(r *study.Row) float64 { return r.CO2Points }),
	ventNumber("change_ln_lambda", "1", "change of the logarithm of the air number", 5, func(r *study.Row) float64 { return r.LnLambda }),
	ventNumber("years_between", "years", "time between the readings", 4, func(r *study.Row) float64 { return r.Years }),
	ventNumber("age_years", "years", "age of the unit in the middle", 3, func(r *study.Row) float64 { return r.AgeYears }),
	ventNumber("vent_of_fan", "1", "vent's loss over the fan's pressure; for re-routing its change", 5, func(r *study.Row) float64 { return r.OfFan }),
	ventNumber("vent_of_run", "1", "equivalent length over the longest run; for re-routing its change", 5, func(r *study.Row) float64 { return r.OfRun }),
	ventNumber("vent_length_m", "m", "length on record after", 2, func(r *study.Row) float64 { return r.LengthM }),
	ventNumber("vent_diameter_m", "m", "diameter on record after", 4, func(r *study.Row) float64 { return r.DiameterM }),
	ventNumber("change_air_k", "K", "change of combustion air", 1, func(r *study.Row) float64 { return r.AirK }),
	ventNumber("altitude_m", "m", "altitude", 0, func(r *study.Row) float64 { return r.AltitudeM }),
}

// VentRows is the table of the rows a vent study is made from.
func VentRows(s *study.Study) Table {
	t := Table{Name: "rows"}
	for _, c := range ventColumns {
		t.Columns = append(t.Columns, c.Column)
	}
	for i := range s.Rows {
		var row []Cell
		for _, c := range ventColumns {
			row = append(row, c.of(&s.Rows[i]))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// VentDictionary says what each column of the rows holds.
func VentDictionary(*study.Study) Table {
	t := Table{Name: "dictionary"}
	for _, name := range []string{"column", "unit", "meaning", "source"} {
		t.Columns = append(t.Columns, Column{Name: name, Kind: Text})
	}
	for _, c := range ventColumns {
		t.Rows = append(t.Rows, []Cell{TextCell(c.Name), TextCell(c.Unit), TextCell(c.Meaning), TextCell(c.Source)})
	}
	return t
}

// VentEffects is the table of all coefficients of a vent study.
func VentEffects(s *study.Study) Table {
	t := Table{Name: "effects"}
	for _, name := range []string{"question", "fire", "response", "measure", "fit", "coefficient", "unit"} {
		t.Columns = append(t.Columns, Column{Name: name, Kind: Text})
	}
	for _, name := range []string{"value", "standard_error", "degrees_of_freedom", "low_95", "high_95", "rows", "units", "sites"} {
		t.Columns = append(t.Columns, Column{Name: name, Kind: Number})
	}
	t.Columns = append(t.Columns, Column{Name: "declared", Kind: Text})
	for _, e := range s.Effects {
		c := e.Contrast
		t.Rows = append(t.Rows, []Cell{TextCell(string(e.Kind)), TextCell(e.Fire), TextCell(e.Response), TextCell(e.Measure), TextCell(e.Fit), TextCell(e.Name), TextCell(e.Unit),
			NumberCell(c.Value, 5), NumberCell(c.SE, 5), NumberCell(c.DF, 1), NumberCell(c.Low, 5), NumberCell(c.High, 5),
			CountCell(e.Rows), CountCell(e.Units), CountCell(e.Sites), TextCell(declared(e))})
	}
	return t
}

func declared(e study.Effect) string {
	if e.Primary {
		return "declared"
	}
	return "exploratory"
}

// VentsLine is the answer to the declared comparison in one line.
func VentsLine(s *study.Study) string {
	for _, e := range s.Effects {
		if e.Primary && e.Name == "vent" {
			q, c := e.Equivalence, e.Contrast
			words := "this does not show the effect to be within"
			if q.Holds {
				words = "this is within"
			}
			return fmt.Sprintf("Declared comparison, %s at %s: %+.3f %s from no vent to the longest run (95 %% interval %+.3f to %+.3f; %d units, %d sites); %s %g %s by two one-sided tests.",
				e.Kind, e.Fire, c.Value, e.Unit, c.Low, c.High, e.Units, e.Sites, words, q.Bound, e.Unit)
		}
	}
	return fmt.Sprintf("Declared comparison, %s at %s: too few rows to say anything.", s.Settings.Primary.Kind, s.Settings.Primary.Fire)
}

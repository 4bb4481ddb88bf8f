package report

import (
	"fmt"
	"math"

	"fluedrift/analysis/study"
)

// ventRow is a row of a vent study with whether its main fit takes it.
type ventRow struct {
	*study.Row
	taken bool
}

func ventNumber(name, unit, source, meaning string, decimals int, of func(*ventRow) float64) column[ventRow] {
	return column[ventRow]{Column{Name: name, Meaning: meaning, Unit: unit, Source: source, Kind: Number}, func(r *ventRow) Cell { return NumberCell(of(r), decimals) }}
}

func ventText(name, source, meaning string, of func(*ventRow) string) column[ventRow] {
	return column[ventRow]{Column{Name: name, Meaning: meaning, Source: source, Kind: Text}, func(r *ventRow) Cell { return TextCell(of(r)) }}
}

func ventDay(name, source, meaning string, of func(*ventRow) int32) column[ventRow] {
	return column[ventRow]{Column{Name: name, Meaning: meaning, Unit: "day", Source: source, Kind: Day}, func(r *ventRow) Cell { return DayCell(of(r)) }}
}

// ventColumns are the columns of the analysis rows: what the fits saw, with digits
// enough to make them again.
var ventColumns = []column[ventRow]{
	ventText("question", "judged", "installation: start-up as found less factory test; re-routing: as found on the altered vent less as left before; drift: next as found on the same vent less as left", func(r *ventRow) string { return string(r.Kind) }),
	ventText("serial", "register", "unit", func(r *ventRow) string { return r.Serial }),
	ventText("site", "register", "site: the cluster of the errors; a unit without one is its own", func(r *ventRow) string { return r.Site }),
	ventText("area", "register", "area", func(r *ventRow) string { return r.Area }),
	ventText("model_line", "register", "model line", func(r *ventRow) string { return r.Line }),
	ventText("control", "register", "burner control", func(r *ventRow) string { return r.Control }),
	ventText("fuel", "readings", "fuel of both readings", func(r *ventRow) string { return r.Fuel }),
	ventText("fire", "readings", "high, single, low, or low less high: the difference of both fires of one event", func(r *ventRow) string { return r.Fire }),
	ventText("in_fit", "judged", "yes where the pooled fit of its question and fire takes the row (single fire goes with high)", func(r *ventRow) string { return yesNo(r.taken) }),
	ventText("source", "readings", "source of the later reading", func(r *ventRow) string { return r.Source }),
	ventText("reason", "readings", "reason of the later visit", func(r *ventRow) string { return r.Reason }),
	ventDay("before", "readings", "day of the earlier reading", func(r *ventRow) int32 { return r.Before }),
	ventDay("after", "readings", "day of the later reading", func(r *ventRow) int32 { return r.After }),
	ventDay("set", "readings", "day the burner was last set before; empty where not known", func(r *ventRow) int32 { return r.Set }),
	ventText("analyzer_before", "readings", "analyzer of the earlier reading", func(r *ventRow) string { return r.AnalyzerBefore }),
	ventText("analyzer_after", "readings", "analyzer of the later reading", func(r *ventRow) string { return r.AnalyzerAfter }),
	ventNumber("change_co2_points", "points", "readings", "change of CO2 less target, % by volume dry", 6, func(r *ventRow) float64 { return r.CO2Points }),
	ventNumber("change_ln_lambda", "1", "judged", "change of the logarithm of the air number", 7, func(r *ventRow) float64 { return r.LnLambda }),
	ventNumber("years_between", "years", "readings", "time between the readings", 6, func(r *ventRow) float64 { return r.Years }),
	ventNumber("age_years", "years", "register", "age of the unit in the middle", 6, func(r *ventRow) float64 { return r.AgeYears }),
	ventNumber("settled_years", "years", "readings", "how much of the first year after a setting lies between", 6, func(r *ventRow) float64 { return r.Settled }),
	ventNumber("vent_of_run", "1", "register", "equivalent length over the longest run; of re-routing and installation its change", 7, func(r *ventRow) float64 { return r.OfRun }),
	ventNumber("vent_years", "years", "judged", "of re-routing: equivalent length over the longest run times the years on each vent between", 7, func(r *ventRow) float64 { return r.VentYears }),
	ventNumber("vent_of_fan", "1", "judged", "vent's loss over the fan's pressure, by the middle resistance of fittings; of re-routing and installation its change", 7, func(r *ventRow) float64 { return r.OfFan }),
	ventNumber("vent_of_fan_low", "1", "judged", "the same by the lowest resistance of fittings", 7, func(r *ventRow) float64 { return r.OfFanLow }),
	ventNumber("vent_of_fan_high", "1", "judged", "the same by the highest", 7, func(r *ventRow) float64 { return r.OfFanHigh }),
	ventNumber("longest_run_m", "m", "targets", "longest run of the model line", 2, func(r *ventRow) float64 { return r.LongestM }),
	ventNumber("vent_length_m", "m", "register", "length on record after", 2, func(r *ventRow) float64 { return r.LengthM }),
	ventNumber("vent_length_before_m", "m", "register", "of re-routing: length on record before", 2, func(r *ventRow) float64 { return r.LengthBeforeM }),
	ventNumber("vent_diameter_m", "m", "register", "diameter on record after", 4, func(r *ventRow) float64 { return r.DiameterM }),
	ventNumber("elbows_90", "1", "register", "elbows of 90 degrees after", 0, func(r *ventRow) float64 { return known(r.Elbows90) }),
	ventNumber("elbows_45", "1", "register", "elbows of 45 degrees after", 0, func(r *ventRow) float64 { return known(r.Elbows45) }),
	ventText("air_from", "register", "where combustion air comes from", func(r *ventRow) string { return r.AirFrom }),
	ventNumber("change_air_k", "K", "readings", "change of combustion air between the readings; a bench that does not say is taken at 20 degC", 6, func(r *ventRow) float64 { return r.AirK }),
	ventNumber("air_c", "degC", "readings", "combustion air at the later reading", 2, func(r *ventRow) float64 { return r.AirC }),
	ventNumber("altitude_m", "m", "register", "altitude", 1, func(r *ventRow) float64 { return r.AltitudeM }),
	ventNumber("physics_co2_points", "points", "judged", "what the change of loss does to CO2 by itself, by the middle resistance of fittings", 6, func(r *ventRow) float64 { return r.PhysicsPoints.Middle }),
}

// VentRows is the table of the rows a vent study is made from.
func VentRows(s *study.Study) Table {
	taken := map[int]bool{}
	for i := range s.Diagnostics {
		for _, k := range s.Diagnostics[i].Rows {
			taken[k] = true
		}
	}
	rows := make([]ventRow, len(s.Rows))
	for i := range s.Rows {
		rows[i] = ventRow{&s.Rows[i], taken[i]}
	}
	t := fill("rows", ventColumns, rows)
	t.AsOf = s.AsOf
	return t
}

// effectColumns are the columns of the table of coefficients.
var effectColumns = append(append([]column[study.Effect]{
	{Column{Name: "question", Meaning: "installation, re-routing or drift", Source: "judged", Kind: Text}, func(e *study.Effect) Cell { return TextCell(string(e.Kind)) }},
	{Column{Name: "fire", Meaning: "high (single with it), low, or low less high", Source: "judged", Kind: Text}, func(e *study.Effect) Cell { return TextCell(e.Fire) }},
	{Column{Name: "response", Meaning: "what changes: CO2 or ln lambda", Source: "judged", Kind: Text}, func(e *study.Effect) Cell { return TextCell(e.Response) }},
	{Column{Name: "measure", Meaning: "how vents are told apart", Source: "judged", Kind: Text}, func(e *study.Effect) Cell { return TextCell(e.Measure) }},
	{Column{Name: "fit", Meaning: "set of columns", Source: "judged", Kind: Text}, func(e *study.Effect) Cell { return TextCell(e.Fit) }},
	{Column{Name: "coefficient", Meaning: "name of the coefficient; vent is from no vent to the longest run, or to a loss of the fan's whole pressure", Source: "judged", Kind: Text}, func(e *study.Effect) Cell { return TextCell(e.Name) }},
	{Column{Name: "unit", Meaning: "its unit", Source: "judged", Kind: Text}, func(e *study.Effect) Cell { return TextCell(e.Unit) }},
}, contrastColumns(func(e *study.Effect) study.Contrast { return e.Contrast })...), append(countColumns(func(e *study.Effect) study.Counts { return e.Counts }),
	column[study.Effect]{Column{Name: "declared", Meaning: "declared beforehand, or exploratory", Source: "judged", Kind: Text}, func(e *study.Effect) Cell { return TextCell(declared(e)) }})...)

// contrastColumns are the columns of an estimate.
func contrastColumns[T any](of func(*T) study.Contrast) []column[T] {
	number := func(name, meaning string, decimals int, v func(study.Contrast) float64) column[T] {
		return column[T]{Column{Name: name, Meaning: meaning, Source: "judged", Kind: Number}, func(t *T) Cell { return NumberCell(v(of(t)), decimals) }}
	}
	return []column[T]{
		number("value", "the estimate", 6, func(c study.Contrast) float64 { return c.Value }),
		number("standard_error", "its standard error, rows of a site going together", 6, func(c study.Contrast) float64 { return c.SE }),
		number("degrees_of_freedom", "of the standard error", 2, func(c study.Contrast) float64 { return c.DF }),
		number("low_95", "lower end of its 95 % interval", 6, func(c study.Contrast) float64 { return c.Low }),
		number("high_95", "upper end of its 95 % interval", 6, func(c study.Contrast) float64 { return c.High }),
	}
}

// countColumns are the columns of what lies behind a figure.
func countColumns[T any](of func(*T) study.Counts) []column[T] {
	count := func(name, meaning string, v func(study.Counts) int) column[T] {
		return column[T]{Column{Name: name, Meaning: meaning, Source: "judged", Kind: Number}, func(t *T) Cell { return CountCell(v(of(t))) }}
	}
	return []column[T]{
		count("rows", "differences behind it", func(c study.Counts) int { return c.Rows }),
		count("units", "units behind it", func(c study.Counts) int { return c.Units }),
		count("sites", "sites behind it", func(c study.Counts) int { return c.Sites }),
		count("segments", "stretches from one setting to the next behind it", func(c study.Counts) int { return c.Segments }),
		count("readings", "readings behind it", func(c study.Counts) int { return c.Readings }),
	}
}

// known is a count as a number, missing where it is not known.
func known(n int) float64 {
	if n < 0 {
		return math.NaN()
	}
	return float64(n)
}

// VentEffects is the table of all coefficients of a vent study.
func VentEffects(s *study.Study) Table {
	t := fill("effects", effectColumns, s.Effects)
	t.AsOf = s.AsOf
	return t
}

func declared(e *study.Effect) string {
	if e.Primary {
		return "declared"
	}
	return "exploratory"
}

// VentsLine is the answer to the declared comparison in one line.
func VentsLine(s *study.Study) string {
	p := s.Settings.Primary
	for i := range s.Effects {
		e := &s.Effects[i]
		if !e.Primary {
			continue
		}
		q, c := e.Equivalence, e.Contrast
		words := "this does not show the effect to be within"
		if q.Holds {
			words = "this is within"
		}
		return fmt.Sprintf("Declared comparison, %s at %s: %+.3f %s from no vent to the longest run (95 %% interval %+.3f to %+.3f; %s, %s); %s %g %s by two one-sided tests.",
			p.Kind, fireWords(p.Fire), c.Value, e.Unit, c.Low, c.High, units(e.Units), counted(e.Sites, "site"), words, q.Bound, e.Unit)
	}
	return fmt.Sprintf("Declared comparison, %s at %s: too few rows to say anything.", p.Kind, fireWords(p.Fire))
}

// fireWords names a fire in a sentence.
func fireWords(fire string) string {
	if fire == study.LowLessHigh {
		return fire
	}
	return fire + " fire"
}

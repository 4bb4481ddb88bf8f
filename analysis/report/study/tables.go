package study

import (
	"math"

	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/model/day"
)

// ventRow is a row of a vent study with whether its main fit takes it.
type ventRow struct {
	*study.Row
	taken bool
}

// ventColumns are the columns of the analysis rows: what the fits saw, with digits
// enough to make them again.
var ventColumns = []table.ColumnOf[ventRow]{
	table.TextColumn("question", "", "judged",
		"installation: start-up as found less factory test; re-routing: as found on the altered vent less as left before; "+
			"drift: next as found on the same vent less as left",
		func(r *ventRow) string { return string(r.Kind) }),
	table.TextColumn("serial", "", "register",
		"unit",
		func(r *ventRow) string { return r.Serial }),
	table.TextColumn("site", "", "register",
		"site: the cluster of the errors; a unit without one is its own",
		func(r *ventRow) string { return r.Site }),
	table.TextColumn("area", "", "register",
		"area",
		func(r *ventRow) string { return r.Area }),
	table.TextColumn("model_line", "", "register",
		"model line",
		func(r *ventRow) string { return r.Line }),
	table.TextColumn("control", "", "register",
		"burner control",
		func(r *ventRow) string { return string(r.Control) }),
	table.TextColumn("fuel", "", "readings",
		"fuel of both readings",
		func(r *ventRow) string { return r.Fuel }),
	table.TextColumn("fire", "", "readings",
		"high, single, low, or low less high: the difference of both fires of one event",
		func(r *ventRow) string { return string(r.Fire) }),
	table.TextColumn("in_fit", "", "judged",
		"yes where the pooled fit of its question and fire takes the row (single fire goes with high)",
		func(r *ventRow) string { return words.YesNo(r.taken) }),
	table.TextColumn("source", "", "readings",
		"source of the later reading",
		func(r *ventRow) string { return r.Source }),
	table.TextColumn("reason", "", "readings",
		"reason of the later visit",
		func(r *ventRow) string { return string(r.Reason) }),
	table.DayColumn("before", "", "readings",
		"day of the earlier reading",
		func(r *ventRow) day.Day { return r.Before }),
	table.DayColumn("after", "", "readings",
		"day of the later reading",
		func(r *ventRow) day.Day { return r.After }),
	table.DayColumn("set", "", "readings",
		"day the burner was last set before; empty where not known",
		func(r *ventRow) day.Day { return r.Set }),
	table.TextColumn("analyzer_before", "", "readings",
		"analyzer of the earlier reading",
		func(r *ventRow) string { return r.AnalyzerBefore }),
	table.TextColumn("analyzer_after", "", "readings",
		"analyzer of the later reading",
		func(r *ventRow) string { return r.AnalyzerAfter }),
	table.NumberColumn("change_co2_points", "", "points", "readings",
		"change of CO2 less target, % by volume dry",
		6, func(r *ventRow) float64 { return r.CO2Points }),
	table.NumberColumn("change_ln_lambda", "", "1", "judged",
		"change of the logarithm of the air number",
		7, func(r *ventRow) float64 { return r.LnLambda }),
	table.NumberColumn("years_between", "", "years", "readings",
		"time between the readings",
		6, func(r *ventRow) float64 { return r.Years }),
	table.NumberColumn("age_years", "", "years", "register",
		"age of the unit in the middle",
		6, func(r *ventRow) float64 { return r.AgeYears }),
	table.NumberColumn("settled_years", "", "years", "readings",
		"how much of the first year after a setting lies between",
		6, func(r *ventRow) float64 { return r.Settled }),
	table.NumberColumn("vent_of_run", "", "1", "register",
		"equivalent length over the longest run; of re-routing and installation its change",
		7, func(r *ventRow) float64 { return r.OfRun }),
	table.NumberColumn("vent_years", "", "years", "judged",
		"of re-routing: equivalent length over the longest run times the years on each vent between",
		7, func(r *ventRow) float64 { return r.VentYears }),
	table.NumberColumn("vent_of_fan", "", "1", "judged",
		"vent's loss over the fan's pressure, by the middle resistance of fittings; of re-routing and installation its change",
		7, func(r *ventRow) float64 { return r.OfFan }),
	table.NumberColumn("vent_of_fan_low", "", "1", "judged",
		"the same by the lowest resistance of fittings",
		7, func(r *ventRow) float64 { return r.OfFanLow }),
	table.NumberColumn("vent_of_fan_high", "", "1", "judged",
		"the same by the highest",
		7, func(r *ventRow) float64 { return r.OfFanHigh }),
	table.NumberColumn("longest_run_m", "", "m", "targets",
		"longest run of the model line",
		2, func(r *ventRow) float64 { return r.LongestM }),
	table.NumberColumn("vent_length_m", "", "m", "register",
		"length on record after",
		2, func(r *ventRow) float64 { return r.LengthM }),
	table.NumberColumn("vent_length_before_m", "", "m", "register",
		"of re-routing: length on record before",
		2, func(r *ventRow) float64 { return r.LengthBeforeM }),
	table.NumberColumn("vent_diameter_m", "", "m", "register",
		"diameter on record after",
		4, func(r *ventRow) float64 { return r.DiameterM }),
	table.NumberColumn("elbows_90", "", "1", "register",
		"elbows of 90 degrees after",
		0, func(r *ventRow) float64 { return known(r.Elbows90) }),
	table.NumberColumn("elbows_45", "", "1", "register",
		"elbows of 45 degrees after",
		0, func(r *ventRow) float64 { return known(r.Elbows45) }),
	table.TextColumn("air_from", "", "register",
		"where combustion air comes from",
		func(r *ventRow) string { return r.AirFrom }),
	table.NumberColumn("change_air_k", "", "K", "readings",
		"change of combustion air between the readings; a bench that does not say is taken at 20 degC",
		6, func(r *ventRow) float64 { return r.AirK }),
	table.NumberColumn("air_c", "", "degC", "readings",
		"combustion air at the later reading",
		2, func(r *ventRow) float64 { return r.AirC }),
	table.NumberColumn("altitude_m", "", "m", "register",
		"altitude",
		1, func(r *ventRow) float64 { return r.AltitudeM }),
	table.NumberColumn("physics_co2_points", "", "points", "judged",
		"what the change of loss does to CO2 by itself, by the middle resistance of fittings",
		6, func(r *ventRow) float64 { return r.PhysicsPoints.Middle }),
}

// ventRows is the table of the rows a vent study is made from.
func ventRows(s *study.Study) table.Table {
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
	t := table.Fill("rows", ventColumns, rows)
	t.AsOf = s.AsOf
	return t
}

// effectColumns are the columns of the table of coefficients.
var effectColumns = append(append([]table.ColumnOf[study.Effect]{
	table.TextColumn("question", "", "judged",
		"installation, re-routing or drift",
		func(e *study.Effect) string { return string(e.Kind) }),
	table.TextColumn("fire", "", "judged",
		"high (single with it), low, or low less high",
		func(e *study.Effect) string { return string(e.Fire) }),
	table.TextColumn("response", "", "judged",
		"what changes: CO2 or ln lambda",
		func(e *study.Effect) string { return e.Response }),
	table.TextColumn("measure", "", "judged",
		"how vents are told apart",
		func(e *study.Effect) string { return e.Measure }),
	table.TextColumn("fit", "", "judged",
		"set of columns",
		func(e *study.Effect) string { return e.Fit }),
	table.TextColumn("control", "", "register",
		"burner control that the rows or the effect are of; empty: all",
		func(e *study.Effect) string { return string(e.Control) }),
	table.TextColumn("coefficient", "", "judged",
		"name of the coefficient; vent is from no vent to the longest run, or to a loss of the fan's whole pressure",
		func(e *study.Effect) string { return e.Name }),
	table.TextColumn("unit", "", "judged",
		"its unit",
		func(e *study.Effect) string { return e.Unit }),
}, contrastColumns(func(e *study.Effect) study.Contrast { return e.Contrast })...),
	append(countColumns(func(e *study.Effect) study.Counts { return e.Counts }),
		table.TextColumn("declared", "", "judged",
			"declared beforehand, or exploratory",
			func(e *study.Effect) string { return words.Declared(e.Primary) }))...)

// contrastColumns are the columns of an estimate.
func contrastColumns[T any](of func(*T) study.Contrast) []table.ColumnOf[T] {
	number := func(name, meaning string, decimals int, v func(study.Contrast) float64) table.ColumnOf[T] {
		return table.NumberColumn(name, "", "", "judged",
			meaning,
			decimals, func(t *T) float64 { return v(of(t)) })
	}
	return []table.ColumnOf[T]{
		number("value", "the estimate", 6, func(c study.Contrast) float64 { return c.Value }),
		number("standard_error", "its standard error, rows of a site going together", 6, func(c study.Contrast) float64 { return c.SE }),
		number("degrees_of_freedom", "of the standard error", 2, func(c study.Contrast) float64 { return c.DF }),
		number("low_95", "lower end of its 95 % interval", 6, func(c study.Contrast) float64 { return c.Low }),
		number("high_95", "upper end of its 95 % interval", 6, func(c study.Contrast) float64 { return c.High }),
	}
}

// countColumns are the columns of what lies behind a figure.
func countColumns[T any](of func(*T) study.Counts) []table.ColumnOf[T] {
	count := func(name, meaning string, v func(study.Counts) int) table.ColumnOf[T] {
		return table.CountColumn(name, "", "", "judged",
			meaning,
			func(t *T) int { return v(of(t)) })
	}
	return []table.ColumnOf[T]{
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

// ventEffects is the table of all coefficients of a vent study.
func ventEffects(s *study.Study) table.Table {
	t := table.Fill("effects", effectColumns, s.Effects)
	t.AsOf = s.AsOf
	return t
}

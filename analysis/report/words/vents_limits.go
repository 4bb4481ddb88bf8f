package words

import (
	"fmt"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/study"
	"fluedrift/model/day"
)

// VentLimits are what a study of service records cannot say, with what was found
// in these records where that can be counted.
func VentLimits(in units.Set, s *study.Study) []Item {
	_, step := Step(in)
	return []Item{
		{"Design", "Observational: nobody drew lots for vents. Differences within a unit cancel what stays the same in it, and " +
			"nothing else. Words such as effect mean a difference that goes with the vent."},
		{"Confounding", "Long vents go with certain buildings, model lines, fuels and areas. The fits with fuel, model line " +
			"and altitude, and one area left out at a time, show how far the figure moves; what is not on record cannot be taken out."},
		{"Lengths on record", lengthWords(s)},
		{"Visits", "Not at random: units that give trouble are seen more often, and some technicians record an as-found reading only " +
			"where it is bad, which makes drift look larger on the vents concerned. The study without call-outs stands among the " +
			"sensitivities."},
		{"Factory bench", "The constant of installation holds bench, transport, gas and altitude together; only its slope is " +
			"about vents. A bench that records no air is taken at " + in.TemperatureOf(study.BenchAirC) + "."},
		{"Analyzers", "Two analyzers take part in most rows. Their errors are noise in the pooled fit; the fit with analyzers " +
			"takes out what each reads more than the others."},
		{"Loss of a vent", "Computed for a gas at full rate from recorded length, diameter and elbows, with the range of " +
			"resistances that handbooks give for fittings; whatever blocks a vent is not on record."},
		{"Many comparisons", fmt.Sprintf("One was declared beforehand. Those of the table of effects are one family, and their p are "+
			"adjusted for its size (Holm); the intervals of all %d coefficients are not.", len(s.Effects))},
		{"Equivalence", fmt.Sprintf("Shown only where the 90 %% interval of the effect of %s lies within %g points (a year for drift). "+
			"An interval that contains zero does not show that there is no effect.", step, s.Settings.Bound)},
	}
}

// lengthWords says how far recorded lengths can be trusted.
func lengthWords(s *study.Study) string {
	e := &s.LengthErrors
	words := "Errors in them pull effects towards zero."
	switch {
	case e.From == study.FromRepeats:
		words += fmt.Sprintf(" Their size is taken from %d repeated registers that differ without an alteration: standard "+
			"deviation %s of the logarithm (%s to %s). Such pairs show errors of measuring again, not errors that are copied.",
			e.Pairs, Number(e.SD, 3), Number(e.Low, 3), Number(e.High, 3))
	case e.From == study.FromDeclared:
		words += fmt.Sprintf(" Their size is declared in the configuration, %s of the logarithm; %d repeated registers are too "+
			"few to measure it.", Number(e.SD, 3), e.Pairs)
	default:
		words += fmt.Sprintf(" Their size is not known: %d repeated registers differ without an alteration, and none is "+
			"declared. No correction is made.", e.Pairs)
	}
	if n := len(s.Flow.TypedLengths); n > 0 {
		words += fmt.Sprintf(" Lengths that far too many units share (%d of them) are treated as not known.", n)
	}
	return words
}

// CheckItem is an item of the checklist: what readers of such a study should be
// told, the answer, and the section of the report that holds more.
type CheckItem struct {
	Number  int
	Asks    string
	Says    string
	Section string
}

// VentChecklist answers, for a vent study, the twenty-two items that reports of
// observational studies should hold by the STROBE statement (von Elm, Altman, Egger,
// Pocock, Gotzsche and Vandenbroucke, PLoS Medicine 4, 2007, e296; the items from
// memory, in our own words). No answer is ever empty.
func VentChecklist(in units.Set, s *study.Study) []CheckItem {
	p := s.Settings.Primary
	_, step := Step(in)
	all := s.Describe()
	from, to := spanOf(all)
	return []CheckItem{
		{1, "Title and summary", "The title names the question, the first lines give the declared comparison with its interval " +
			"and say that the study is observational.", "answer"},
		{2, "Why it was done", "A longer vent takes more of the fan's pressure; whether burners of a fleet are set, and stay, " +
			"where they should be in spite of it is not known beforehand.", "questions"},
		{3, "What is asked", fmt.Sprintf("Three questions kept apart, each within one burner control; declared: %s, %s "+
			"more of equivalent length, against a bound of %g points. How it came to be declared: %s.",
			Comparison(p), step, s.Settings.Bound, orNot(HowDeclared(s.PrimaryWhy))), "questions"},
		{4, "Design", "Records of service visits, looked at afterwards: differences between two readings of one unit, related " +
			"to its vent.", "questions"},
		{5, "Where and when", fmt.Sprintf("Records as of %s; later readings of the rows from %s to %s; %d areas, %d sources of "+
			"records.", Day(s.AsOf), Day(from), Day(to),
			distinct(s, func(r *study.Row) string { return r.Area }), distinct(s, func(r *study.Row) string { return r.Source })), "flow"},
		{6, "Who takes part", fmt.Sprintf("Every unit of the register with readings, %d of %d; which pairs of readings make a "+
			"row, and why others do not, is counted.", s.Flow.WithReadings, s.Flow.Units), "flow"},
		{7, "What is measured", "Outcome: change of CO2 less target, and of the logarithm of the air number. Exposure: the " +
			"vent, as equivalent length over the longest run and as its loss over the fan's pressure. Taken into account: change " +
			"of air by burner control; of re-routing what drifts between; of drift age and settling; beside the pooled fit burner control, fuel, " +
			"model line, altitude, analyzers.", "questions"},
		{8, "Where figures come from", fmt.Sprintf("Combustion readings by %d analyzers and the register of vents, exported "+
			"for service, not for this study. Every column is explained in dictionary.csv.", distinct(s,
			func(r *study.Row) string { return r.AnalyzerAfter })), "files"},
		{9, "Bias", "Differences within units, doubtful readings removed beforehand by rules that do not use the vent, errors of " +
			"length examined, sites as clusters; what remains is listed.", "limits"},
		{10, "Size", "No size was planned: all records there are. A fit needs 30 rows, the declared comparison ten sites as " +
			"well; how wide the intervals are says whether that was enough.", "flow"},
		{11, "How numbers are used", "Vent and air enter as they are, in a straight line; a natural cubic spline with knots at " +
			"quantiles looks for bends. No number was cut into groups.", "curves"},
		{12, "Methods", "Least squares with errors clustered by site (CR2, Satterthwaite's degrees of freedom); joint tests by " +
			"Hotelling's T squared; equivalence by two one-sided tests; rows without a column that a fit needs are left out and " +
			"counted; sensitivities declared in the program, the same for every fleet.", "sensitivity"},
		{13, "Numbers at each stage", fmt.Sprintf("%s, %d with readings; %d pairs of readings left out, by reason; %d rows "+
			"that no fit takes.", Units(s.Flow.Units), s.Flow.WithReadings, sumOf(s.Flow.LeftOut), sumOf(s.Flow.NotFitted)), "flow"},
		{14, "What units are like", "Lengths, ages, controls, fuels and what is missing, by question; a map of lengths and " +
			"diameters.", "flow"},
		{15, "Outcomes", "Middle and quartiles of the change, by question.", "flow"},
		{16, "Main results", "The effect of the vent with interval and what lies behind it, for three questions, each burner " +
			"control and fire; other estimates of the same beside it.", "effects"},
		{17, "Other analyses", fmt.Sprintf("Whether burner controls differ, curves, prediction from physics, %d sensitivities; all "+
			"exploratory.", max(0, len(s.Sensitivities)-1)), "sensitivity"},
		{18, "What was found", VentsLine(in, s), "answer"},
		{19, "Limits", "Design, confounding, lengths, visits, bench and analyzers, with the direction of their bias where it is " +
			"known.", "limits"},
		{20, "What it means", "The figures describe this fleet's records. Read the declared comparison first, then whether " +
			"sensitivities and physics agree with it; a difference that goes with vents does not prove that vents cause it.", "limits"},
		{21, "Where else it holds", "For model lines, controls and lengths as they occur here (see the map); not beyond the " +
			"longest run, and not for other fleets without looking.", "map"},
		{22, "Who paid", "The program cannot know who asked for the study or pays for the service looked at; whoever passes " +
			"the report on should add it.", "files"},
	}
}

// spanOf is from when to when rows go.
func spanOf(all []study.Description) (from, to day.Day) {
	from, to = day.None, day.None
	for _, d := range all {
		if d.Rows == 0 {
			continue
		}
		if from == day.None || d.From < from {
			from = d.From
		}
		to = max(to, d.To)
	}
	return from, to
}

// distinct counts what rows hold of something.
func distinct(s *study.Study, of func(*study.Row) string) int {
	seen := map[string]bool{}
	for i := range s.Rows {
		if v := of(&s.Rows[i]); v != "" {
			seen[v] = true
		}
	}
	return len(seen)
}

func sumOf[K comparable](counts map[K]int) (n int) {
	for _, c := range counts {
		n += c
	}
	return n
}

func orNot(s string) string {
	if s == "" {
		return "not said"
	}
	return s
}

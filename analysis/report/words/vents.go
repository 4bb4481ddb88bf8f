package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/study"
	"fluedrift/model/judge"
)

// Item is a line of the checklist of what a report of a forecast should say.
type Item struct{ Asks, Says string }

// Declared says how a comparison stands.
func Declared(beforehand bool) string {
	if beforehand {
		return "declared"
	}
	return "exploratory"
}

// VentsLine is the answer to the declared comparison in one line.
func VentsLine(in units.Set, s *study.Study) string {
	for _, m := range study.Metres(s) {
		if !m.Declared || m.Why != nil {
			continue
		}
		step, text := Step(in)
		c := m.Estimates[0].Scaled(step)
		unit := PointsOf(m.Kind)
		return fmt.Sprintf("Declared comparison, %s: %+.3f %s for %s more of equivalent length (95 %% interval %+.3f to %+.3f; %s, %s): %s.",
			Comparison(m.Primary), c.Value, unit, text, c.Low, c.High, Units(m.Units), Counted(m.Sites, "site"),
			against(&m, step, s.Settings.Bound))
	}
	return fmt.Sprintf("Declared comparison, %s: too few rows to say anything.", Comparison(s.Settings.Primary))
}

// Comparison names a question, a fire and a burner control.
func Comparison(p study.Primary) string {
	name := string(p.Kind) + " at " + Fire(p.Fire)
	if p.Control != "" {
		name += ", " + string(p.Control)
	}
	return name
}

// PointsOf is the unit of a change of CO2.
func PointsOf(kind study.Kind) string {
	if kind == study.Drift {
		return "points a year"
	}
	return "points"
}

// Step is the length, m, that effects are told by, and its words: ten metres, or thirty
// feet.
func Step(in units.Set) (m float64, text string) {
	n, unit := 10.0, in.UnitOf(units.Length)
	if unit == "ft" {
		n = 30
	}
	return n / in.Value(units.Length, 1), fmt.Sprintf("%g %s", n, unit)
}

// against says what a step of length does beside the bound that matters, and how many
// units would settle it.
func against(m *study.PerMetre, stepM, bound float64) string {
	c := m.Estimates[0].Scaled(stepM)
	switch c.Against(bound) {
	case study.None:
		return fmt.Sprintf("within %g", bound)
	case study.Matters:
		return fmt.Sprintf("beyond %g", bound)
	}
	return fmt.Sprintf("not settled against %g; about %d units would show an effect of none", bound, m.Needed(bound/stepM))
}

// Beside says the same in a word or two.
func Beside(m *study.PerMetre, stepM, bound float64) string {
	c := m.Estimates[0].Scaled(stepM)
	switch c.Against(bound) {
	case study.None:
		return "within"
	case study.Matters:
		return "beyond"
	}
	return fmt.Sprintf("open, %d", m.Needed(bound/stepM))
}

// Bench says what to leave a burner at on the factory's vent.
func Bench(b study.Bench) string {
	one := ""
	if !math.IsNaN(b.OneLow) {
		one = fmt.Sprintf("; for one unit %s to %s, 90 %%", Number(b.OneLow, 2), Number(b.OneHigh, 2))
	}
	far := ""
	if b.Outside {
		far = " EXTRAPOLATION."
	}
	return fmt.Sprintf("%s: set %s %% CO2 on the bench (95 %% interval %s to %s%s) to be at %s on this vent, with the air of the bench.%s",
		Capital(Fire(b.Fire)), Number(b.Set, 2), Number(b.Low, 2), Number(b.High, 2), one, Number(b.Target, 2), far)
}

// EstimatedBy says how an estimate was made.
func EstimatedBy(by study.EstimateBy) string {
	return [...]string{
		study.ByDriftModel: "drift model", study.ByWithinControl: "this study",
		study.BySharedColumns: "this study, controls together",
	}[by]
}

// WhyItDiffers says why an estimate differs from the others of its quantity.
func WhyItDiffers(e *study.Estimate) string {
	why := [...]string{
		study.ByDriftModel:    "analyzers are estimated and what drifts between is taken from all readings; errors as the model has them",
		study.ByWithinControl: "each pair of readings by itself; analyzers are noise; errors by site",
		study.BySharedColumns: "pairs of readings, what burner controls have in common estimated once; errors by site",
	}[e.By]
	if e.Doubted {
		why += "; the model advises against its figure"
	}
	return why
}

// Fire names// Fire names a fire in a sentence.
func Fire(fire judge.Fire) string {
	if fire == study.LowLessHigh {
		return string(fire)
	}
	return string(fire) + " fire"
}

// VentFiles are the files beside the page.
func VentFiles() []Item {
	return []Item{
		{"rows.csv, rows.parquet", "the analysis rows: the same cells in both"},
		{"effects.csv", "every coefficient of every fit"},
		{"per-metre.csv", "what a metre more does, by question, burner control and fire, with every estimate of the same"},
		{"sensitivity.csv", "the vent's effect computed in other ways, for three questions"},
		{"physics.csv", "what first principles say about the same rows"},
		{"spreads.csv, model.csv", "the drift model's standard deviations with their errors, and its effects: drift of each " +
			"fire and of the offset, and shifts"},
		{"unconfirmed.csv, level-steps.csv", "readings and changes that the others contradict; days on which levels moved together"},
		{
			"dictionary.csv, datapackage.json, csv-metadata.json",
			"what every column means, for people, and in the words of Table Schema and of CSV on the Web",
		},
		{"model.R", "the declared comparison within this study computed again in R, and the closest mixed model by lme4"},
		{"cautions.txt", "the head of this page"},
	}
}

// Span writes an interval.
func Span(c study.Contrast) string { return Signed(c.Low) + " to " + Signed(c.High) }

// Behind says what a figure rests on.
func Behind(c study.Counts) string {
	return fmt.Sprintf("%d / %d / %d / %d / %d", c.Units, c.Sites, c.Segments, c.Readings, c.Rows)
}

// Quartiles writes the middle and the middle half of a number.
func Quartiles(q study.Quartiles, decimals int) string {
	if q.Known == 0 {
		return "not known"
	}
	s := fmt.Sprintf("%s (%s to %s)", Number(q.Middle, decimals), Number(q.Low, decimals), Number(q.High, decimals))
	if q.Missing > 0 {
		s += fmt.Sprintf(", %d not known", q.Missing)
	}
	return s
}

// ShareList writes counts of words, the most frequent first.
func ShareList(all []study.Share) string {
	var parts []string
	for _, s := range all {
		parts = append(parts, fmt.Sprintf("%s %d", Visible(s.Name), s.Rows))
	}
	const most = 8
	if len(parts) > most {
		parts = slices.Concat(parts[:most], []string{fmt.Sprintf("%d more", len(parts)-most)})
	}
	return strings.Join(parts, ", ")
}

// NotMade says what the data did not carry, and why.
func NotMade(n study.NotMade) string {
	fit := fmt.Sprintf("%s, %s, %s by %s, %s", n.Kind, n.Fire, n.Response, n.Measure, n.Fit)
	switch n.Part {
	case study.ATest:
		fit += ", test of vent x burner control"
	case study.ACurve:
		fit = fmt.Sprintf("curve of %s, %s by %s", n.Kind, n.Fire, n.Measure)
	}
	return fit + ": " + Lack(n.Why)
}

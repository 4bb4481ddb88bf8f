package words

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/analysis/study"
	"fluedrift/model/judge"
)

// Item is a line of the checklist of what a report of a forecast should say.
type Item struct{ Asks, Says string }

func Declared(e *study.Effect) string {
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
		return fmt.Sprintf("Declared comparison, %s at %s: %+.3f %s from no vent to the longest run (95 %% interval %+.3f to "+
			"%+.3f; %s, %s); %s %g %s by two one-sided tests.",
			p.Kind, Fire(p.Fire), c.Value, e.Unit, c.Low, c.High, Units(e.Units), Counted(e.Sites, "site"), words, q.Bound, e.Unit)
	}
	return fmt.Sprintf("Declared comparison, %s at %s: too few rows to say anything.", p.Kind, Fire(p.Fire))
}

// Fire names a fire in a sentence.
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
		{"sensitivity.csv", "the vent's effect computed in other ways, for three questions"},
		{"physics.csv", "what first principles say about the same rows"},
		{"spreads.csv, model.csv", "the drift model's standard deviations with their errors, and its effects: drift of each " +
			"fire and of the offset, and shifts"},
		{"unconfirmed.csv, level-steps.csv", "readings and changes that the others contradict; days on which levels moved together"},
		{
			"dictionary.csv, datapackage.json, csv-metadata.json",
			"what every column means, for people, and in the words of Table Schema and of CSV on the Web",
		},
		{"model.R", "the declared comparison computed again in R, and the closest mixed model by lme4"},
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

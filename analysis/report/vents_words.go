package report

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/analysis/study"
)

// ventFiles are the files beside the page.
func ventFiles() []Item {
	return []Item{
		{"rows.csv, rows.parquet", "the analysis rows: the same cells in both"},
		{"effects.csv", "every coefficient of every fit"},
		{"sensitivity.csv", "the vent's effect made otherwise, three questions"},
		{"physics.csv", "what first principles say of the same rows"},
		{"spreads.csv, model.csv", "the drift model's standard deviations with their errors, and its effects: drift of each fire and of the offset, and shifts"},
		{"unconfirmed.csv, level-steps.csv", "readings and changes the others contradict; days on which levels moved together"},
		{"dictionary.csv, datapackage.json, csv-metadata.json", "what every column means, for people, and in the words of Table Schema and of CSV on the Web"},
		{"model.R", "the declared comparison made again in R, and the closest mixed model by lme4"},
		{"cautions.txt", "what stands at the head of this page"},
	}
}

// signed writes a number with its sign.
func signed(v float64) string {
	s := number(v, 3)
	if s != "-" && !strings.HasPrefix(s, "-") {
		return "+" + s
	}
	return s
}

// span writes an interval.
func span(c study.Contrast) string { return signed(c.Low) + " to " + signed(c.High) }

// behind says what a figure rests on.
func behind(c study.Counts) string {
	return fmt.Sprintf("%d / %d / %d / %d / %d", c.Units, c.Sites, c.Segments, c.Readings, c.Rows)
}

// quartileWords writes the middle and the middle half of a number.
func quartileWords(q study.Quartiles, decimals int) string {
	if q.Known == 0 {
		return "not known"
	}
	s := fmt.Sprintf("%s (%s to %s)", number(q.Middle, decimals), number(q.Low, decimals), number(q.High, decimals))
	if q.Missing > 0 {
		s += fmt.Sprintf(", %d not known", q.Missing)
	}
	return s
}

// shareList writes counts of words, the most frequent first.
func shareList(all []study.Share) string {
	var parts []string
	for _, s := range all {
		parts = append(parts, fmt.Sprintf("%s %d", visible(s.Name), s.Rows))
	}
	const most = 8
	if len(parts) > most {
		parts = slices.Concat(parts[:most], []string{fmt.Sprintf("%d more", len(parts)-most)})
	}
	return strings.Join(parts, ", ")
}

// capital writes the first letter large.
func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

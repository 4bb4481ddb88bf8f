package draft

import (
	"fmt"
	"regexp"
	"slices"

	"fluedrift/ingest/layout"
)

// labelled is a row that says what the rows below it are of: "Site: Oak Hill".
var labelled = regexp.MustCompile(`^(\pL[\pL ]*?)\s*[:=]\s*(\S.*)$`)

// fewestHeadings is how many rows have to head others.
const fewestHeadings = 2

// headings takes rows of one cell that name what a column is missing for: the site, or the
// day, of the rows below. The first stands above all other rows.
func headings(d *drafter) []step {
	have := map[string]bool{}
	for _, c := range d.columns {
		have[guessField(layout.Units, c.header)] = true
		have[guessField(layout.Readings, c.header)] = true
	}
	said := map[string][]string{} // texts by label
	var labels []string
	row, above := false, map[string]bool{}
	for _, r := range d.rows {
		if filled(r.cells) != 1 || len(d.header) < 3 {
			row = row || filled(r.cells) > 1
			continue
		}
		m := labelled.FindStringSubmatch(firstText(r.cells))
		if m == nil {
			continue
		}
		if said[m[1]] == nil {
			labels = append(labels, m[1])
			above[m[1]] = !row
		}
		said[m[1]] = append(said[m[1]], m[2])
	}
	var s layout.Step
	rows := 0
	for _, label := range labels {
		field := headingField(label)
		if field == "" || have[field] || len(said[label]) < fewestHeadings || !above[label] {
			continue
		}
		have[field] = true
		rows += len(said[label])
		s.Patterns = append(s.Patterns, regexp.QuoteMeta(label)+`\s*[:=]\s*(?P<`+field+`>.+)`)
	}
	if s.Patterns == nil {
		return nil
	}
	s.Do = layout.HeadingRows
	first := labels[0] + ": " + said[labels[0]][0]
	return []step{{s, fmt.Sprintf("%s of one cell head the rows below, as %q does", Counted(rows, "row"), first)}}
}

// ofThePage are words of what is said of a printed page; common practice, no source.
var ofThePage = []string{
	"printed", "page", "exported", "export", "created", "generated", "gedruckt", "seite", "erstellt", "imprime", "total",
}

// headingField is the field that a label of a heading names; "" for none that a heading gives.
func headingField(label string) string {
	if slices.ContainsFunc(words(label), func(w string) bool { return slices.Contains(ofThePage, w) }) {
		return ""
	}
	for _, record := range []string{layout.Units, layout.Readings} {
		switch f := guessField(record, label); f {
		case "site", "area", "serial", "model_line", "technician", "analyzer", "day", "plant":
			return f
		}
	}
	return ""
}

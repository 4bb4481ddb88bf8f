package draft

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// separations are columns with several values in a cell: a vent run as length and
// elbows, several gases, a fire with a condition or a rate.
func separations(d *drafter) (all []step) {
	taken := slices.Clone(d.header)
	for i := range d.columns {
		c := &d.columns[i]
		for _, look := range []func(record string, c *draftColumn) *step{runOf, gasesOf, firesOf} {
			s := look(d.record, c)
			if s == nil {
				continue
			}
			made := s.Makes()
			if slices.ContainsFunc(made, func(m string) bool {
				return slices.ContainsFunc(taken, func(t string) bool { return parse.Fold(t) == parse.Fold(m) })
			}) {
				continue // the parts have columns of their own
			}
			all, taken = append(all, *s), append(taken, made...)
			break
		}
	}
	return all
}

// separation is the step that separates a column by those of the patterns that fit some
// of its cells, if together they fit most, and those that make several parts of a cell
// half of them; nil otherwise.
func separation(c *draftColumn, patterns []string, why string) *step {
	try := layout.Step{Do: layout.Separate, Column: c.header, Patterns: patterns}
	if try.Compile() != nil {
		return nil
	}
	filled, fits, several := 0, 0, 0
	used := make([]bool, len(patterns))
	for _, cell := range c.cells {
		if cell == "" || slices.Contains(usualMarkers, parse.Fold(cell)) {
			continue
		}
		filled++
		p, parts := try.Patterned(cell)
		if p < 0 {
			continue
		}
		fits++
		used[p] = true
		if len(parts) > 2 {
			several++
		}
	}
	if filled < 2 || 10*fits < 8*filled || 2*several < filled {
		return nil
	}
	kept := layout.Step{Do: layout.Separate, Column: c.header}
	for i, p := range patterns {
		if used[i] {
			kept.Patterns = append(kept.Patterns, p)
		}
	}
	if kept.Compile() != nil {
		return nil
	}
	return &step{kept, fmt.Sprintf("%s: %d of %d cells", why, fits, filled)}
}

// Parts of a vent run as people write them: "35 ft + 3 el", "70ft/5 90s", "12 m, 2
// coudes". Common practice, no source.
const (
	runLength = `(?P<%slength>\d+(?:[.,]\d+)? ?(?:ft|feet|['′m])\.?)`
	run90     = `(?P<%selbows_90>\d+) ?x? ?(?:90|el|bend|coude|b[oö]gen|codo)[\pL°'’.]*(?: (?:el|bend)\pL*)?`
	run45     = `(?P<%selbows_45>\d+) ?x? ?(?:el\pL* )?45[\pL°'’.]*(?: (?:el|bend)\pL*)?`
	runJoin   = `\s*(?:[-+/,;&]|and|with|et|und)?\s*`
)

// runOf separates a vent or intake run into straight length and elbows.
func runOf(record string, c *draftColumn) *step {
	prefix := ""
	switch guessField(layout.Units, c.header) {
	case "vent_length", "elbows_90":
		prefix = "vent_"
	case "intake_length", "intake_elbows_90":
		prefix = "intake_"
	}
	if record != layout.Units || prefix == "" {
		return nil
	}
	elbows := strings.TrimPrefix(prefix, "vent_") // the fields are vent_length and elbows_90
	length, n90, n45 := fmt.Sprintf(runLength, prefix), fmt.Sprintf(run90, elbows), fmt.Sprintf(run45, elbows)
	var patterns []string
	for _, parts := range [][]string{
		{length, n90, n45}, {length, n45, n90}, {length, n90}, {length, n45}, {n90, n45, length}, {n90, length}, {length}, {n90},
	} {
		patterns = append(patterns, `(?i)`+strings.Join(parts, runJoin))
	}
	return separation(c, patterns, "its cells are straight length and elbows")
}

// gasPart is one gas of a cell with several: a number, or nothing.
const gasPart = `(?P<%s>(?:\d+(?:[.,]\d+)?)? ?(?:%%|ppm)?)`

// gasesOf separates a column whose header names several gases and whose cells have as
// many numbers.
func gasesOf(record string, c *draftColumn) *step {
	have := words(c.header)
	var gases, rest []string
	for _, w := range have {
		if gas := gasWords[w]; gas == "" {
			rest = append(rest, w)
		} else if !slices.Contains(gases, gas) {
			gases = append(gases, gas)
		}
	}
	if record != layout.Readings || len(gases) < 2 {
		return nil
	}
	var parts []string
	for _, gas := range gases {
		parts = append(parts, fmt.Sprintf(gasPart, partName(append(slices.Clone(rest), gas))))
	}
	const why = "its header names several gases, and its cells have as many numbers"
	return separation(c, []string{strings.Join(parts, `\s*[/|;:\\+&-]\s*`)}, why)
}

// partName makes the name of a part from words.
func partName(words []string) string {
	name := notInNames.ReplaceAllString(strings.Join(words, "_"), "")
	if name == "" || name[0] >= '0' && name[0] <= '9' {
		name = "part_" + name
	}
	return name
}

// notInNames is what the name of a part of a pattern cannot hold.
var notInNames = regexp.MustCompile(`[^A-Za-z0-9_]`)

// firesOf separates words of a fire from those of a condition, or a rate.
func firesOf(record string, c *draftColumn) *step {
	if record != layout.Readings {
		return nil
	}
	var fires, conditions []string
	reversed, rates, filled := 0, 0, 0
	for _, cell := range c.cells {
		if cell == "" {
			continue
		}
		filled++
		if fire, other, first := cutFire(cell); fire != "" {
			fires = add(fires, fire)
			switch {
			case endsInRate.MatchString(cell):
				rates++
			case other != "":
				conditions = add(conditions, other)
			}
			if !first {
				reversed++
			}
		}
	}
	if filled == 0 || len(fires) == 0 || len(fires)+len(conditions) > 24 {
		return nil
	}
	fire, join := part("fire", fires), `[^\pL\pN]*`
	if 2*rates > filled {
		return separation(c, []string{`(?i)` + fire + join + `(?P<rate>\d+(?:[.,]\d+)? ?%?)\)?`}, "its cells are a fire and a rate")
	}
	if len(conditions) == 0 {
		return nil
	}
	both := []string{`(?i)` + fire + join + part("condition", conditions), `(?i)` + part("condition", conditions) + join + fire}
	if reversed == 0 {
		both = both[:1]
	}
	return separation(c, both, "its cells are a fire and a condition")
}

var endsInRate = regexp.MustCompile(`\pL[^\pL\pN]*\d+(?:[.,]\d+)? ?%\)?$`)

// cutFire cuts a cell where its words of a fire end and those of a condition begin, or
// the other way round; the fire alone where a number follows.
func cutFire(cell string) (fire, other string, first bool) {
	if m := endsInRate.FindStringIndex(cell); m != nil {
		word := strings.TrimRight(cell, "0123456789.,% ()-–:/@")
		if f, c := fireAndCondition(word); f != "" && c == "" {
			return word, "", true
		}
	}
	for i := 1; i < len(cell); i++ {
		left, right := strings.Trim(cell[:i], " -–/,:|.()"), strings.Trim(cell[i:], " -–/,:|.()")
		if left == "" || right == "" || !isWords(left) || !isWords(right) {
			continue
		}
		lf, lc := fireAndCondition(left)
		rf, rc := fireAndCondition(right)
		switch {
		case lf != "" && lc == "" && rc != "" && rf == "":
			return left, right, true
		case lc != "" && lf == "" && rf != "" && rc == "":
			return right, left, false
		}
	}
	return "", "", false
}

// isWords reports a text of letters and blanks.
func isWords(s string) bool {
	return strings.Trim(s, " abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZäöüéèàâß") == ""
}

// part is a named part of a pattern: one of some words, the longer first.
func part(name string, words []string) string {
	slices.SortFunc(words, func(x, y string) int {
		if len(x) != len(y) {
			return len(y) - len(x)
		}
		return strings.Compare(x, y)
	})
	var quoted []string
	for _, w := range words {
		quoted = append(quoted, regexp.QuoteMeta(w))
	}
	return "(?P<" + name + ">" + strings.Join(quoted, "|") + ")"
}

func add(all []string, word string) []string {
	if slices.ContainsFunc(all, func(w string) bool { return strings.EqualFold(w, word) }) {
		return all
	}
	return append(all, word)
}

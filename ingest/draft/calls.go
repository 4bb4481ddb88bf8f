package draft

import (
	"fmt"
	"regexp"
	"slices"

	"fluedrift/ingest/layout"
)

// callRules are headers of service calls that those of readings have not, or not first;
// common practice, no source.
var callRules = []fieldRule{
	{"visit_id", []string{"ticket", "job", "call", "case", "order", "wo", "incident", "auftrag", "meldung", "bon"}},
	{"day", []string{"visited", "attended", "completed", "closed", "opened", "reported", "logged", "gemeldet", "erledigt"}},
	{"technician", []string{"assigned", "attended by"}},
}

// rulesOfCalls are the rules for service calls: the fields of a visit as readings name
// them. Nothing makes a reason of what was reported: a reason is of the visit.
func rulesOfCalls() []fieldRule {
	all := callRules
	for _, r := range fieldRules[layout.Readings] {
		if _, ok := layout.FieldOf(layout.Visits, r.field); ok && r.field != "reason" {
			all = append(all, r)
		}
	}
	return all
}

// partPatterns say in a free text that a part was changed, and which; common practice,
// no source.
var partPatterns = []string{
	`(?i)(?:.*\b)?(?:replaced|renewed)(?: the| a)? (?P<part_replaced>.+)`,
	`(?i)(?P<part_replaced>.+) (?:replaced|renewed)`,
	`(?i)(?P<part_replaced>.+) (?:getauscht|ausgetauscht|erneuert|ersetzt|gewechselt)`,
	`(?i)(?:.*\b)?(?:remplacé|remplacement)(?: du| de la| de| le| la)? (?P<part_replaced>.+)`,
}

// fewestParts is in how many cells a part was changed before a column is taken for what
// was done.
const fewestParts = 3

// findParts cuts the parts that were changed out of the column that names the most, where
// none is headed so.
func findParts(d *drafter) []step {
	headed := func(h string) string { return guessField(d.record, h) }
	if d.record != layout.Visits || slices.ContainsFunc(d.header, func(h string) bool { return headed(h) == "parts" }) {
		return nil
	}
	best, most, filled := "", fewestParts-1, 0
	var fits []string
	for _, c := range d.columns {
		if headed(c.header) != "" {
			continue
		}
		n, cells, patterns := partsIn(c.cells)
		if n > most {
			best, most, filled, fits = c.header, n, cells, patterns
		}
	}
	if best == "" {
		return nil
	}
	return []step{{
		layout.Step{Do: layout.Separate, Column: best, Patterns: fits},
		fmt.Sprintf("%d of %d cells say that a part was changed", most, filled),
	}}
}

// partsIn counts the cells that say that a part was changed, and gives the patterns that
// are needed for them.
func partsIn(cells []string) (n, filled int, patterns []string) {
	used := make([]bool, len(partPatterns))
	for _, cell := range cells {
		if cell == "" {
			continue
		}
		filled++
		for i, p := range partPatterns {
			if regexp.MustCompile(`^(?:` + p + `)$`).MatchString(cell) {
				n, used[i] = n+1, true
				break
			}
		}
	}
	for i, u := range used {
		if u {
			patterns = append(patterns, partPatterns[i])
		}
	}
	return n, filled, patterns
}

// writeReason writes the reason of service calls: they are call-outs, whatever was
// reported, until a person says otherwise.
func writeReason(d *writer) {
	if d.record == layout.Visits && !d.has("reason") {
		fmt.Fprintf(&d.b, "\n[constants]\nreason = %s # guess: nobody plans a service call; a visit without readings is never a routine one\n",
			toml("call-out"))
	}
}

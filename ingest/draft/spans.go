package draft

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// Words of headers of the gas in a bottle, and of what an analyzer read of it; common
// practice, no source.
var (
	spanWords  = []string{"span", "bottle", "cylinder", "nominal", "applied", "prufgas", "soll", "sollwert", "etalon"}
	foundWords = []string{"found", "read", "reading", "measured", "indicated", "displayed", "ist", "istwert", "gemessen", "lu"}
)

// gasNames are gases as the cells of a column name them.
var gasNames = map[string]string{
	"co2": "co2", "co₂": "co2", "carbon dioxide": "co2", "kohlendioxid": "co2", "o2": "o2", "o₂": "o2", "oxygen": "o2", "sauerstoff": "o2",
	"co": "co", "carbon monoxide": "co", "kohlenmonoxid": "co", "no": "no", "nox": "nox", "no2": "no2", "so2": "so2", "ch4": "ch4",
}

// spans are the columns of a log of calibrations that have a span and what was found, of
// gases that another column names, or that nothing does.
type spans struct{ *drafter }

// columns are those of the span, of what was found, and of the gas; nil where there are
// none, or where a header says which gas it is.
func (d spans) columns() (span, found, gas *draftColumn) {
	if d.record != layout.Analyzers {
		return nil, nil, nil
	}
	for i := range d.drafter.columns {
		c := &d.drafter.columns[i]
		have := words(c.header)
		isOf := func(all []string) bool {
			return slices.ContainsFunc(have, func(w string) bool { return slices.Contains(all, w) }) &&
				!slices.ContainsFunc(have, func(w string) bool { return gasWords[w] != "" }) && mostlyNumbers(d.grammar, c.cells)
		}
		switch {
		case c.field != "" && c.field != "calibrated" || spent(d.steps, c.header):
		case span == nil && isOf(spanWords):
			span = c
		case found == nil && isOf(foundWords):
			found = c
		case gas == nil && isGases(c.cells):
			gas = c
		}
	}
	return span, found, gas
}

// isGases reports cells that are names of gases and nothing else.
func isGases(cells []string) bool {
	all := filledCells(cells)
	return len(all) > 0 && !slices.ContainsFunc(all, func(cell string) bool { return gasNames[parse.Fold(cell)] == "" })
}

// otherGases leaves out calibrations with other gases than CO2.
func otherGases(d *drafter) []step {
	span, found, gas := spans{d}.columns()
	if span == nil || found == nil || gas == nil {
		return nil
	}
	var others []string
	rows, co2 := 0, 0
	for _, cell := range gas.cells {
		switch name := parse.Fold(cell); {
		case gasNames[name] == "co2":
			co2++
		default:
			rows++
			if !slices.Contains(others, name) {
				others = append(others, name)
			}
		}
	}
	if rows == 0 || co2 == 0 {
		return nil
	}
	slices.Sort(others)
	return []step{{
		layout.Step{Do: layout.LeaveOut, Column: gas.header, Values: others},
		fmt.Sprintf("%d of %s are with other gases than CO2", rows, Counted(len(gas.cells), "calibration")),
	}}
}

// fill takes the columns for spans of CO2, where the column of gases or a person says so.
func (d spans) fill() {
	defer d.pair()
	span, found, gas := d.columns()
	if span == nil || found == nil || d.has("found_error") || d.has("span_co2") || d.has("found_co2") {
		return
	}
	why := "by its header"
	switch {
	case gas == nil && !d.answered(span, found):
		return
	case gas == nil:
		why = "by your answer"
	case !slices.ContainsFunc(gas.cells, func(cell string) bool { return gasNames[parse.Fold(cell)] == "co2" }):
		return
	}
	for c, name := range map[*draftColumn]string{span: "span_co2", found: "found_co2"} {
		f, _ := layout.FieldOf(d.record, name)
		c.field, c.notes = name, []string{why}
		if gas != nil {
			c.note("column %q says CO2", gas.header)
		}
		d.guessCells(c, f)
	}
}

// pair leaves a span, or what was found, unread where the other half is missing: one alone
// tells no error, and a layout with it would not load.
func (d spans) pair() {
	if d.has("span_co2") == d.has("found_co2") {
		return
	}
	for i := range d.drafter.columns {
		if c := &d.drafter.columns[i]; c.field == "span_co2" || c.field == "found_co2" {
			d.notes = append(d.notes, fmt.Sprintf("column %q is not read: both the test gas and the reading of it are needed", c.header))
			c.field, c.unit, c.notes = "", "", []string{"nothing to compare it with"}
		}
	}
}

// answered asks which gas it is.
func (d spans) answered(span, found *draftColumn) bool {
	q := Question{
		Key: "gas of " + span.header, Ask: fmt.Sprintf("Which gas are columns %q and %q of? No header says it.", span.header, found.header),
		Choices: []string{"CO2", "another gas"}, Guess: "another gas", Cost: len(span.cells) / 10,
	}
	for _, c := range []*draftColumn{span, found} {
		q.Evidence = append(q.Evidence, fmt.Sprintf("%q: %s", c.header, strings.Join(firstDifferent(c.cells), ", ")))
	}
	return d.ask(q) == "CO2"
}

// firstDifferent are the first different filled cells.
func firstDifferent(cells []string) (all []string) {
	for _, cell := range cells {
		if cell != "" && len(all) < samples && !slices.Contains(all, cell) {
			all = append(all, cell)
		}
	}
	return all
}

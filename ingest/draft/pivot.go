package draft

import (
	"fmt"
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// mostNames is how many different names of what was measured a file has at most.
const mostNames = 40

// pivots finds a file with a row for each value that was measured: a column of names of
// gases and the like, beside a column of numbers. Its rows are put together into visits.
func pivots(d *drafter) []step {
	for i := range d.columns {
		names := measuredNames(&d.columns[i])
		if names == nil {
			continue
		}
		value, unit := valueColumn(d, i), ""
		if value < 0 {
			continue
		}
		var ids []string
		for j, c := range d.columns {
			switch field := guessField(layout.Readings, c.header); {
			case j == i || j == value:
			case holdsUnits(c.cells):
				unit = c.header
			case slices.Contains([]string{"visit_id", "serial", "day", "fire", "condition"}, field):
				ids = append(ids, c.header)
			}
		}
		s := step{Step: layout.Step{
			Do: layout.PivotWider, Ids: ids, NamesFrom: d.columns[i].header, ValuesFrom: d.columns[value].header, UnitsFrom: unit, Names: names,
		}, why: fmt.Sprintf("a row a value, and %d names of what was measured", len(names))}
		if len(ids) > 1 && together(d, s) {
			return []step{s}
		}
	}
	return nil
}

// measuredNames are the different cells of a column, where at least two of them are gases
// and half of them fields of a reading; nil otherwise.
func measuredNames(c *draftColumn) (names []string) {
	gases, known := map[string]bool{}, 0
	for _, cell := range c.cells {
		if cell == "" || slices.ContainsFunc(names, func(n string) bool { return parse.Fold(n) == parse.Fold(cell) }) {
			continue
		}
		if names = append(names, cell); len(names) > mostNames {
			return nil
		}
		field := guessField(layout.Readings, cell)
		f, ok := layout.FieldOf(layout.Readings, field)
		if field == "co2" || field == "o2" || field == "co" {
			gases[field] = true
		}
		if ok && (f.Kind == layout.Measured || f.Kind == layout.CO) {
			known++
		}
	}
	if len(gases) < 2 || 2*known < len(names) || 2*len(names) > len(c.cells) {
		return nil
	}
	return names
}

// valueColumn is the first column behind that of the names, else before it, of which most
// cells are numbers and which is no id and no gas of its own.
func valueColumn(d *drafter, names int) int {
	for k := range d.columns {
		at := (names + 1 + k) % len(d.columns)
		isID := slices.Contains([]string{"serial", "visit_id", "day"}, guessField(layout.Readings, d.columns[at].header))
		if at != names && !isID && mostlyNumbers(parse.Numbers{Decimal: "."}, d.columns[at].cells) {
			return at
		}
	}
	return -1
}

// holdsUnits reports a column whose cells are units of measure.
func holdsUnits(cells []string) bool {
	filled, units := 0, 0
	for _, c := range cells {
		if c == "" {
			continue
		}
		filled++
		if len(quantity.MarkOf(c)) > 0 {
			units++
		}
	}
	return units > 0 && 2*units > filled
}

// together reports a pivot that makes fewer rows of those that were looked at, and in
// which hardly a visit has two values under one name.
func together(d *drafter, s step) bool {
	try := *d
	if apply(&try, s) != nil {
		return false
	}
	return 2*len(try.rows) <= len(d.rows) && try.wrong*20 <= len(try.rows)
}

package draft

import (
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// Certainty is how sure it is what a column is taken for.
type Certainty int

// From the surest down. A person should look at what is Guessed or Doubtful.
const (
	Answered Certainty = iota // a person said so
	Sure                      // header and cells agree
	Likely                    // most cells can be read so
	Guessed                   // nothing but the size of numbers tells the unit
	Doubtful                  // half of the cells cannot be read so
	Unread                    // it is taken for nothing
)

// evidence gathers what speaks for a draft.
type evidence struct{ *drafter }

// samples is how many different cells stand for a column.
const samples = 3

// columnOf is what a column is taken for, with the evidence.
func (d evidence) columnOf(c *draftColumn) Column {
	out := Column{
		Header: c.header, Field: c.field, Unit: c.unit, Carry: c.carry, Fire: c.fire, Condition: c.condition,
		Why: strings.Join(c.notes, "; "), Others: d.others(c),
	}
	out.Cells = firstDifferent(c.cells)
	out.Filled, out.Read = d.readable(c)
	out.Certainty = certainty(c, out)
	return out
}

// certainty grades a column by where its meaning comes from and how its cells bear it out.
func certainty(c *draftColumn, out Column) Certainty {
	has := func(text string) bool {
		return slices.ContainsFunc(c.notes, func(n string) bool { return strings.Contains(n, text) })
	}
	switch {
	case c.field == "" && c.carry == "":
		return Unread
	case has("by your answer"):
		return Answered
	case 2*out.Read < out.Filled:
		return Doubtful
	case has("check it"):
		return Guessed
	case 50*out.Read >= 49*out.Filled:
		return Sure
	}
	return Likely
}

// readable counts the filled cells of a column, markers of missing values apart, and
// those that can be read as what it is taken for.
func (d evidence) readable(c *draftColumn) (filled, read int) {
	reads := d.reader(c)
	for _, cell := range c.cells {
		if cell == "" || slices.Contains(usualMarkers, parse.Fold(cell)) {
			continue
		}
		filled++
		if reads(cell) {
			read++
		}
	}
	return filled, read
}

// reader tells the cells that can be read as what a column is taken for.
func (d evidence) reader(c *draftColumn) func(cell string) bool {
	f, _ := layout.FieldOf(d.record, c.field)
	switch f.Kind {
	case layout.Measured, layout.CO:
		several := severalUnits(d)
		units := several.unitsAt(c, -1)
		return func(cell string) bool {
			_, within := several.readIn(cell, f, units)
			return within
		}
	case layout.Day:
		days, err := newDaysIn(c.ways())
		if err != nil {
			break
		}
		return func(cell string) bool {
			_, _, fault := days.Parse(cell)
			return fault == nil
		}
	case layout.Code:
		return func(cell string) bool { return c.codes[cell] != "" }
	}
	return func(string) bool { return true }
}

// others are the fields and units that a column could be else, by its header and its
// numbers.
func (d evidence) others(c *draftColumn) (all []string) {
	have := words(c.header)
	for _, r := range fieldRules[d.record] {
		fits := slices.ContainsFunc(r.any, func(alt string) bool { return hasAll(have, strings.Fields(alt)) })
		if fits && r.field != c.field && !slices.Contains(all, r.field) {
			all = append(all, r.field)
		}
	}
	if c.days != nil && c.days.other != "" {
		all = append(all, "days written "+c.days.other)
	}
	return append(all, d.otherUnits(c)...)
}

// otherUnits are the units in which the middle of a column's numbers is possible too,
// where its header does not name one.
func (d evidence) otherUnits(c *draftColumn) (all []string) {
	f, _ := layout.FieldOf(d.record, c.field)
	if f.Kind != layout.Measured && f.Kind != layout.CO || !slices.ContainsFunc(c.notes, func(n string) bool {
		return strings.HasPrefix(n, "unit by the size")
	}) {
		return nil
	}
	var numbers []float64
	for _, cell := range c.cells {
		if n, _, fault := d.grammar.Split(cell); fault == nil {
			numbers = append(numbers, n.Value)
		}
	}
	middle := Median(numbers)
	for _, u := range unitWords {
		unit, err := quantity.Lookup(u.unit)
		name := "in " + u.unit
		if err != nil || u.unit == c.unit || !f.Takes(unit) || slices.Contains(all, name) {
			continue
		}
		if f.InBounds(unit.ToCanonical(middle), unit) == nil {
			all = append(all, name)
		}
	}
	return all
}

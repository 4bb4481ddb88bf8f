package draft

import (
	"math"

	"fluedrift/ingest/layout"
)

// mostApart is how many points an analyzer reads from its test gas at most: beyond, its
// calibration is set aside.
const mostApart = 2

// foundBesideSpan takes, in a log of calibrations that has the gas in the bottle and no
// reading of it, the column whose numbers lie about that gas: of several the one that is
// filled most often, for what is read after an adjustment stands where one was made.
func (d byCells) foundBesideSpan() {
	if d.record != layout.Analyzers || !d.has("span_co2") || d.has("found_co2") || d.has("found_error") {
		return
	}
	var span *draftColumn
	for i := range d.columns {
		if d.columns[i].field == "span_co2" {
			span = &d.columns[i]
		}
	}
	best, most := -1, 0
	for i := range d.columns {
		if c := &d.columns[i]; c.field == "" && c.carry == "" {
			if n := d.about(span, c); n > most {
				best, most = i, n
			}
		}
	}
	if f, ok := layout.FieldOf(d.record, "found_co2"); ok && 2*most > len(span.cells) {
		c := &d.columns[best]
		c.field, c.notes = f.Name, []string{"by its numbers, which lie about the test gas"}
		d.guessCells(c, f)
	}
}

// about counts the rows in which a column has a number about that of the test gas; 0 where
// another is none, or lies far from it in more than a tenth of the rows.
func (d byCells) about(span, c *draftColumn) (n int) {
	far := 0
	for i, cell := range c.cells {
		gas, _, f := d.grammar.Split(span.cells[i])
		if cell == "" || f != nil {
			continue
		}
		read, _, f := d.grammar.Split(cell)
		if f != nil || math.Abs(read.Value-gas.Value) > mostApart {
			far++
			continue
		}
		n++
	}
	if 10*far > n {
		return 0
	}
	return n
}

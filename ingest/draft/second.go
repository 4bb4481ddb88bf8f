package draft

import (
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// secondID takes a column of a register for second ids of its boilers: one of which all
// cells differ, where a column of another file names boilers by it that no serial is.
func (d byCells) secondID() {
	if d.record != layout.Units || d.has("second_id") || !d.sure {
		return
	}
	serials := map[string]bool{}
	for _, c := range d.columns {
		if c.field == "serial" {
			for _, cell := range c.cells {
				serials[parse.Fold(cell)] = true
			}
		}
	}
	best, most := -1, 0
	for i := range d.columns {
		c := &d.columns[i]
		own, differ := d.differing(slices.Index(d.header, c.header))
		if c.field != "" || !differ || len(serials) == 0 || daysOf(c.cells).parted() {
			continue
		}
		for _, other := range d.known.Columns {
			if n := namedBySecond(other, serials, own); n > most {
				best, most = i, n
			}
		}
	}
	if best >= 0 {
		c := &d.columns[best]
		c.field, c.carry, c.notes = "second_id", "", nil
		c.note("another file names %d boilers by it", most)
	}
}

// namedBySecond counts the cells of a column of another file that are second ids and no
// serials; 0 where they are few, or a tenth of its cells or more are neither.
func namedBySecond(other, serials, second map[string]bool) int {
	n, neither, filled := 0, 0, 0
	for cell := range other {
		if cell == "" || slices.Contains(usualMarkers, cell) {
			continue
		}
		filled++
		switch {
		case serials[cell]:
		case second[cell] && looksLikeID(cell):
			n++
		default:
			neither++
		}
	}
	if n < fewestKeys || 10*neither >= filled {
		return 0
	}
	return n
}

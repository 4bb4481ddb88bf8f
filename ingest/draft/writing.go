package draft

import (
	"regexp"
	"slices"
	"strings"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// writing finds how numbers are written.
type writing struct{ *drafter }

// guess decides the decimal mark by which more cells are numbers; those that are stored
// as numbers are read without one. A mark
// before three digits, where no other cell has one, is a thousands mark.
func (d writing) guess() {
	ways := []parse.Numbers{{Decimal: "."}, {Decimal: ".", Thousands: ","}, {Decimal: ","}, {Decimal: ",", Thousands: "."}}
	if d.file.Delimiter == ";" && !d.loneThousands() { // which is written where the comma is a decimal mark
		ways[1], ways[2] = ways[2], ways[1]
	}
	best := -1
	for _, g := range ways {
		n := 0
		for _, c := range d.columns {
			for i, cell := range c.cells {
				if d.stored(&c, i) {
					continue
				}
				if _, rest, f := g.Split(cell); f == nil && (rest == "" || len(quantity.MarkOf(rest)) > 0) {
					n++
				}
			}
		}
		if n > best {
			best, d.grammar = n, g
		}
	}
	d.writeStored()
}

// writeStored writes numbers that are stored as such in the way of the texts beside
// them, as whoever opens the workbook sees them.
func (d writing) writeStored() {
	for k := range d.columns {
		c := &d.columns[k]
		for i, cell := range c.cells {
			if d.grammar.Decimal != "." && d.stored(c, i) {
				c.cells[i] = strings.Replace(cell, ".", d.grammar.Decimal, 1)
			}
		}
	}
}

// stored reports a cell of a workbook that is stored as a number.
func (d writing) stored(c *draftColumn, cell int) bool {
	stored := d.rows[c.at[cell]].stored
	at := slices.Index(d.header, c.header)
	return at >= 0 && at < len(stored) && (stored[at] == lines.AsNumber || stored[at] == lines.AsPercent)
}

var (
	thousands   = regexp.MustCompile(`^[1-9][0-9]{0,2}(,[0-9]{3})+$`)
	withComma   = regexp.MustCompile(`^-?[0-9]+,[0-9]+$`)
	threeDigits = regexp.MustCompile(`^[1-9][0-9]{2,}$`)
)

// loneThousands reports numbers with a comma before three digits, all of them among
// whole numbers of three digits or more and none with a comma elsewhere: 620 and 1,240
// in one column have a thousands mark, whatever parts the cells.
func (d writing) loneThousands() bool {
	found := false
	for i := range d.columns {
		marked, whole := 0, 0
		for _, cell := range d.columns[i].cells {
			switch {
			case thousands.MatchString(cell):
				marked++
			case withComma.MatchString(cell):
				return false
			case threeDigits.MatchString(cell):
				whole++
			}
		}
		if marked > 0 && whole < marked {
			return false
		}
		found = found || marked > 0
	}
	return found
}

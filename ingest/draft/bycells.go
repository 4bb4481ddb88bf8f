package draft

import (
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// byCells tells fields by what stands in cells: ids that another file has, days, and words
// of a code.
type byCells struct{ *drafter }

// fill looks for the fields that no header names among the columns that are left.
func (d byCells) fill() {
	if !d.sure {
		return
	}
	for _, name := range toldByCells[d.record] {
		f, ok := layout.FieldOf(d.record, name)
		if !ok || d.has(name) || d.wide && f.Place == layout.OfReading {
			continue
		}
		if at := d.column(f); at >= 0 {
			c := &d.columns[at]
			c.field, c.carry, c.notes = name, "", []string{"by its cells"}
			d.guessCells(c, f)
		}
	}
}

// serialColumn is the column whose cells are ids in another file, whatever its header
// says, of those that no header gives another field; -1 where there is none.
func (d byCells) serialColumn() int {
	f, ok := layout.FieldOf(d.record, "serial")
	if !ok || !d.sure {
		return -1
	}
	at := d.column(f)
	if at < 0 {
		return -1
	}
	if of := guessField(d.record, d.columns[at].header); of != "" && of != "plant" {
		return -1
	}
	return at
}

// add adds the required fields of a record that cells tell to those that headers name.
func (d byCells) add(record string, fields map[string]bool) {
	for _, name := range toldByCells[record] {
		f, ok := layout.FieldOf(record, name)
		if ok && f.Required && f.Kind != layout.ID && !fields[name] && d.column(f) >= 0 {
			fields[name] = true
		}
	}
}

// toldByCells are the fields that cells tell, whatever the header says.
var toldByCells = map[string][]string{
	layout.Readings: {"serial", "day", "fire", "condition", "reason"},
	layout.Visits:   {"serial", "day"},
	layout.Units:    {"serial", "fuel", "state", "air_from"},
}

// column is the column without a field that has the most cells of a field; -1
// where none has most of its cells so.
func (d byCells) column(f layout.Field) int {
	best, most := -1, 0
	for i := range d.columns {
		c := &d.columns[i]
		plant := f.Name == "serial" && c.field == "plant" // an id of a boiler where others have it
		if c.field != "" && !plant || c.carry != "" {
			continue
		}
		n := 0
		switch f.Kind {
		case layout.ID:
			n = d.sharedIDs(c)
		case layout.Day:
			if w := daysOf(c.cells); w.mostly() && w.parted() {
				n = w.days
			}
		case layout.Code:
			n = codesIn(c, f)
		}
		if n > most {
			best, most = i, n
		}
	}
	if best < 0 && d.record == layout.Units && f.Kind == layout.ID {
		return d.ownID()
	}
	return best
}

// ownID is the column of a register that calls its cells ids, of which no two are alike;
// -1 where there is none.
func (d byCells) ownID() int {
	return slices.IndexFunc(d.columns, func(c draftColumn) bool {
		_, differ := d.differing(slices.Index(d.header, c.header))
		return differ && c.field == "" && slices.ContainsFunc(words(c.header), func(w string) bool { return slices.Contains(idWords, w) })
	})
}

// idWords are words of headers that call cells ids.
var idWords = []string{"id", "code", "ref", "reference", "key", "nr", "number", "nummer"}

// sharedIDs counts the cells of a column that are ids in another file: of a register,
// whose own cells differ, those that other files have anywhere; else those that stand
// in a column of another file where all cells differ. It is 0 where few cells are.
func (d byCells) sharedIDs(c *draftColumn) int {
	others := d.known.Keys
	if d.record == layout.Units {
		if _, differ := d.differing(slices.Index(d.header, c.header)); !differ {
			return 0
		}
		others = d.known.Others
	}
	most, filled := 0, 0
	for _, cell := range c.cells {
		if cell != "" {
			filled++
		}
	}
	for _, values := range others {
		n := 0
		for _, cell := range c.cells {
			if looksLikeID(cell) && values[parse.Fold(cell)] {
				n++
			}
		}
		most = max(most, n)
	}
	if 3*most < 2*filled {
		return 0
	}
	return most
}

// looksLikeID reports a text that can be an id: it has a digit, and a letter or three
// characters.
func looksLikeID(text string) bool {
	return strings.ContainsAny(text, "0123456789") && len(text) > 2 && len(text) <= 40
}

// mostCodes is how many different words a column of codes has.
const mostCodes = 12

// codesIn counts the cells of a column that are words of a field; 0 where a fifth of
// them or more are none, or half of the rows have none.
func codesIn(c *draftColumn, f layout.Field) int {
	known, filled := 0, 0
	different := map[string]bool{}
	for _, cell := range c.cells {
		if cell == "" {
			continue
		}
		filled++
		different[parse.Fold(cell)] = true
		if c.code(f, cell) != "" {
			known++
		}
	}
	if len(different) > mostCodes || 5*known <= 4*filled || 2*filled < len(c.cells) {
		return 0
	}
	return known
}

// otherCode is the fire or condition that the cells of a column name, where its header
// says something else of which they have nothing.
func (d byCells) otherCode(c *draftColumn, f layout.Field) (layout.Field, bool) {
	if d.record != layout.Readings || f.Name == "" || f.Kind == layout.Code && codesIn(c, f) > 0 {
		return f, false
	}
	for _, name := range []string{"condition", "fire"} {
		other, ok := layout.FieldOf(d.record, name)
		if ok && name != f.Name && codesIn(c, other) > 0 {
			return other, true
		}
	}
	return f, false
}

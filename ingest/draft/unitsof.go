package draft

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// severalUnits tells the units of a column whose cells do not all have one.
type severalUnits struct{ *drafter }

// fewestMarks is how many cells have to have another unit than the rest: one may be a
// slip of the pen.
const fewestMarks = 2

// guess takes the units from marks behind the numbers, else from a column of units.
func (d severalUnits) guess(c *draftColumn, f layout.Field) {
	header := slices.Contains(c.notes, "unit by its header")
	counts, bare := d.marks(c, f)
	units := slices.SortedFunc(maps.Keys(counts), func(a, b string) int {
		if counts[a] != counts[b] {
			return counts[b] - counts[a]
		}
		return strings.Compare(a, b)
	})
	if header {
		units = append([]string{c.unit}, slices.DeleteFunc(units, func(u string) bool { return u == c.unit })...)
	}
	if len(units) > 1 {
		c.unit, c.units = units[0], units
		c.note("units by the marks in its cells")
		if bare > 0 && !header {
			c.note("a number without a mark is taken for %s: check it", c.unit)
		}
		return
	}
	if header || len(units) > 0 {
		return
	}
	if from := d.column(c, f); from != nil {
		c.unit, c.unitFrom, c.unitCodes = "", from.header, unitCodesOf(from)
		c.notes = slices.DeleteFunc(c.notes, func(n string) bool { return strings.HasPrefix(n, "unit by the size") })
		c.note("unit by column %q", from.header)
		d.usual(c, f, from)
	}
}

// usual is the unit of the cells for which the column of units is blank, by their size.
func (d severalUnits) usual(c *draftColumn, f layout.Field, from *draftColumn) {
	units, bare := d.byRow(from), draftColumn{header: c.header, field: c.field}
	for i, cell := range c.cells {
		if cell != "" && units[c.at[i]] == "" {
			bare.cells = append(bare.cells, cell)
		}
	}
	if bare.cells != nil {
		d.guessUnit(&bare, f)
		c.unit = bare.unit
		c.note("%s where that is blank: check it", c.unit)
	}
}

// byRow are the cells of a column by the rows they stand in.
func (d severalUnits) byRow(c *draftColumn) []string {
	all := make([]string, len(d.rows))
	for i, cell := range c.cells {
		all[c.at[i]] = cell
	}
	return all
}

// marks counts the units behind numbers, those that are few left out, and the numbers
// without one.
func (d severalUnits) marks(c *draftColumn, f layout.Field) (counts map[string]int, bare int) {
	counts = map[string]int{}
	for _, cell := range c.cells {
		_, rest, fault := d.grammar.Split(strings.TrimLeft(cell, "<>"))
		switch {
		case fault != nil:
		case rest == "":
			bare++
		default:
			if u, ok := unitMarked(rest); ok && f.Takes(u) {
				counts[u.Name]++
			}
		}
	}
	maps.DeleteFunc(counts, func(_ string, n int) bool { return n < fewestMarks })
	return counts, bare
}

// column is the column that tells the units of another, in two rows or more: the only one
// of its quantity, else the one that stands behind it; nil where neither is.
func (d severalUnits) column(of *draftColumn, f layout.Field) *draftColumn {
	var all []*draftColumn
	at := -1
	for i := range d.columns {
		c := &d.columns[i]
		if c.header == of.header {
			at = i
		}
		if u, ok := unitsIn(c); ok && f.Takes(u) && d.together(c, of) >= fewestMarks {
			all = append(all, c)
		}
	}
	if len(all) == 1 {
		return all[0]
	}
	for _, c := range all {
		if at >= 0 && at+1 < len(d.columns) && c == &d.columns[at+1] {
			return c
		}
	}
	return nil
}

// together counts the rows in which two columns hold something.
func (d severalUnits) together(c, other *draftColumn) (n int) {
	one, two := d.byRow(c), d.byRow(other)
	for i, cell := range one {
		if cell != "" && two[i] != "" {
			n++
		}
	}
	return n
}

// unitHeads are words of headers of units of measure, in six languages; common practice,
// no source.
var unitHeads = []string{"unit", "units", "uom", "einheit", "unite", "unites", "unidad", "eenheid", "unita"}

// unitsIn is a unit of a column whose cells are names of units of one quantity, and
// nothing else: by its header, or because they are temperatures of more than a letter.
func unitsIn(c *draftColumn) (found quantity.Unit, ok bool) {
	headed := slices.ContainsFunc(words(c.header), func(w string) bool { return slices.Contains(unitHeads, w) })
	for _, cell := range c.cells {
		if cell == "" {
			continue
		}
		u, known := unitWritten(cell)
		if !known || ok && u.Kind != found.Kind || !headed && (u.Kind != quantity.Temperature || utf8.RuneCountInString(cell) < 2) {
			return quantity.Unit{}, false
		}
		found, ok = u, true
	}
	return found, ok
}

// unitWritten is the unit that a text in a column of units means.
func unitWritten(text string) (quantity.Unit, bool) {
	switch parse.Fold(text) {
	case "celsius", "c":
		text = "degC"
	case "fahrenheit", "f":
		text = "degF"
	}
	return unitMarked(text)
}

// unitMarked is the unit that is written so behind a number.
func unitMarked(text string) (quantity.Unit, bool) {
	if text == "" {
		return quantity.Unit{}, false
	}
	for _, name := range quantity.MarkOf(text) {
		if u, err := quantity.Lookup(name); err == nil {
			return u, true
		}
	}
	return quantity.Unit{}, false
}

// unitCodesOf is what the texts of a column of units mean.
func unitCodesOf(c *draftColumn) map[string]string {
	codes := map[string]string{}
	for _, cell := range c.cells {
		u, ok := unitWritten(cell)
		same := slices.ContainsFunc(slices.Collect(maps.Keys(codes)), func(k string) bool { return parse.Fold(k) == parse.Fold(cell) })
		if ok && !same {
			codes[cell] = u.Name
		}
	}
	return codes
}

// unitsAt are the units that a cell of a column may have; of a column that another one
// tells the unit of, the one of its row.
func (d severalUnits) unitsAt(c *draftColumn, cell int) (all []quantity.Unit) {
	names := []string{c.unit}
	switch {
	case c.units != nil:
		names = c.units
	case c.unitFrom != "" && cell < 0:
		names = slices.Sorted(maps.Values(c.unitCodes))
	case c.unitFrom != "":
		cells := d.rows[c.at[cell]].cells
		i := slices.Index(d.header, c.unitFrom)
		names = nil
		if i < len(cells) {
			if u, ok := unitWritten(cells[i]); ok {
				names = []string{u.Name}
			} else if cells[i] == "" {
				names = []string{c.unit}
			}
		}
	}
	for _, name := range names {
		if u, err := quantity.Lookup(name); err == nil {
			all = append(all, u)
		}
	}
	return all
}

// readIn reads a cell in the first of the units that takes it.
func (d severalUnits) readIn(cell string, f layout.Field, units []quantity.Unit) (number, within bool) {
	for _, u := range units {
		if n, fault := d.grammar.Limited(cell, u); fault == nil {
			return true, f.InBounds(toStored(n.Value, u, f), u) == nil
		}
	}
	return false, false
}

// toStored is a value in the unit of its field; CO may be a mass.
func toStored(v float64, u quantity.Unit, f layout.Field) float64 {
	stored, err := quantity.Convert(v, u, f.Unit())
	if err != nil {
		return u.ToCanonical(v)
	}
	return stored
}

// writeUnits writes the units of a column that has several.
func writeUnits(b *strings.Builder, c draftColumn) {
	if c.units != nil {
		fmt.Fprintf(b, "units = %s # guess\n", tomlList(c.units))
	}
	if c.unitFrom == "" {
		return
	}
	var pairs []string
	for _, text := range slices.Sorted(maps.Keys(c.unitCodes)) {
		pairs = append(pairs, toml(text)+" = "+toml(c.unitCodes[text]))
	}
	fmt.Fprintf(b, "unit_from = %s # guess\nunit_codes = { %s } # guess\n", toml(c.unitFrom), strings.Join(pairs, ", "))
}

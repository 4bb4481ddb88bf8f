package draft

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/judge"
	"fluedrift/model/quantity"
)

// guessRecord decides what a row is. Only a record counts of which that is there which
// makes it one; calibrations go first, because a log of them has the gases of readings
// too; else the record of which most fields have a column, less the required ones that
// have none. One for one: counted twice, they make a register of tests that name the
// model and leave the condition to a person (TestRecordsOfManyFiles).
func (d *drafter) guessRecord() {
	best := math.MinInt
	for _, record := range layout.Records() {
		fields := d.fieldsOf(record)
		if !d.isRecord(record, fields) {
			continue
		}
		byCells{d}.add(record, fields)
		hits := len(fields)
		for _, f := range layout.Fields(record) {
			if f.Required && !fields[f.Name] {
				hits--
			}
		}
		if record == layout.Analyzers {
			hits = math.MaxInt
		}
		if hits > best {
			best, d.record, d.sure = hits, record, true
		}
	}
	if !d.sure {
		d.record = layout.Readings
	}
	if d.sure || prose(d.Kind) {
		return
	}
	if askRows(d); !d.sure {
		d.notes = append(d.notes, "this is neither a register nor readings: no column is a gas, and none describes a boiler")
	}
}

// fieldsOf are the fields of a record that the headers look like.
func (k *Kind) fieldsOf(record string) map[string]bool {
	fields := map[string]bool{}
	for _, h := range k.header {
		if f := guessField(record, h); f != "" {
			fields[f] = true
		}
		if fire, condition := fireAndCondition(h); fire != "" && record == layout.Readings {
			fields["fire"] = true // the wide form has them in its headers
			fields["condition"] = fields["condition"] || condition != ""
		}
	}
	return fields
}

// isRecord reports whether columns for what makes a record are there.
func (k *Kind) isRecord(record string, fields map[string]bool) bool {
	has := func(field string) bool { return fields[field] }
	switch record {
	case layout.Readings:
		return has("co2") || has("o2")
	case layout.Units:
		return layout.Register(has) && !tickets(k, fields)
	case layout.ModelLines:
		return has("target_co2") || has("target_o2")
	case layout.Analyzers:
		return has("analyzer") && has("calibrated") && (k.calibrations() || has("found_error"))
	case layout.Plants:
		return has("plant") && has("common")
	case layout.Answers:
		return has("answer")
	}
	return false
}

// calibrations reports a log of calibrations: headers of a span or a certificate, and
// columns of one value, the gas in the bottle.
func (k *Kind) calibrations() bool {
	for i, h := range k.header {
		for _, w := range words(h) {
			if w == "span" || w == "cal" || w == "calibrated" || w == "calibration" || w == "certificate" {
				return true
			}
		}
		if f := guessField(layout.Readings, h); (f == "co2" || f == "o2") && k.constant(i) {
			return true
		}
	}
	return false
}

// constant reports a column with one value in ten rows or more.
func (k *Kind) constant(column int) bool {
	values, rows := map[string]bool{}, 0
	for _, r := range k.rows {
		if column < len(r.cells) && r.cells[column] != "" {
			values[r.cells[column]] = true
			rows++
		}
	}
	return rows >= 10 && len(values) == 1
}

// guessForm takes the wide form where headers name a gas and a condition with a
// fire, or one gas at several fires.
func (d *drafter) guessForm() {
	if d.record != layout.Readings {
		return
	}
	fires := map[string]judge.Fire{}
	for _, c := range d.columns {
		fire, condition := fireAndCondition(c.header)
		f := guessField(d.record, c.header)
		if fire == "" || f != "co2" && f != "o2" {
			continue
		}
		d.wide = d.wide || condition != "" || fires[f] != "" && fires[f] != fire
		fires[f] = fire
	}
}

func fireAndCondition(header string) (fire judge.Fire, condition judge.Condition) {
	for _, w := range words(header) {
		if x := fireWords[w]; x != "" {
			fire = x
		}
		if x := conditionWords[w]; x != "" {
			condition = x
		}
	}
	return fire, condition
}

// guessColumn decides what one column means; a meaning is given once.
func (d *drafter) guessColumn(c *draftColumn, taken map[string]string, mayBeSerial bool) {
	if _, ok := unitsIn(c); ok {
		c.note("units of measure of other columns")
		return
	}
	c.field = cmp.Or(d.made[c.header], guessField(d.record, c.header))
	f, ok := layout.FieldOf(d.record, c.field)
	if d.record == layout.Readings && (f.Kind == layout.ID || f.Kind == layout.Text) && holdsDays(c) {
		c.field = "day"
		f, ok = layout.FieldOf(d.record, c.field)
	}
	if c.field == "fire" && mostlyNumbers(d.grammar, c.cells) {
		c.field = "rate"
		f, ok = layout.FieldOf(d.record, c.field)
	}
	if other, ok := (byCells{d}).otherCode(c, f); ok {
		c.field, f = other.Name, other
	}
	if number := c.field == "serial" && carryWord(c.header) != ""; !ok || contradicts(c, f) || number { // as that of a contract
		d.carry(c)
		return
	}
	if c.field == "serial" && !mayBeSerial {
		c.note("could be the serial, but the other files have the values of another column")
		c.field, c.like = "", c.use()
		return
	}
	if d.wide && (f.Place == layout.OfReading || c.field == "adjusted") {
		c.fire, c.condition = fireAndCondition(c.header)
		if c.field == "adjusted" {
			c.condition = ""
		}
	}
	use := c.use()
	if other := taken[use]; other != "" && d.yields(other, c) {
		taken[use] = ""
	}
	if other := taken[use]; other != "" {
		c.note("looks like %s, as %q does; decide which it is", c.field, other)
		c.field, c.like = "", use
		return
	}
	taken[use] = c.header
	c.note("by its header")
	d.guessCells(c, f)
}

// yields takes a field from a column of ids where another has the names, and from one
// that is headed by nothing but a word for ids where another says of what.
func (d *drafter) yields(header string, to *draftColumn) bool {
	of := func(h, word string) bool { return slices.Contains(words(h), word) }
	bare := func(h string) bool {
		return !slices.ContainsFunc(words(h), func(w string) bool { return !slices.Contains(idWords, w) })
	}
	named, vague := of(header, "id") && of(to.header, "name"), bare(header) && !bare(to.header)
	if to.field == "serial" || !named && !vague {
		return false
	}
	for i := range d.columns {
		if c := &d.columns[i]; c.header == header {
			c.field, c.notes = "", []string{fmt.Sprintf("%q says more", to.header)}
		}
	}
	return true
}

// mostUnits is how many different words a column of units of measure has.
const mostUnits = 5

// contradicts reports cells of which none is what a header promises: a day, a count, or
// the id of a boiler, where few words without a digit are units of measure.
func contradicts(c *draftColumn, f layout.Field) bool {
	filled, different := 0, map[string]bool{}
	for _, cell := range c.cells {
		if cell == "" || slices.Contains(usualMarkers, parse.Fold(cell)) {
			continue
		}
		filled++
		different[cell] = true
		if f.Kind == layout.Whole && looksLikeValue(cell) || f.Name == "serial" && strings.ContainsAny(cell, "0123456789") {
			return false
		}
	}
	if f.Name == "serial" {
		return filled >= fewestKeys && len(different) <= mostUnits
	}
	return filled > 0 && (f.Kind == layout.Whole || f.Kind == layout.Day && daysOf(c.cells).days == 0)
}

// holdsDays reports a column that is a day by its header and by its cells.
func holdsDays(c *draftColumn) bool {
	if guessField(layout.Answers, c.header) != "day" {
		return false
	}
	w := daysOf(c.cells)
	return w.mostly() && (w.parted() || w.pattern == "yyyymmdd" && saysDate(c.header))
}

// carry takes a column of a register that pages show as it is.
func (d *drafter) carry(c *draftColumn) {
	c.field = ""
	if d.record == layout.Units {
		if name := carryWord(c.header); name != "" && !slices.ContainsFunc(d.columns, func(o draftColumn) bool { return o.carry == name }) {
			c.carry = name
			c.note("by its header")
			return
		}
	}
	c.note("no field is known by this header; name one, or leave it unread")
}

// guessCells decides how the cells of a column are read.
func (d *drafter) guessCells(c *draftColumn, f layout.Field) {
	switch f.Kind {
	case layout.Measured, layout.CO:
		d.guessUnit(c, f)
		severalUnits{d}.guess(c, f)
		d.checkNumbers(c, f)
		if f.Kind == layout.CO {
			c.basis, c.reference = basisOf(c.header)
		}
	case layout.Day:
		w := daysOf(c.cells)
		if f.Coarse {
			w = coarse(w, c.cells)
		}
		c.days = &w
	case layout.Code:
		d.guessCodes(c, f)
	}
}

// checkNumbers leaves a column unread of which most cells are no numbers, or lie
// outside what the field can be: it would set those lines aside.
func (d *drafter) checkNumbers(c *draftColumn, f layout.Field) {
	several := severalUnits{d}
	filled, numbers, beyond, odd := 0, 0, 0, -1
	for i, cell := range c.cells {
		if cell == "" || slices.Contains(usualMarkers, parse.Fold(cell)) {
			continue
		}
		filled++
		number, within := several.readIn(cell, f, several.unitsAt(c, i))
		switch {
		case !number && odd < 0:
			odd = i
		case number:
			numbers++
			if !within {
				beyond++
			}
		}
	}
	switch {
	case filled > 0 && 2*numbers < filled:
		d.notes = append(d.notes, fmt.Sprintf("column %q is not read as %s: %d of %d cells are no numbers, the first %q (%s)", c.header, c.field,
			filled-numbers, filled, c.cells[odd], d.place(c, odd)))
		c.note("most of its cells are no numbers")
		c.field, c.unit, c.units, c.unitFrom = "", "", nil, ""
	case 2*beyond > numbers:
		d.notes = append(d.notes, fmt.Sprintf("column %q is not read as %s: %d of %d numbers lie outside %g to %g %s", c.header, c.field, beyond,
			numbers, f.Low, f.High, f.Canonical))
		c.note("most of its numbers lie outside what %s can be", c.field)
		c.field, c.unit, c.units, c.unitFrom = "", "", nil, ""
	}
}

// basisOf is what CO is measured in by a header, and the O2 of a reference.
func basisOf(header string) (basis, reference string) {
	have := words(header)
	for _, w := range have {
		if slices.Contains(airFree, w) {
			return "air-free", ""
		}
	}
	for i, w := range have {
		if w == "o2" && i > 0 && strings.Trim(have[i-1], "0123456789") == "" {
			return "reference", have[i-1]
		}
	}
	return "", ""
}

// airFree are words of CO that no air dilutes: undiluted, and what is told by heat;
// common practice, no source.
var airFree = []string{"free", "undiluted", "unverdunnt", "unv", "kwh"}

func mostlyNumbers(g parse.Numbers, cells []string) bool {
	n, filled := 0, 0
	for _, c := range cells {
		if c == "" {
			continue
		}
		filled++
		if _, rest, f := g.Split(c); f == nil && (rest == "" || rest == "%") {
			n++
		}
	}
	return filled > 0 && 2*n > filled
}

// guessUnit takes the unit of measure from the header, else from marks in the
// cells, else from the size of the numbers.
func (d *drafter) guessUnit(c *draftColumn, f layout.Field) {
	header := parse.Fold(c.header)
	_, reference := basisOf(c.header)
	for _, u := range unitWords {
		measure, err := quantity.Lookup(u.unit)
		if err != nil || !f.Takes(measure) || f.Kind == layout.CO && reference != "" && u.unit == "%" {
			continue // that is the oxygen's
		}
		named := strings.Contains(header, u.text) && strings.ContainsFunc(u.text, func(r rune) bool { return !unicode.IsLetter(r) })
		if named || slices.Contains(words(c.header), u.text) {
			c.unit = u.unit
			c.note("unit by its header")
			return
		}
	}
	var numbers []float64
	for _, cell := range c.cells {
		n, rest, fault := d.grammar.Split(cell)
		if fault != nil {
			continue
		}
		numbers = append(numbers, n.Value)
		for _, name := range quantity.MarkOf(rest) {
			if u, err := quantity.Lookup(name); err == nil && rest != "" && f.Takes(u) {
				c.unit = name
				c.note("unit by a mark in its cells")
				return
			}
		}
	}
	c.unit = f.Canonical
	middle := Median(numbers)
	for _, k := range looksLike {
		if k.fits(c.field, c.unit, middle) {
			c.unit = k.other
		}
	}
	if len(numbers) == 0 {
		c.note("unit guessed without a number to go by: check it")
		return
	}
	c.note("unit by the size of its numbers, half of them below %.4g: check it", middle)
}

// Package draft proposes a layout for a file that no layout fits, from the
// evidence in the file: the words of its header, how its cells write numbers and
// days, and the size of the numbers. Everything it says is a guess for a person
// to check.
//
// OtherUnit, by which it recognises units of measure by the size of numbers, also
// serves those who look whether a declared unit is borne out.
package draft

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/judge"
	"fluedrift/model/quantity"
)

// File is a file of unknown layout.
type File struct {
	Name string                                      // without its folder
	Head func(bytes int64) ([]byte, error)           // its first bytes, unpacked
	Open func(shape layout.File) (lines.Rows, error) // its rows, as if it had a shape
}

// drafter writes a layout for a file.
type drafter struct {
	*sniffed
	b       strings.Builder
	record  string
	wide    bool
	columns []draftColumn
	grammar parse.Numbers
	dates   string
}

// draftColumn is what a column seems to mean.
type draftColumn struct {
	fire                judge.Fire
	condition           judge.Condition
	header, field, unit string
	cells               []string
	notes               []string
}

// Propose proposes a layout for a file that no layout fits, or says why it
// cannot. Every guess is marked as one; a draft is text for a person to edit and
// is never read from here.
func Propose(f File) (text string, notes []string) {
	s, err := sniff(f)
	if fault, refused := errors.AsType[*lines.Refusal](err); refused {
		return "", []string{"no layout can be proposed: " + fault.Message}
	}
	if err != nil {
		return "", []string{"no layout can be proposed: " + err.Error()}
	}
	if len(s.header) == 0 {
		return "", append([]string{"no layout can be proposed"}, s.notes...)
	}
	d := &drafter{sniffed: s}
	d.guess()
	d.write(f.Name)
	return d.b.String(), nil
}

// guess decides record, form, ways of writing, and the meaning of each column.
func (d *drafter) guess() {
	best := -1
	for _, record := range layout.Records() {
		fields := map[string]bool{}
		for _, h := range d.header {
			if f := guessField(record, h); f != "" {
				fields[f] = true
			}
			if fire, condition := fireAndCondition(h); fire != "" && condition != "" && record == layout.Readings {
				fields["fire"], fields["condition"] = true, true // the wide form has them in its headers
			}
		}
		hits := len(fields)
		for _, f := range layout.Fields(record) {
			if f.Required && !fields[f.Name] {
				hits -= 2
			}
		}
		if record == layout.Readings && !fields["co2"] && !fields["o2"] {
			hits -= 10
		}
		if record == layout.Units && !layout.Register(func(field string) bool { return fields[field] }) {
			hits -= 10
		}
		if hits > best {
			best, d.record = hits, record
		}
	}
	if d.record == "" {
		d.record = layout.Readings
	}
	for i, h := range d.header {
		c := draftColumn{header: h}
		for _, r := range d.rows {
			if i < len(r.cells) && len(r.cells) >= len(d.header)-1 {
				c.cells = append(c.cells, r.cells[i])
			}
		}
		twice := slices.ContainsFunc(d.columns, func(other draftColumn) bool { return parse.Fold(other.header) == parse.Fold(h) })
		switch {
		case twice:
			d.notes = append(d.notes, fmt.Sprintf("the header has two columns %q; a file is refused where one of them is declared", h))
		case h != "":
			d.columns = append(d.columns, c)
		}
	}
	d.guessWriting()
	d.guessForm()
	taken := map[string]string{}
	for i := range d.columns {
		d.guessColumn(&d.columns[i], taken)
	}
}

// guessWriting decides the decimal mark by which more cells are numbers.
func (d *drafter) guessWriting() {
	best := -1
	for _, g := range []parse.Numbers{{Decimal: "."}, {Decimal: ","}, {Decimal: ".", Thousands: ","}, {Decimal: ",", Thousands: "."}} {
		n := 0
		for _, c := range d.columns {
			for _, cell := range c.cells {
				if _, rest, f := g.Split(cell); f == nil && (rest == "" || len(quantity.MarkOf(rest)) > 0) {
					n++
				}
			}
		}
		if n > best {
			best, d.grammar = n, g
		}
	}
}

// guessForm takes the wide form where headers name a gas, a fire and a
// condition.
func (d *drafter) guessForm() {
	if d.record != layout.Readings {
		return
	}
	for _, c := range d.columns {
		fire, condition := fireAndCondition(c.header)
		f := guessField(d.record, c.header)
		d.wide = d.wide || fire != "" && condition != "" && (f == "co2" || f == "o2")
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
func (d *drafter) guessColumn(c *draftColumn, taken map[string]string) {
	c.field = guessField(d.record, c.header)
	note := func(format string, args ...any) { c.notes = append(c.notes, fmt.Sprintf(format, args...)) }
	f, ok := layout.FieldOf(d.record, c.field)
	if d.record == layout.Readings && (f.Kind == layout.ID || f.Kind == layout.Text) && guessField(layout.Answers,
		c.header) == "day" && onlyDays(c.cells) {
		c.field = "day"
		f, ok = layout.FieldOf(d.record, c.field)
	}
	if c.field == "fire" && mostlyNumbers(d.grammar, c.cells) {
		c.field = "rate"
		f, ok = layout.FieldOf(d.record, c.field)
	}
	if !ok {
		note("no field is known by this header; name one, or leave it unread")
		c.field = ""
		return
	}
	if d.wide && (f.Place == layout.OfReading || c.field == "adjusted") {
		c.fire, c.condition = fireAndCondition(c.header)
		if c.field == "adjusted" {
			c.condition = ""
		}
	}
	use := c.field + "/" + string(c.fire) + "/" + string(c.condition)
	if other := taken[use]; other != "" {
		note("looks like %s, as %q does; decide which it is", c.field, other)
		c.field = ""
		return
	}
	taken[use] = c.header
	note("by its header")
	switch f.Kind {
	case layout.Measured, layout.CO:
		d.guessUnit(c, f)
	case layout.Day:
		pattern, open := daysOf(c.cells)
		if d.dates == "" {
			d.dates = pattern
		}
		if open != "" {
			note("%s", open)
		}
	}
}

// onlyDays reports cells that are days in a usual way of writing with marks
// between its parts.
func onlyDays(cells []string) bool {
	pattern, _ := daysOf(cells)
	return strings.ContainsAny(pattern, "-./")
}

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
	for _, u := range unitWords {
		measure, err := quantity.Lookup(u.unit)
		if err != nil || !f.Takes(measure) {
			continue
		}
		named := strings.Contains(header, u.text) && strings.ContainsFunc(u.text, func(r rune) bool { return !unicode.IsLetter(r) })
		if named || slices.Contains(words(c.header), u.text) {
			c.unit = u.unit
			c.notes = append(c.notes, "unit by its header")
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
				c.notes = append(c.notes, "unit by a mark in its cells")
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
		c.notes = append(c.notes, "unit guessed without a number to go by: check it")
		return
	}
	c.notes = append(c.notes, fmt.Sprintf("unit by the size of its numbers, half of them below %.4g: check it", middle))
}

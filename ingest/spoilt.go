package ingest

import (
	"context"
	"fmt"
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// markUnreadable is the mark of a row that stands without a cell that could not be
// read: FIELD:unreadable.
const markUnreadable = "unreadable"

// spoilt are the cells of a line that cannot be read. An optional one is set aside
// alone; one without which a reading means nothing costs that reading, and neither
// costs the line.
type spoilt struct {
	cells    []spoiltCell
	readable int    // cells that could be read and are more than a text
	lost     []bool // by group: the reading that a cell cost

	filled []bool  // by bound column: the line has a cell there that is not blank
	seen   []int64 // by bound column: such cells of all lines that stand
	aside  []int64 // by bound column: of those, the ones set aside
}

// spoiltCell is one such cell.
type spoiltCell struct {
	bound int
	fault cellFault
	costs bool // its reading is set aside with it
}

func newSpoilt(groups, columns int) spoilt {
	return spoilt{
		lost: make([]bool, groups), filled: make([]bool, columns),
		seen: make([]int64, columns), aside: make([]int64, columns),
	}
}

func (s *spoilt) clear() {
	s.cells, s.readable = s.cells[:0], 0
	clear(s.lost)
	clear(s.filled)
}

// count notes what became of a cell.
func (s *spoilt) count(i int, b bound, v value, f *cellFault) {
	s.filled[i] = v.ok || f != nil
	switch {
	case f != nil:
		s.cells = append(s.cells, spoiltCell{bound: i, fault: *f})
	case v.ok && b.Of.Kind != layout.Text && b.Of.Kind != layout.ID:
		s.readable++
	}
}

// fewSpoilt is from how many cells on a line can be suspected to be no row of its
// columns at all; common practice, no source.
const fewSpoilt = 3

// most is why a line is set aside of which more cells cannot be read than can: it
// looks like cells under the wrong columns, and then those that can be read mean
// something else.
func (s *spoilt) most() *cellFault {
	if len(s.cells) < fewSpoilt || len(s.cells) <= s.readable {
		return nil
	}
	f := s.cells[0].fault
	f.message += fmt.Sprintf("; nor can %d more of the line's cells be read: they seem to stand under the wrong columns", len(s.cells)-1)
	return &f
}

// losses decides what the cells that cannot be read cost a row.
type losses struct{ *rowReader }

// takesLine reports a column whose cell a line cannot do without.
func (r losses) takesLine(b bound) bool {
	return b.Of.Required || b.Of.Decides || slices.Contains(r.layout.Key, b.Field)
}

// loseReadings sets aside the readings that lost the one gas they had; in the long
// form such a reading is the line.
func (r losses) loseReadings() *cellFault {
	for i := range r.spoilt.cells {
		c := &r.spoilt.cells[i]
		b := r.head.bound[c.bound]
		if b.field != fieldCO2 && b.field != fieldO2 {
			continue
		}
		if r.layout.Form != layout.Wide {
			if !r.hasGas(0) {
				return &c.fault
			}
			continue
		}
		for _, g := range b.into {
			if !r.hasGas(g) {
				c.costs = true
				r.lose(g)
			}
		}
	}
	return nil
}

// checkTargets sets a line of targets aside that lost the one target it had.
func (r losses) checkTargets() *cellFault {
	if r.layout.Record != layout.ModelLines {
		return nil
	}
	var lost *cellFault
	for i, b := range r.head.bound {
		if b.Field != "target_co2" && b.Field != "target_o2" {
			continue
		}
		if r.base[b.field].ok {
			return nil
		}
		if at := slices.IndexFunc(r.spoilt.cells, func(c spoiltCell) bool { return c.bound == i }); at >= 0 {
			lost = &r.spoilt.cells[at].fault
		}
	}
	return lost
}

func (r losses) hasGas(g int) bool { return r.groups[g][fieldCO2].ok || r.groups[g][fieldO2].ok }

// lose sets the reading of a group aside; its marks stand on the visit instead.
func (r losses) lose(g int) {
	if !r.spoilt.lost[g] {
		r.marks = append(r.marks, r.gmarks[g]...)
	}
	r.own[g], r.spoilt.lost[g] = false, true
}

// loseTo is the outcome of a fault that makes one reading useless: the line of the
// long form, else that reading alone.
func (r losses) loseTo(g int, f *cellFault, fields ...string) *cellFault {
	if r.layout.Form != layout.Wide {
		return f
	}
	r.lose(g)
	for i := range r.spoilt.cells {
		if c := &r.spoilt.cells[i]; slices.Contains(r.head.bound[c.bound].into, g) && slices.Contains(fields, r.head.bound[c.bound].Field) {
			c.costs = true
			return nil
		}
	}
	at := slices.IndexFunc(r.head.bound, func(b bound) bool { return b.Header == f.column })
	if at < 0 {
		at = slices.IndexFunc(r.head.bound, func(b bound) bool { return slices.Contains(b.into, g) })
	}
	r.spoilt.cells = append(r.spoilt.cells, spoiltCell{at, *f, true})
	return nil
}

// digestSpoilt adds what cannot be read to the content of a line: a later export
// that has it right, or blank, says something else.
func (r losses) digestSpoilt(h *hasher) {
	for i := range r.spoilt.cells {
		c := &r.spoilt.cells[i]
		h.text(c.fault.reason)
		h.text(r.head.bound[c.bound].Header)
		h.text(c.fault.value)
	}
}

// cellRow is a row of source.cells_set_aside.
type cellRow struct {
	file, line   int32
	fault        cellFault
	costsReading bool
	fire         judge.Fire
	condition    judge.Condition
	serial       string
	day          day.Day
}

// setAsideCells stores the cells of a line that stands without them.
func (p *pass) setAsideCells(ctx context.Context, ln *lines.Line) error {
	s := &p.reader.spoilt
	for i, filled := range s.filled {
		if filled {
			s.seen[i]++
		}
	}
	if len(s.cells) == 0 {
		return nil
	}
	serial, on := p.reader.serial(ln), p.reader.day(ln)
	for i := range s.cells {
		c := &s.cells[i]
		b := p.head.bound[c.bound]
		s.aside[c.bound]++
		p.out.CellsSetAside++
		p.out.CellReasons[c.fault.reason]++
		fault := c.fault
		fault.at(p.layout)
		fault.in(p.layout, ln)
		at := half{p.reader}.place(b)
		row := cellRow{p.out.Key, int32(ln.Number), fault, c.costs, at.Fire, at.Condition, serial, on}
		if err := p.cellsAside.add(ctx, &row); err != nil {
			return err
		}
	}
	return p.keepCOOf(ctx, ln)
}

// keepCOOf stores the CO that a line which stands does not give: a cell that cannot
// be read, and what stands beside it in a reading that is set aside.
func (p *pass) keepCOOf(ctx context.Context, ln *lines.Line) error {
	rows := salvage{p.reader}.unusedCO(ln, losses{p.reader}.lostCO)
	for i := range rows {
		rows[i].file = p.out.Key
		if err := p.unusedCO.add(ctx, &rows[i]); err != nil {
			return err
		}
	}
	return nil
}

// lostCO is why a CO column of the line just read gives no CO; false where it does.
func (r losses) lostCO(b *bound) (reason string, lost bool) {
	for i := range r.spoilt.cells {
		c := &r.spoilt.cells[i]
		at := &r.head.bound[c.bound]
		if at == b {
			return c.fault.reason, true
		}
		if c.costs && len(b.into) > 0 && !slices.ContainsFunc(b.into, func(g int) bool { return !r.spoilt.lost[g] }) &&
			slices.ContainsFunc(b.into, func(g int) bool { return slices.Contains(at.into, g) }) {
			reason, lost = c.fault.reason, true
		}
	}
	return reason, lost
}

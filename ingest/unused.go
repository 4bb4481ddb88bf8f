package ingest

import (
	"math"
	"strings"

	"github.com/zeebo/xxh3"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// unusedRow is a CO that stands on a line of readings which is set aside: what
// can be read of it, so that a dangerous one is not lost with its line.
type unusedRow struct {
	file, line      int32
	part            int32 // place among the CO columns of the line
	serial, visitID string
	day             day.Day // day.None where it cannot be read
	fire            judge.Fire
	condition       judge.Condition
	text            string  // the cell as written; "" where it cannot be told which cell it is
	ppm             float64 // as recorded, in ppm; NaN: cannot be read
	limit, basis    string
	reference       float64
	o2              float64 // NaN where not recorded or not readable
	reason          string
	hash            uint64 // of the line's text
}

func unusedFields(r *unusedRow) []queries.Field {
	return []queries.Field{
		queries.Whole("file_key", &r.file),
		queries.Whole("line", &r.line),
		queries.Whole("part", &r.part),
		queries.Text("serial", &r.serial),
		queries.Text("visit_id", &r.visitID),
		queries.Day("day", &r.day),
		queries.Code("fire", &r.fire),
		queries.Code("condition", &r.condition),
		queries.TextOf("co_text", func() string { return clip(r.text) }),
		queries.Number("co_ppm", &r.ppm),
		queries.Text("co_limit", &r.limit),
		queries.Text("co_basis", &r.basis),
		queries.Number("co_reference_o2", &r.reference),
		queries.Number("o2_percent", &r.o2),
		queries.Text("reason", &r.reason),
		queries.Hash("line_hash", func() (uint64, bool) { return r.hash, true }),
	}
}

// salvage reads what it can of a line that is set aside.
type salvage struct{ *rowReader }

// placement is a way to lay the cells of a line under the header. Columns from
// first to before end are sure to be under theirs.
type placement struct {
	line       lines.Line
	first, end int
}

func (p *placement) holds(b *bound) bool { return b.index >= p.first && b.index < p.end }

// placements are the ways to lay a line under the header: as it is where the
// width is right, else from the left and from the right, each as far as its
// cells can be read as what their columns declare.
func (r salvage) placements(ln *lines.Line) []placement {
	cells, width := ln.Cells, len(r.head.cells)
	if ln.Fault != "" { // the quotes cannot be trusted: every delimiter counts
		cells = strings.Split(ln.Text, r.layout.File.Delimiter)
		for i := range cells {
			cells[i] = strings.Trim(parse.Trim(cells[i]), `"`)
		}
	} else if len(cells) == width {
		return []placement{{lines.Line{Cells: cells, Stored: ln.Stored}, 0, width}}
	}
	if len(cells) == 0 {
		return nil
	}
	left, right := placement{end: min(width, len(cells))}, placement{first: max(0, width-len(cells)), end: width}
	left.line.Cells, right.line.Cells = make([]string, width), make([]string, width)
	copy(left.line.Cells, cells)
	copy(right.line.Cells[right.first:], cells[max(0, len(cells)-width):])
	for i := range r.head.bound {
		b := &r.head.bound[i]
		if b.index < 0 || b.field < 0 {
			continue
		}
		if b.index < left.end && !r.readable(b, &left.line) {
			left.end = b.index
		}
		if b.index >= right.first && !r.readable(b, &right.line) {
			right.first = b.index + 1
		}
	}
	return []placement{left, right}
}

func (r salvage) readable(b *bound, ln *lines.Line) bool {
	_, f := r.column(*b, ln)
	return f == nil
}

// unusedCO finds the CO of a line that is set aside or stands without it: a row for
// each of its unused CO columns that is not blank. Of two cells that may be the one the greater
// counts; where none can be told, or its digits mean nothing, the row says that
// it cannot be read.
func (r salvage) unusedCO(ln *lines.Line, why func(*bound) (reason string, unused bool)) (rows []unusedRow) {
	if r.layout.Record != layout.Readings {
		return nil
	}
	places := r.placements(ln)
	own := unusedRow{
		line: int32(ln.Number), day: day.None, ppm: math.NaN(), reference: math.NaN(), o2: math.NaN(),
		hash: hashOfLine(ln),
	}
	own.serial, own.visitID, own.day = r.textIn(places, "serial"), r.textIn(places, "visit_id"), r.dayIn(places)
	for i := range r.head.bound {
		b := &r.head.bound[i]
		if b.index < 0 || b.field < 0 || b.Of.Kind != layout.CO {
			continue
		}
		reason, unused := why(b)
		if !unused {
			continue
		}
		own.reason = reason
		if row, ok := r.coIn(own, places, b); ok {
			row.part = int32(min(len(rows), math.MaxInt8))
			rows = append(rows, row)
		}
	}
	return rows
}

// coIn reads one CO column; false where it is blank.
func (r salvage) coIn(own unusedRow, places []placement, b *bound) (unusedRow, bool) {
	own.basis, own.fire, own.condition = b.Basis, b.Fire, b.Condition
	if own.fire == "" {
		own.fire = judge.Fire(r.textIn(places, "fire"))
	}
	if own.condition == "" {
		own.condition = judge.Condition(r.textIn(places, "condition"))
	}
	found, placed := own, false
	blank := false
	for k := range places {
		p := &places[k]
		if !p.holds(b) {
			continue
		}
		text := parse.Trim(p.line.Cells[b.index])
		if b.missing(text) {
			blank = true
			continue
		}
		row := own
		row.text = strings.Clone(text)
		row.ppm, row.limit = r.coOf(p, b, text)
		row.o2 = r.o2Beside(p, b)
		if row.basis = basisOf(r).at(b, p); row.basis == "reference" {
			row.reference = b.ReferenceO2
		}
		if !placed || !(row.ppm <= found.ppm) && found.limit != parse.Above {
			found, placed = row, true
		}
	}
	return found, placed || !blank
}

// coOf reads a CO cell strictly, else what its digits may mean at most.
func (r salvage) coOf(p *placement, column *bound, text string) (ppm float64, limit string) {
	if column.UnitFrom != "" && (column.unitAt < p.first || column.unitAt >= p.end) {
		return math.NaN(), ""
	}
	b, f := unitOf(r).bind(*column, &p.line)
	if f != nil {
		return math.NaN(), ""
	}
	as := p.line.StoredAs(b.index)
	if v, f := r.cell(b, text, as); f == nil {
		return v.num, v.limit
	}
	if as == lines.AsDay {
		return math.NaN(), ""
	}
	if l, ok := parse.LooseShare(text, b.Measure, b.Of.Unit()); ok {
		return l.Value, l.Limit
	}
	return math.NaN(), ""
}

// o2Beside is the O2 of the reading that a CO column belongs to, NaN where
// there is none that can be read.
func (r salvage) o2Beside(p *placement, co *bound) float64 {
	for i := range r.head.bound {
		b := &r.head.bound[i]
		if b.Field != "o2" || b.index < 0 || !p.holds(b) || b.Fire != co.Fire || b.Condition != co.Condition {
			continue
		}
		if v, f := r.column(*b, &p.line); f == nil && v.ok {
			return v.num
		}
	}
	return math.NaN()
}

// textIn reads an identifier or a code of a line, "" where it cannot be read.
func (r salvage) textIn(places []placement, field string) string {
	for i := range r.head.bound {
		b := &r.head.bound[i]
		if b.Field != field || b.Fire != "" {
			continue
		}
		if b.index < 0 {
			id, _ := r.named.of(field).Resolve(r.fixed[i].text)
			return id
		}
		for k := range places {
			if !places[k].holds(b) {
				continue
			}
			v, f := r.column(*b, &places[k].line)
			if f == nil && v.ok && len(v.text) <= 200 && !(field == "serial" && parse.IsTotal(v.text)) {
				id, _ := r.named.of(field).Resolve(v.text)
				return strings.Clone(id)
			}
		}
	}
	return ""
}

// dayIn reads the day of a line, day.None where it cannot be read.
func (r salvage) dayIn(places []placement) day.Day {
	for i := range r.head.bound {
		b := &r.head.bound[i]
		if b.Field != "day" || b.index < 0 {
			continue
		}
		for k := range places {
			if !places[k].holds(b) {
				continue
			}
			if v, f := r.column(*b, &places[k].line); f == nil && v.ok {
				return v.day
			}
		}
	}
	return day.None
}

// hashOfLine is equal for lines that were exported word for word alike.
func hashOfLine(ln *lines.Line) uint64 {
	if ln.Text != "" {
		return xxh3.HashString(ln.Text)
	}
	return xxh3.HashString(strings.Join(ln.Cells, "\x00"))
}

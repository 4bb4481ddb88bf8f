package reshape

import (
	"fmt"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// outsideRanges is why a cell is wrong whose number lies in none of the ranges.
const outsideRanges = "outside-the-ranges"

// ranged takes numbers as the text of the range they lie in.
type ranged struct {
	simple
	numbers parse.Numbers
	outside misfits
}

func (s *ranged) row(r *lines.Line, next pushes) error {
	s.widen(r)
	if s.reads == nil {
		return next(r)
	}
	at := s.reads[0]
	cell := parse.Trim(r.Cells[at])
	if s.missing(cell) {
		return next(r)
	}
	text, ok := "", false
	if v, number := s.number(cell, r.StoredAs(at)); number {
		text, ok = s.step.Ranged(v)
	}
	if !ok {
		s.outside.add(r.Number, cell)
		if s.step.Required && r.Wrong == nil {
			r.Wrong = &lines.Fault{Column: s.step.Column, Value: cell, Reason: outsideRanges, Message: inNoRange(cell)}
		}
		return next(r)
	}
	set(r, s.width, text, lines.AsText)
	return next(r)
}

// number reads a cell, with or without a mark of percent behind it. A workbook stores what
// it shows in percent as a fraction.
func (s *ranged) number(cell string, as lines.Stored) (float64, bool) {
	grammar := s.numbers
	if as != lines.AsText {
		grammar = parse.Numbers{Decimal: "."}
	}
	n, mark, fault := grammar.Split(cell)
	v := n.Value
	if as == lines.AsPercent {
		v = lines.Tidy(100 * v)
	}
	return v, fault == nil && (mark == "" || mark == "%") && as != lines.AsDay
}

func (s *ranged) notes() []string {
	if s.outside.count == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s of column %q in none of the ranges: %s", cells(s.outside.count), s.step.Column, s.outside.first())}
}

func inNoRange(cell string) string {
	return fmt.Sprintf("%q lies in none of the ranges of its step", parse.Short(cell))
}

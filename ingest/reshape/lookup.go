package reshape

import (
	"fmt"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// NotInTable: a cell holds a text that the table of its step does not have.
const NotInTable = "not-in-table"

// lookup adds what a table says of the cell of a column.
type lookup struct {
	simple
	odd misfits
}

func (s *lookup) row(r *lines.Line, next pushes) error {
	s.widen(r)
	if s.reads == nil || s.made == 0 {
		return next(r)
	}
	at := s.reads[0]
	cell := parse.Trim(lines.AsWritten(r.Cells[at], r.StoredAs(at)))
	if s.missing(cell) {
		return next(r)
	}
	found, known := s.step.Found.Rows[parse.Fold(cell)]
	if known {
		copy(r.Cells[s.width:], found)
		return next(r)
	}
	s.odd.add(r.Number, cell)
	switch {
	case s.step.Unknown == layout.UnknownKept:
		r.Cells[s.width] = cell
	case s.step.Unknown == layout.UnknownWrong && r.Wrong == nil:
		r.Wrong = &lines.Fault{
			Column: s.step.Column, Value: cell, Reason: NotInTable, Message: fmt.Sprintf("%q is not in %s", parse.Short(cell), s.step.Table),
		}
	}
	return next(r)
}

func (s *lookup) notes() []string {
	if s.odd.count == 0 || s.step.Unknown == layout.UnknownWrong {
		return nil
	}
	return []string{fmt.Sprintf("%s of column %q not in %s: %s", cells(s.odd.count), s.step.Column, s.step.Table, s.odd.first())}
}

package reshape

import (
	"fmt"
	"strings"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// unite puts the cells of several columns together into one.
type unite struct{ simple }

func (s *unite) row(r *lines.Line, next pushes) error {
	s.widen(r)
	var parts []string
	for _, at := range s.reads {
		if cell := parse.Trim(r.Cells[at]); !s.missing(cell) {
			parts = append(parts, lines.AsWritten(cell, r.StoredAs(at)))
		}
	}
	if s.reads != nil {
		r.Cells[s.width] = strings.Join(parts, s.step.With)
	}
	return next(r)
}

// firstFilled takes the first of several columns that holds something, and counts the rows
// in which another one holds something else.
type firstFilled struct {
	simple
	count int64
	first int // line of the first such row
}

func (s *firstFilled) row(r *lines.Line, next pushes) error {
	s.widen(r)
	for _, at := range s.reads {
		switch cell := parse.Trim(r.Cells[at]); {
		case s.missing(cell):
		case r.Cells[s.width] == "":
			set(r, s.width, r.Cells[at], r.StoredAs(at))
		case cell != parse.Trim(r.Cells[s.width]):
			if s.count++; s.first == 0 {
				s.first = r.Number
			}
		}
	}
	return next(r)
}

func (s *firstFilled) notes() []string {
	if s.count == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s of %s not used, because a column before it holds another, the first in line %d", cells(s.count),
		lines.Quoted(s.step.Columns), s.first)}
}

// missingWhere blanks cells that mean no value where another column says so.
type missingWhere struct {
	simple
	values map[string]bool // nil: whatever the cell holds
	is     map[string]bool
	count  int64
}

func (s *missingWhere) row(r *lines.Line, next pushes) error {
	if s.reads == nil {
		return next(r)
	}
	last := len(s.reads) - 1
	if !s.is[parse.Fold(r.Cells[s.reads[last]])] {
		return next(r)
	}
	for _, at := range s.reads[:last] {
		cell := parse.Fold(r.Cells[at])
		if cell != "" && (s.values == nil || s.values[cell]) {
			set(r, at, "", lines.AsText)
			s.count++
		}
	}
	return next(r)
}

func (s *missingWhere) notes() []string {
	if s.count == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s taken as missing, because column %q says so", cells(s.count), s.step.Where)}
}

// leaveOut leaves rows out by what a column holds.
type leaveOut struct {
	simple
	values map[string]bool
}

func (s *leaveOut) row(r *lines.Line, next pushes) error {
	if s.reads == nil {
		return next(r)
	}
	if cell := parse.Trim(r.Cells[s.reads[0]]); s.values[parse.Fold(cell)] {
		r.Left = fmt.Sprintf("%s is %q", s.step.Column, strings.ToLower(cell))
	}
	return next(r)
}

package reshape

import (
	"fmt"
	"slices"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// NoPattern: a cell fits none of the patterns of its step.
const NoPattern = "no-pattern-fits"

// separate cuts the cells of a column into several.
type separate struct {
	simple
	into [][]int // by pattern and group: place of the new column, -1 for a part without a name
	odd  misfits
}

func (s *separate) begin(names []string) ([]string, error) {
	after, err := s.simple.begin(names)
	made := s.step.Makes()
	for _, re := range s.step.Exprs {
		var into []int
		for _, name := range re.SubexpNames() {
			at := slices.Index(made, name)
			if at >= 0 {
				at += s.width
			}
			into = append(into, at)
		}
		s.into = append(s.into, into)
	}
	return after, err
}

func (s *separate) row(r *lines.Line, next pushes) error {
	s.widen(r)
	if s.reads == nil {
		return next(r)
	}
	at := s.reads[0]
	cell := parse.Trim(r.Cells[at])
	if s.missing(cell) {
		return next(r)
	}
	p, parts := s.step.Patterned(cell)
	if p < 0 {
		s.odd.add(r.Number, cell)
		if s.step.Required && r.Wrong == nil {
			r.Wrong = &lines.Fault{Column: s.step.Column, Value: cell, Reason: NoPattern, Message: fitsNone(cell)}
		}
		return next(r)
	}
	kind := r.StoredAs(at)
	if kind == lines.AsDay {
		kind = lines.AsText
	}
	for i, to := range s.into[p] {
		if to >= 0 && parts[i] != "" {
			set(r, to, parts[i], kind)
		}
	}
	return next(r)
}

func (s *separate) notes() []string {
	if s.odd.count == 0 || s.step.Required {
		return nil // those are faults of their cells
	}
	return []string{fmt.Sprintf("%s of column %q fit no pattern of its step: %s", cells(s.odd.count), s.step.Column, s.odd.first())}
}

// misfits counts cells that a step could do nothing with.
type misfits struct {
	count int64
	line  int
	cell  string
}

func (m *misfits) add(line int, cell string) {
	if m.count == 0 {
		m.line, m.cell = line, parse.Short(cell)
	}
	m.count++
}

func (m *misfits) first() string { return fmt.Sprintf("the first %q in line %d", m.cell, m.line) }

func cells(n int64) string {
	if n == 1 {
		return "1 cell"
	}
	return fmt.Sprintf("%d cells", n)
}

func fitsNone(cell string) string {
	return fmt.Sprintf("%q fits none of the patterns of its step", parse.Short(cell))
}

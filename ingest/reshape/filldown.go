package reshape

import (
	"strings"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// fillDown fills a blank cell with what stands above it in its column.
type fillDown struct {
	simple
	above []string
	kinds []lines.Stored
}

func (s *fillDown) row(r *lines.Line, next pushes) error {
	if s.above == nil {
		s.above, s.kinds = make([]string, len(s.reads)), make([]lines.Stored, len(s.reads))
	}
	for i, at := range s.reads {
		if parse.Trim(r.Cells[at]) == "" {
			set(r, at, s.above[i], s.kinds[i])
		} else if r.Cells[at] != s.above[i] {
			s.above[i] = strings.Clone(r.Cells[at])
		}
		s.kinds[i] = r.StoredAs(at)
	}
	return next(r)
}

// forget lets nothing of a sheet hold for the rows of the next.
func (s *fillDown) forget() { s.above = nil }

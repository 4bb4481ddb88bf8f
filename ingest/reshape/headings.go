package reshape

import (
	"slices"
	"strings"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// headingRow is why a row that heads others is left out.
const headingRow = "a heading of the rows below"

// headingRows takes what a row of one filled cell says, and gives it to the rows below.
type headingRows struct {
	simple
	said []string // by column that it makes
}

func (s *headingRows) begin(names []string) ([]string, error) {
	after, err := s.simple.begin(names)
	s.said = make([]string, s.made)
	return after, err
}

// heading takes a row that is one, and reports whether it is.
func (s *headingRows) heading(cells []string) bool {
	text := ""
	for _, c := range cells {
		switch c = parse.Trim(c); {
		case c != "" && text != "":
			return false
		case c != "":
			text = c
		}
	}
	p, parts := s.step.Patterned(text)
	if text == "" || p < 0 {
		return false
	}
	made := s.step.Makes()
	for _, later := range s.step.Exprs[p:] {
		for _, name := range later.SubexpNames() {
			if at := slices.Index(made, name); at >= 0 {
				s.said[at] = ""
			}
		}
	}
	for i, name := range s.step.Exprs[p].SubexpNames() {
		if at := slices.Index(made, name); at >= 0 {
			s.said[at] = strings.Clone(parse.Trim(parts[i]))
		}
	}
	return true
}

func (s *headingRows) row(r *lines.Line, next pushes) error {
	r.Cells = append(r.Cells, s.said...)
	for range s.said {
		if r.Stored != nil {
			r.Stored = append(r.Stored, lines.AsText)
		}
	}
	return next(r)
}

// forget lets nothing of a sheet hold for the rows of the next.
func (s *headingRows) forget() { s.said = make([]string, s.made) }

package reshape

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// keepLatest leaves out the earlier revisions of a record. Rows of one revision all stand:
// whether they contradict each other is decided where all files are known.
type keepLatest struct {
	simple
	days parse.Days
	rows []*lines.Line
	keys []string          // of the rows
	best map[string]string // latest revision by key
	held int
}

func (s *keepLatest) row(r *lines.Line, next pushes) error {
	if s.reads == nil || r.Wrong != nil {
		return next(r)
	}
	last := len(s.reads) - 1
	var key strings.Builder
	for _, at := range s.reads[:last] {
		key.WriteString(parse.Trim(r.Cells[at]))
		key.WriteByte(0)
	}
	if strings.Trim(key.String(), "\x00") == "" {
		return next(r)
	}
	own := *r
	own.Cells, own.Stored = slices.Clone(r.Cells), slices.Clone(r.Stored)
	s.rows, s.keys = append(s.rows, &own), append(s.keys, key.String())
	revision := parse.Trim(own.Cells[s.reads[last]])
	if best, known := s.best[key.String()]; !known || s.compare(revision, best) > 0 {
		s.best[key.String()] = revision
	}
	if s.held += len(r.Text) + 16*len(r.Cells) + 96 + key.Len(); s.held > heldBytes {
		return lines.Refuse(lines.TooLarge, "the step %s would hold more than %d MiB of rows\nexport less at a time", s.step.Do, heldBytes>>20)
	}
	return nil
}

// end hands on the rows in their order, those of earlier revisions as left out.
func (s *keepLatest) end(next pushes) error {
	for i, r := range s.rows {
		if s.compare(parse.Trim(r.Cells[s.reads[len(s.reads)-1]]), s.best[s.keys[i]]) < 0 {
			r.Left = fmt.Sprintf("an earlier %q of the same record", s.step.Revision)
		}
		if err := next(r); err != nil {
			return err
		}
	}
	s.rows, s.keys, s.held = nil, nil, 0
	return nil
}

// compare orders revisions: a blank before any other, numbers before days before texts,
// and texts by their length first, so that Z comes before AA.
func (s *keepLatest) compare(x, y string) int {
	kx, nx := s.rank(x)
	ky, ny := s.rank(y)
	x, y = parse.Fold(x), parse.Fold(y)
	if kx != ky || kx < 3 {
		return cmp.Or(cmp.Compare(kx, ky), cmp.Compare(nx, ny))
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(x, y))
}

// rank is the kind of a revision and what it counts: 0 none, 1 a number, 2 a day, 3 a text.
func (s *keepLatest) rank(text string) (kind int, value float64) {
	if s.missing(text) {
		return 0, 0
	}
	if n, err := strconv.ParseUint(text, 10, 32); err == nil {
		return 1, float64(n)
	}
	if len(s.days.Pattern()) > 0 {
		if at, minute, fault := s.days.Parse(text); fault == nil {
			return 2, float64(at)*1440 + float64(max(minute, 0))
		}
	}
	return 3, 0
}

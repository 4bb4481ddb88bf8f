package reshape

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
)

// OutsideName marks a row whose day lies outside the period that a name tells.
const OutsideName = "day:outside-the-name"

// fromName gives every row what the name of the file or of the sheet tells, or a line that
// is no row.
type fromName struct {
	simple
	layout *layout.Layout
	file   string
	below  Footers // what the footers tell, by sheet

	said   string // the name that the parts are of
	parts  []string
	checks int // column of days that are compared with the name; -1: none
	days   parse.Days
	period period
	first  misfits
}

func (s *fromName) begin(names []string) ([]string, error) {
	after, err := s.simple.begin(names)
	if err != nil {
		return nil, err
	}
	if s.step.Checks != "" {
		if s.checks, err = find(s.step, names, s.step.Checks); err != nil {
			return nil, err
		}
		s.days = s.layout.Days
		for _, c := range s.layout.Columns {
			if same(s.step.Checks)(c.Header) && c.Of.Kind == layout.Day {
				s.days = c.Days
			}
		}
	}
	if s.step.Of == layout.OfFile {
		err = s.tell(s.file)
	}
	return after, err
}

// tell finds the parts of a name.
func (s *fromName) tell(name string) error {
	s.said = strings.Clone(name)
	p, groups := s.step.Patterned(name)
	if p < 0 && !s.step.Optional {
		return lines.Refuse(lines.Contradicted, "the name of the %s, %q, fits no pattern of the step %s\nadd a pattern, or optional = true "+
			"where not all names tell it", s.step.Of, name, s.step.Do)
	}
	s.take(p, groups)
	return nil
}

// take takes the parts of a text that a pattern fits; none where p < 0.
func (s *fromName) take(p int, groups []string) {
	made := s.step.Makes()
	s.parts = make([]string, len(made))
	for i, name := range made {
		if p < 0 {
			break
		}
		if g := s.step.Exprs[p].SubexpIndex(name); g >= 0 {
			s.parts[i] = strings.Clone(groups[g])
		}
	}
	s.period = periodOf(made, s.parts)
}

// above is told of a line above the header of the file, or of a further sheet.
func (s *fromName) above(ln *lines.Line) {
	if s.step.Of != layout.OfTitle {
		return
	}
	if ln.Sheet != s.said {
		s.said, s.parts = strings.Clone(ln.Sheet), nil
	}
	if p, groups := s.step.Patterned(s.titleOf(ln)); p >= 0 && s.parts == nil {
		s.take(p, groups)
	}
}

// titleOf is a line that is no row as one text: of a text file as it stands, else its filled
// cells with a blank between.
func (s *fromName) titleOf(ln *lines.Line) string {
	if s.layout.Text() {
		return ln.Text
	}
	var filled []string
	for i, c := range ln.Cells {
		if text := parse.Trim(lines.AsWritten(c, ln.StoredAs(i))); text != "" {
			filled = append(filled, text)
		}
	}
	return strings.Join(filled, " ")
}

// untold ends the search for a line that tells the rows of a sheet something.
func (s *fromName) untold(sheet string) error {
	s.said = strings.Clone(sheet)
	if text, ok := s.below[sheet]; ok && s.step.Of == layout.OfFooter {
		p, groups := s.step.Patterned(text)
		s.take(p, groups)
		return nil
	}
	if !s.step.Optional {
		where := "above the header"
		if s.step.Of == layout.OfFooter {
			where = "that footer or skip names"
		}
		if sheet != "" {
			where += fmt.Sprintf(" of sheet %q", sheet)
		}
		return lines.Refuse(lines.Contradicted, "no line %s fits a pattern of the step %s\nadd a pattern, or optional = true where not all "+
			"exports tell it", where, s.step.Do)
	}
	s.take(-1, nil)
	return nil
}

func (s *fromName) row(r *lines.Line, next pushes) error {
	if s.step.Of != layout.OfFile && (s.parts == nil || r.Sheet != s.said) {
		tell := s.untold
		if s.step.Of == layout.OfSheet {
			tell = s.tell
		}
		if err := tell(r.Sheet); err != nil {
			return err
		}
	}
	s.widen(r)
	copy(r.Cells[s.width:], s.parts)
	if s.checks >= 0 && s.period.known() {
		s.check(r)
	}
	return next(r)
}

// check compares the day of a row with the period of the name.
func (s *fromName) check(r *lines.Line) {
	days := s.days
	if r.StoredAs(s.checks) == lines.AsDay {
		days = parse.ISO
	}
	cell := parse.Trim(r.Cells[s.checks])
	at, _, fault := days.Parse(cell)
	if s.missing(cell) || fault != nil || at >= s.period.from && at <= s.period.to {
		return
	}
	r.Doubt = OutsideName
	s.first.add(r.Number, cell)
}

func (s *fromName) notes() []string {
	if s.first.count == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s of column %q outside the period in the %s: %s", dayCount(s.first.count), s.step.Checks,
		s.nameOf(), s.first.first())}
}

func (s *fromName) nameOf() string {
	if s.step.Do == layout.FromTitle {
		return s.step.Of
	}
	return "name"
}

func dayCount(n int64) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

// period is the days that a name tells; nothing where it tells none.
type period struct{ from, to day.Day }

func (p period) known() bool { return p.to > p.from }

// periodOf is the period of the parts named year, quarter and month.
func periodOf(names, parts []string) period {
	said := map[string]int{}
	for i, name := range names {
		n, err := strconv.Atoi(strings.TrimLeft(parts[i], "Qq"))
		if err == nil {
			said[name] = n
		}
	}
	year, first, months := said["year"], time.January, 12
	if year > 0 && year < 100 {
		year += 2000
	}
	switch q, m := said["quarter"], said["month"]; {
	case m >= 1 && m <= 12:
		first, months = time.Month(m), 1
	case q >= 1 && q <= 4:
		first, months = time.Month(3*q-2), 3
	}
	if year < 1900 || year > 2200 {
		return period{}
	}
	from := day.Of(year, first, 1)
	return period{from: from, to: from.AddMonths(months) - 1}
}

package reshape

import (
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// newStage sets a step to work on a file of a name.
func newStage(s *layout.Step, l *layout.Layout, name string, tables Tables) stage {
	base := simple{step: s, none: l.Missing}
	switch s.Do {
	case layout.FillDown:
		return &fillDown{simple: base}
	case layout.Separate:
		return &separate{simple: base}
	case layout.Unite:
		return &unite{simple: base}
	case layout.FirstFilled:
		return &firstFilled{simple: base}
	case layout.MissingWhere:
		return &missingWhere{simple: base, values: folded(s.Values), is: folded(s.Is)}
	case layout.LeaveOut:
		return &leaveOut{simple: base, values: folded(s.Values)}
	case layout.PartsOfName, layout.FromTitle:
		return &fromName{simple: base, layout: l, file: name, checks: -1}
	case layout.KeepLatest:
		return &keepLatest{simple: base, days: l.Days, best: map[string]string{}}
	case layout.InRanges:
		return &ranged{simple: base, numbers: l.Numbers}
	case layout.LookupIn:
		return &lookup{simple: base}
	case layout.PivotWider:
		return newPivot(base)
	case layout.Join:
		return &join{simple: base, table: tables[s.Table]}
	case layout.HeadingRows:
		return &headingRows{simple: base}
	}
	panic("no stage for the step " + s.Do) // the layout was checked
}

// simple is what stages have in common that hand on each row as it comes.
type simple struct {
	step  *layout.Step
	none  map[string]bool // folded missing markers of the file
	reads []int           // places of the columns that the step reads; nil where they may be absent, and are
	width int             // columns before the step
	made  int             // columns it adds
}

// begin finds the columns that the step reads and adds those it makes.
func (s *simple) begin(names []string) ([]string, error) {
	s.width = len(names)
	for _, want := range s.step.Reads() {
		at, err := find(s.step, names, want)
		if err != nil {
			return nil, err
		}
		if at < 0 {
			s.reads = nil
			break
		}
		s.reads = append(s.reads, at)
	}
	made := s.step.Makes()
	for _, name := range made {
		if slices.ContainsFunc(names, same(name)) {
			return nil, taken(s.step, name)
		}
	}
	s.made = len(made)
	return append(slices.Clone(names), made...), nil
}

func (s *simple) end(pushes) error { return nil }

func (s *simple) notes() []string { return nil }

// missing reports a trimmed cell that holds no value.
func (s *simple) missing(cell string) bool { return cell == "" || s.none[parse.Fold(cell)] }

// widen adds the blank cells of the columns that the step makes.
func (s *simple) widen(r *lines.Line) {
	for range s.made {
		r.Cells = append(r.Cells, "")
		if r.Stored != nil {
			r.Stored = append(r.Stored, lines.AsText)
		}
	}
}

// find is the place of a column, letter case aside; -1 where it may be absent.
func find(s *layout.Step, names []string, want string) (int, error) {
	at := slices.IndexFunc(names, same(want))
	switch {
	case at < 0 && !s.Optional:
		return -1, absent(s, want)
	case at < 0:
		return -1, nil
	case slices.ContainsFunc(names[at+1:], same(want)):
		return -1, twice(s, want)
	}
	return at, nil
}

// same tells names that are one, letter case aside.
func same(name string) func(string) bool {
	return func(other string) bool { return parse.Fold(other) == parse.Fold(name) }
}

// folded are texts as cells are compared with them: without outer blanks and letter case.
func folded(texts []string) map[string]bool {
	if texts == nil {
		return nil
	}
	all := map[string]bool{}
	for _, t := range texts {
		all[parse.Fold(t)] = true
	}
	return all
}

// set puts a text into a cell.
func set(r *lines.Line, at int, text string, as lines.Stored) {
	r.Cells[at] = text
	if r.Stored == nil && as != lines.AsText {
		r.Stored = make([]lines.Stored, len(r.Cells))
	}
	if r.Stored != nil {
		r.Stored[at] = as
	}
}

package reshape

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// GivenTwice: a visit has two different values under one name.
const GivenTwice = "value-given-twice"

// blankID: a row does not say what it belongs to.
const blankID = "blank-required"

// heldBytes is how much a pivot holds while the rows of a visit may stand anywhere. A
// variable for the tests.
var heldBytes = 32 << 20

// pivot puts the rows of a visit into one, with a column for each name.
type pivot struct {
	simple
	ids                 []int
	names, values, unit int
	keep                []int // the columns that stay, in order
	slot                map[string]int

	visits []*visit
	byKey  map[string]*visit
	held   int

	unlisted map[string]int64
	differ   misfits
}

// visit is the row of a visit that is put together.
type visit struct {
	lines.Line
	given []int // by name: the line that gave its value; 0 none
}

func newPivot(base simple) *pivot {
	return &pivot{simple: base, slot: map[string]int{}, byKey: map[string]*visit{}, unlisted: map[string]int64{}, unit: -1}
}

func (s *pivot) begin(names []string) ([]string, error) {
	place := map[string]int{}
	for _, want := range s.step.Reads() {
		at, err := find(s.step, names, want)
		if err != nil {
			return nil, err
		}
		if at < 0 {
			return nil, absent(s.step, want) // without them no row would be a visit
		}
		place[want] = at
	}
	s.names, s.values = place[s.step.NamesFrom], place[s.step.ValuesFrom]
	if s.step.UnitsFrom != "" {
		s.unit = place[s.step.UnitsFrom]
	}
	for _, id := range s.step.Ids {
		s.ids = append(s.ids, place[id])
	}
	var after []string
	for i, name := range names {
		if i != s.names && i != s.values && i != s.unit {
			s.keep, after = append(s.keep, i), append(after, name)
		}
	}
	for i, name := range s.step.Names {
		if slices.ContainsFunc(after, same(name)) {
			return nil, taken(s.step, name)
		}
		s.slot[parse.Fold(name)] = len(after) + i
	}
	s.width = len(after)
	return append(after, s.step.Names...), nil
}

func (s *pivot) row(r *lines.Line, next pushes) error {
	var key strings.Builder
	for _, at := range s.ids {
		key.WriteString(parse.Trim(r.Cells[at]))
		key.WriteByte(0)
	}
	if strings.Trim(key.String(), "\x00") == "" {
		return next(s.nobody(r))
	}
	v := s.byKey[key.String()]
	if v == nil {
		if s.step.Adjacent {
			if err := s.end(next); err != nil {
				return err
			}
		}
		v = s.open(r)
		s.visits, s.byKey[key.String()] = append(s.visits, v), v
	} else {
		s.join(v, r)
	}
	s.put(v, r)
	if s.held += len(r.Text) + 16*len(r.Cells) + 64; s.held > heldBytes {
		return lines.Refuse(lines.TooLarge, "the step %s would hold more than %d MiB of rows\nsort the export by %s and declare adjacent = true "+
			"in that step", s.step.Do, heldBytes>>20, lines.Quoted(s.step.Ids))
	}
	return nil
}

// nobody is a row that belongs to no visit.
func (s *pivot) nobody(r *lines.Line) *lines.Line {
	v := s.open(r)
	if v.Wrong == nil {
		v.Wrong = &lines.Fault{Column: s.step.Ids[0], Reason: blankID, Message: "the row says nothing of the visit it belongs to"}
	}
	s.put(v, r)
	return &v.Line
}

// open begins the row of a visit with its first row.
func (s *pivot) open(r *lines.Line) *visit {
	v := &visit{Line: *r, given: make([]int, len(s.step.Names))}
	v.Cells, v.Stored = make([]string, s.width+len(s.step.Names)), nil
	v.Joined = slices.Clone(r.Joined)
	for i, at := range s.keep {
		set(&v.Line, i, r.Cells[at], r.StoredAs(at))
	}
	return v
}

// join adds a further row of the visit. What other columns held first stands.
func (s *pivot) join(v *visit, r *lines.Line) {
	v.Joined = append(append(v.Joined, lines.Part{Number: r.Number, Text: r.Text}), r.Joined...)
	if v.Wrong == nil {
		v.Wrong = r.Wrong
	}
	if v.Doubt == "" {
		v.Doubt = r.Doubt
	}
	for i, at := range s.keep {
		cell := parse.Trim(r.Cells[at])
		switch first := parse.Trim(v.Cells[i]); {
		case cell == "" || cell == first:
		case first == "":
			set(&v.Line, i, r.Cells[at], r.StoredAs(at))
		default:
			s.differ.add(r.Number, cell)
		}
	}
}

// put puts the value of a row under its name.
func (s *pivot) put(v *visit, r *lines.Line) {
	name, value, kind := parse.Trim(r.Cells[s.names]), parse.Trim(r.Cells[s.values]), r.StoredAs(s.values)
	at, listed := s.slot[parse.Fold(name)]
	if !listed {
		if len(s.unlisted) < 1000 || s.unlisted[name] > 0 {
			s.unlisted[strings.Clone(name)]++
		}
		return
	}
	if s.missing(value) {
		return
	}
	if s.unit >= 0 {
		if unit := parse.Trim(r.Cells[s.unit]); !s.missing(unit) && kind != lines.AsDay {
			value += " " + unit
		}
	}
	i := at - s.width
	switch {
	case v.given[i] == 0:
		v.given[i] = r.Number
		set(&v.Line, at, value, kind)
	case v.Cells[at] != value && v.Wrong == nil:
		v.Wrong = &lines.Fault{
			Column: s.step.ValuesFrom, Value: value, Reason: GivenTwice,
			Message: fmt.Sprintf("%s of this visit is %q in line %d, and %q in line %d", name, parse.Short(v.Cells[at]), v.given[i],
				parse.Short(value), r.Number),
		}
	}
}

// end hands on the visits that are held, in the order of their first rows.
func (s *pivot) end(next pushes) error {
	for _, v := range s.visits {
		if err := next(&v.Line); err != nil {
			return err
		}
	}
	s.visits, s.held = nil, 0
	clear(s.byKey)
	return nil
}

func (s *pivot) notes() (all []string) {
	var names []string
	for name := range s.unlisted {
		names = append(names, name)
	}
	slices.SortFunc(names, func(x, y string) int {
		if s.unlisted[x] != s.unlisted[y] {
			return int(s.unlisted[y] - s.unlisted[x])
		}
		return strings.Compare(x, y)
	})
	for i, name := range names {
		if i == 5 {
			all = append(all, fmt.Sprintf("and %d other names", len(names)-i))
			break
		}
		all = append(all, fmt.Sprintf("%s of column %q hold %q, which is none of the names of the step", cells(s.unlisted[name]),
			s.step.NamesFrom, parse.Short(name)))
	}
	if s.differ.count > 0 {
		all = append(all, fmt.Sprintf("%s of other columns differ within a visit, where the first counts: %s", cells(s.differ.count),
			s.differ.first()))
	}
	return all
}

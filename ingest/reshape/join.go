package reshape

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
)

// TwoRows: a table holds several rows of one key that differ in what is taken of them.
const TwoRows = "several-rows-of-one-key"

// tableLimit is how many bytes the tables of one run may hold, 16 counted for each cell.
const tableLimit = 256 << 20

// Tables are the tables that steps join rows of, by the names of their layouts.
type Tables map[string]*Table

// Table is what is held of the files of a table: the columns that steps read or take.
type Table struct {
	columns []string // of those that are wanted, folded
	rows    []tableRow
	held    int
	limit   int
	indexes map[string]map[string][]int // by the columns of a key: rows by their key
}

// tableRow is a row of a table.
type tableRow struct {
	place  string // file:line
	left   string // why it is left out; "" where it is not
	day    day.Day
	cells  []string
	stored []lines.Stored
}

// NewTable makes an empty table of the columns that steps of any layout want of it.
func NewTable(of *layout.Layout, all []*layout.Layout) *Table {
	t := &Table{limit: tableLimit, indexes: map[string]map[string][]int{}}
	for _, l := range all {
		for _, s := range l.Steps {
			if s.Do != layout.Join || s.Table != of.Name {
				continue
			}
			for _, name := range slices.Concat(s.Keys(), s.Take) {
				if !slices.Contains(t.columns, parse.Fold(name)) {
					t.columns = append(t.columns, parse.Fold(name))
				}
			}
		}
	}
	return t
}

// Add adds a row of a file of some day of export under its header.
func (t *Table) Add(header []string, row *lines.Line, file string, exported day.Day) error {
	r := tableRow{place: fmt.Sprintf("%s:%d", file, row.Number), left: row.Left, day: exported}
	for _, name := range t.columns {
		at := slices.IndexFunc(header, func(h string) bool { return parse.Fold(h) == name })
		if at < 0 {
			return lines.Refuse(lines.MissingColumn, "not in the header: %q, which a step join reads of it", name)
		}
		if at >= len(row.Cells) {
			return nil // a row that cannot be read
		}
		r.cells = append(r.cells, strings.Clone(parse.Trim(row.Cells[at])))
		r.stored = append(r.stored, row.StoredAs(at))
		t.held += len(row.Cells[at]) + 32
	}
	if t.held += 128; t.held > t.limit {
		return lines.Refuse(lines.TooLarge, "the tables to join hold more than %d MB\nexport shorter ones, or join them before",
			t.limit>>20)
	}
	t.rows = append(t.rows, r)
	return nil
}

// key is the key of a row, "" where a cell of it is blank.
func key(cells []string, stored func(int) lines.Stored, at []int) string {
	var parts []string
	for _, i := range at {
		text := parse.Trim(lines.AsWritten(cells[i], stored(i)))
		if text == "" {
			return ""
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "\x1f")
}

// places are where columns of the table are held.
func (t *Table) places(names []string) (at []int) {
	for _, n := range names {
		at = append(at, slices.Index(t.columns, parse.Fold(n)))
	}
	return at
}

// index finds rows by their key.
func (t *Table) index(names []string) map[string][]int {
	by := strings.Join(names, "\x1f")
	if t.indexes[by] == nil {
		rows, at := map[string][]int{}, t.places(names)
		for i := range t.rows {
			r := &t.rows[i]
			if k := key(r.cells, func(c int) lines.Stored { return r.stored[c] }, at); k != "" {
				rows[k] = append(rows[k], i)
			}
		}
		t.indexes[by] = rows
	}
	return t.indexes[by]
}

// join takes columns from the row of a table that has the same key.
type join struct {
	simple
	table   *Table // nil: the rows are only looked at
	index   map[string][]int
	take    []int
	without misfits
}

func (s *join) begin(names []string) ([]string, error) {
	after, err := s.simple.begin(names)
	if s.table != nil {
		s.index, s.take = s.table.index(s.step.Keys()), s.table.places(s.step.Take)
	}
	return after, err
}

func (s *join) row(r *lines.Line, next pushes) error {
	s.widen(r)
	if s.reads == nil || s.table == nil {
		return next(r)
	}
	k := key(r.Cells, r.StoredAs, s.reads)
	found := s.index[k]
	if k == "" || len(found) == 0 {
		s.without.add(r.Number, strings.ReplaceAll(k, "\x1f", ", "))
		return next(r)
	}
	row, other := s.table.valid(found, s.take)
	switch {
	case other != nil && r.Wrong == nil:
		r.Wrong = &lines.Fault{
			Column: s.step.By[0], Value: strings.ReplaceAll(k, "\x1f", ", "), Reason: TwoRows,
			Message: twoRows(s.step.Table, row.place, other.place),
		}
		return next(r)
	case row.left != "" && r.Left == "":
		r.Left = fmt.Sprintf("its row of %s is left out, %s", s.step.Table, row.left)
		return next(r)
	}
	for i, from := range s.take {
		set(r, s.width+i, row.cells[from], row.stored[from])
	}
	return next(r)
}

// valid is the one of several rows of a key that stands: that of the latest export. The
// other is one of the same day that differs from it.
func (t *Table) valid(found, take []int) (row, other *tableRow) {
	for _, i := range found {
		r := &t.rows[i]
		switch {
		case row == nil || r.day > row.day:
			row, other = r, nil
		case r.day == row.day && other == nil && r.differs(row, take):
			other = r
		}
	}
	return row, other
}

func (r *tableRow) differs(other *tableRow, columns []int) bool {
	return r.left != other.left || slices.ContainsFunc(columns, func(i int) bool {
		return r.cells[i] != other.cells[i] || r.stored[i] != other.stored[i]
	})
}

func (s *join) notes() []string {
	if s.without.count == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s of %s: %s", withoutRow(s.without.count), s.step.Table, s.without.first())}
}

func withoutRow(n int64) string {
	if n == 1 {
		return "1 row has no row"
	}
	return fmt.Sprintf("%d rows have no row", n)
}

func twoRows(table, one, other string) string {
	return fmt.Sprintf("%s has several rows of this key that differ: %s and %s", table, one, other)
}

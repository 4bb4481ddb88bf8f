package draft

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/ingest/reshape"
	"fluedrift/model/day"
)

// Rows is the table that readings are joined to: the visits they were taken at.
type Rows struct {
	*Kind
	Name string // of its layout
}

// JoinedTo finds, of other kinds of file, the one whose rows say the boiler or the day of
// readings that have none: by an id of which every row there is another, and that stands
// behind nearly all readings. It is -1 where there is none, or several could be.
func JoinedTo(k *Kind, others []*Kind) int {
	found := -1
	for i, other := range others {
		if _, _, ok := joinKey(k, other); !ok {
			continue
		}
		if found >= 0 {
			return -1
		}
		found = i
	}
	return found
}

// joinKey is the column of readings, and that of a table, by which they are joined.
func joinKey(k, table *Kind) (own, theirs int, ok bool) {
	has := func(k *Kind, field string) bool {
		return slices.ContainsFunc(k.header, func(h string) bool { return guessField(layout.Readings, h) == field })
	}
	gas := func(k *Kind) bool { return has(k, "co2") || has(k, "o2") }
	lacks := func(field string) bool { return !has(k, field) }
	if k.fault != "" || table.fault != "" || !gas(k) || gas(table) || table.file.Rows != "" || !lacks("serial") && !lacks("day") {
		return 0, 0, false
	}
	for _, field := range []string{"serial", "day"} {
		if lacks(field) && !has(table, field) {
			return 0, 0, false
		}
	}
	most := 0
	for i, h := range k.header {
		named := guessField(layout.Readings, h)
		for j, other := range table.header {
			same := !bareID(h) && parse.Fold(h) == parse.Fold(other)
			visit := named == "visit_id" && (guessField(layout.Readings, other) == "visit_id" || bareID(other))
			if named == "serial" || !same && !visit {
				continue
			}
			if n := k.joined(i, table, j); n > most {
				own, theirs, most, ok = i, j, n, true
			}
		}
	}
	return own, theirs, ok
}

// bareID reports a header that says no more than that its cells are ids: each table has its
// own.
func bareID(header string) bool {
	return !slices.ContainsFunc(words(header), func(w string) bool { return !slices.Contains(idWords, w) })
}

// joined counts the rows that find one in a table by a column in which all its cells
// differ; 0 where more than a tenth finds none.
func (k *Kind) joined(own int, table *Kind, theirs int) (n int) {
	keys, differ := table.differing(theirs)
	if !differ && len(keys) == 0 {
		return 0
	}
	filled := 0
	for _, r := range k.rows {
		if own >= len(r.cells) || r.cells[own] == "" {
			continue
		}
		filled++
		if keys[parse.Fold(r.cells[own])] {
			n++
		}
	}
	if 10*n < 9*filled {
		return 0
	}
	return n
}

// joins takes from the table what the readings lack.
func joins(d *drafter) []step {
	t := d.known.Table
	if t == nil {
		return nil
	}
	own, theirs, ok := joinKey(d.Kind, t.Kind)
	if !ok {
		return nil
	}
	s := layout.Step{Do: layout.Join, Table: t.Name, By: []string{d.header[own]}}
	if parse.Fold(d.header[own]) != parse.Fold(t.header[theirs]) {
		s.TableBy = []string{t.header[theirs]}
	}
	have := map[string]bool{}
	for _, h := range d.header {
		have[guessField(layout.Readings, h)] = true
	}
	for i, h := range t.header {
		f := guessField(layout.Readings, h)
		named := slices.ContainsFunc(d.header, func(own string) bool { return parse.Fold(own) == parse.Fold(h) })
		if f != "" && !have[f] && i != theirs && !named {
			s.Take = append(s.Take, h)
		}
	}
	why := fmt.Sprintf("column %q says the visit of each reading, and %s what is known of it", d.header[own], lines.Quoted(t.names[:1]))
	return []step{{s, why}}
}

// tablesOf are the rows of the table that a step joins, as far as they were looked at.
func tablesOf(d *drafter, s *layout.Step) (reshape.Tables, error) {
	if s.Do != layout.Join || d.known.Table == nil {
		return nil, nil
	}
	k := d.known.Table.Kind
	of := &layout.Layout{Name: s.Table, Record: layout.Table}
	t := reshape.NewTable(of, []*layout.Layout{{Steps: []layout.Step{*s}}})
	for _, r := range k.rows {
		row := lines.Line{Number: r.line, Cells: slices.Clone(r.cells), Stored: r.stored}
		for len(row.Cells) < len(k.header) {
			row.Cells = append(row.Cells, "")
		}
		if row.Stored != nil && len(row.Stored) < len(row.Cells) {
			row.Stored = nil
		}
		if err := t.Add(k.header, &row, r.file, day.None); err != nil {
			refusal, ok := errors.AsType[*lines.Refusal](err)
			if ok {
				return nil, errors.New(strings.TrimSpace(refusal.Message))
			}
			return nil, err
		}
	}
	return reshape.Tables{s.Table: t}, nil
}

// guessTable drafts the layout of a table that others join: it has no fields.
func guessTable(d *drafter) {
	d.record, d.sure = layout.Table, true
	findFooters(d.Kind)
	d.cutColumns()
	proposeSteps(d, revisions, leaveOuts)
	writing{d}.guess()
}

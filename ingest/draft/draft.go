// Package draft proposes a layout for files that no layout fits, from the
// evidence in them: the words of their header, how their cells write numbers and
// days, the size of the numbers, and the ids that other files have too. Everything
// it says is a guess for a person to check, and what only a person can know is a
// Question.
//
// OtherUnit, by which it recognises units of measure by the size of numbers, also
// serves those who look whether a declared unit is borne out.
package draft

import (
	"errors"
	"fmt"
	"maps"
	"path"
	"reflect"
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/judge"
)

// File is a file of unknown layout.
type File struct {
	Name string                                      // with slashes
	Rows int                                         // how many rows to look at; a few hundred where not given
	Head func(bytes int64) ([]byte, error)           // its first bytes, unpacked
	Open func(shape layout.File) (lines.Rows, error) // its rows, as if it had a shape
}

// Draft is a layout proposed for files of one kind.
type Draft struct {
	Name, Record string
	Text         string   // the layout; "" where none can be proposed
	Sure         bool     // the record was recognised, or answered
	Steps        []string // what is done to rows before columns are read, and why
	Columns      []Column
	Questions    []Question
	Notes        []string // what else a person should know
	Lines        []ModelLine
	IDs          []ID // boilers and analyzers as the files name them
}

// Column is what a column is taken for.
type Column struct {
	Header, Field, Unit, Carry string
	Fire                       judge.Fire
	Condition                  judge.Condition
	Certainty                  Certainty
	Why                        string   // the evidence in words
	Cells                      []string // the first different ones
	Filled, Read               int      // filled cells, and those of them that can be read so
	Others                     []string // what it could be else
}

// ModelLine is a model line and fuel of a register, for which targets are needed.
type ModelLine struct {
	Line, Fuel string
	Units      int
	First      string // file:line
}

// Kind is one or more files with one header, looked at and not yet understood.
type Kind struct {
	sniffed
	names []string // of its files
	fault string   // why no layout can be proposed
}

// Look looks at a file.
func Look(f File) *Kind {
	s, err := sniff(f)
	k := &Kind{names: []string{f.Name}}
	fault, refused := errors.AsType[*lines.Refusal](err)
	switch {
	case refused:
		k.fault = fault.Message
	case err != nil:
		k.fault = err.Error()
	default:
		k.sniffed = *s
	}
	return k
}

// Join adds a file of the same kind, and reports false for one of another.
func (k *Kind) Join(other *Kind) bool {
	if k.fault != "" || other.fault != "" || len(k.header) == 0 || !slices.Equal(k.header, other.header) {
		return false
	}
	one, two := k.file, other.file
	one.LastLine, two.LastLine = "", ""
	if one.SeveralSheets() || two.SeveralSheets() { // one sheet is read by a pattern too
		one.Sheet, two.Sheet = nil, nil
	}
	if !reflect.DeepEqual(one, two) {
		return false
	}
	if other.file.LastLine == "any" {
		k.file.LastLine, k.notes = "any", other.notes
	}
	if other.file.SeveralSheets() {
		k.file.Sheet = other.file.Sheet
	}
	k.names, k.rows, k.titles = append(k.names, other.names...), append(k.rows, other.rows...), append(k.titles, other.titles...)
	return true
}

// Names are the files of the kind.
func (k *Kind) Names() []string { return k.names }

// Values are the different cells below the header.
func (k *Kind) Values() map[string]bool {
	all := map[string]bool{}
	for _, r := range k.rows {
		for _, c := range r.cells {
			all[parse.Fold(c)] = true
		}
	}
	return all
}

// Keys are the cells of the columns in which every row has another cell: ids of what
// a row is about.
func (k *Kind) Keys() map[string]bool {
	all := map[string]bool{}
	for i := range k.header {
		if column, differ := k.differing(i); differ {
			maps.Copy(all, column)
		}
	}
	return all
}

// Columns are the different cells of each column.
func (k *Kind) Columns() []map[string]bool {
	all := make([]map[string]bool, len(k.header))
	for i := range all {
		all[i] = map[string]bool{}
		for _, r := range k.rows {
			if i < len(r.cells) {
				all[i][parse.Fold(r.cells[i])] = true
			}
		}
	}
	return all
}

// fewestKeys is how many cells a column needs before it is one of ids.
const fewestKeys = 10

// differing are the filled cells of a column, and whether there are enough of them and
// all differ.
func (k *Kind) differing(column int) (cells map[string]bool, differ bool) {
	cells = map[string]bool{}
	for _, r := range k.rows {
		if column >= len(r.cells) || r.cells[column] == "" {
			continue
		}
		cell := parse.Fold(r.cells[column])
		if cells[cell] {
			return nil, false
		}
		cells[cell] = true
	}
	return cells, len(cells) >= fewestKeys
}

// Known is what is known beside the files of a kind.
type Known struct {
	Answer  func(key string) string // answers to questions, "" where there is none; nil: none at all
	Name    string                  // of the layout; "" made from that of the first file
	Pattern []string                // name patterns; nil: that of the first file's name with other digits
	Others  []map[string]bool       // values of the files of other kinds
	Columns []map[string]bool       // those of each of their columns
	Keys    []map[string]bool       // those of them that stand in columns of which all cells differ
	Table   *Rows                   // the table that these rows are joined to; nil: none
	IsTable bool                    // others are joined to these rows: they are no records
}

// drafter writes a layout for files of one kind.
type drafter struct {
	*Kind
	known     Known
	record    string
	sure      bool
	wide      bool
	columns   []draftColumn
	steps     []step
	wrong     int // rows that the last step could not do its work on
	questions []Question
	lines     []ModelLine
	zone      string            // in which counts since 1970 are days; "" where there are none
	made      map[string]string // fields of columns that steps make, by their headers
}

// draftColumn is what a column seems to mean.
type draftColumn struct {
	fire                       judge.Fire
	condition                  judge.Condition
	header, field, unit, carry string
	days                       *written          // nil where the cells are no days
	units                      []string          // where marks behind numbers tell several
	unitFrom                   string            // the column that tells the unit of each cell
	unitCodes                  map[string]string // what that one's texts mean
	basis                      string
	reference                  string // O2 that the header names for CO
	codes                      map[string]string
	missing                    []string // markers of the column alone
	cells                      []string
	at                         []int  // rows of the cells
	like                       string // use of another column that it looks like
	notes                      []string
}

// use is what a column is for; only one can be.
func (c *draftColumn) use() string {
	return c.field + "/" + string(c.fire) + "/" + string(c.condition)
}

func (c *draftColumn) note(format string, args ...any) {
	c.notes = append(c.notes, fmt.Sprintf(format, args...))
}

// Propose proposes a layout for the files of a kind. Every guess is marked as one;
// a draft is text for a person to edit and is never read from here.
func Propose(k *Kind, known Known) Draft {
	if k.fault != "" {
		return Draft{Notes: []string{"no layout can be proposed: " + k.fault}}
	}
	if len(k.header) == 0 {
		return Draft{Notes: append([]string{"no layout can be proposed"}, k.notes...)}
	}
	d := &drafter{Kind: k, known: known}
	d.notes = slices.Clone(k.notes)
	if known.IsTable {
		guessTable(d)
	} else {
		d.guess()
	}
	base := path.Base(k.names[0])
	if d.known.Name == "" {
		d.known.Name = NameOf(base)
	}
	w := &writer{drafter: d}
	w.write(base)
	out := Draft{
		Name: d.known.Name, Record: d.record, Text: w.b.String(), Sure: d.sure, Questions: d.questions, Notes: d.notes, Lines: d.lines,
		IDs: idsIn(d),
	}
	if !d.sure && prose(d.Kind) {
		out.Questions = nil
	} else if !d.sure {
		out.Questions = d.questions[:min(len(d.questions), 1)] // what a row is comes before what its columns are
	}
	for _, s := range d.steps {
		out.Steps = append(out.Steps, s.told())
	}
	for i := range d.columns {
		if known.IsTable {
			break
		}
		out.Columns = append(out.Columns, evidence{d}.columnOf(&d.columns[i]))
	}
	return out
}

func (d *drafter) form() string {
	if d.wide {
		return layout.Wide
	}
	return layout.Long
}

// guess decides record, form, ways of writing, and the meaning of each column.
func (d *drafter) guess() {
	d.cutColumns()
	proposeSteps(d, headings)
	findFooters(d.Kind)
	d.columns = nil
	d.cutColumns()
	proposeSteps(d, joins, sheetIDs, pivots)
	d.guessRecord()
	proposeSteps(d, nameParts, revisions, leaveOuts, fillDowns, daysWithoutYear, separations, findParts)
	writing{d}.guess()
	d.guessForm()
	proposeSteps(d, otherGases)
	joinRenamed(d)
	spans{d}.fill()
	d.givenColumns()
	d.guessConditions()
	d.guessDays()
	askZone(d)
	d.askBasis()
	d.findLines()
}

// guessMeanings decides the meaning of each column.
func guessMeanings(d *drafter) {
	serial := d.serialColumn()
	if serial < 0 {
		serial = byCells{d}.serialColumn()
	}
	taken := map[string]string{}
	for i := range d.columns {
		d.guessColumn(&d.columns[i], taken, i == serial || serial < 0)
	}
	byCells{d}.fill()
	byCells{d}.foundBesideSpan()
	byCells{d}.secondID()
}

// cutColumns takes the columns apart; of two with one header, the first.
func (d *drafter) cutColumns() {
	for i, h := range d.header {
		c := draftColumn{header: h}
		for at, r := range d.rows {
			switch {
			case len(r.cells) < len(d.header)-1 && d.file.Type != "xlsx" && d.file.Type != "html": // a workbook ends its rows at their last cell
			case i < len(r.cells):
				c.cells, c.at = append(c.cells, r.cells[i]), append(c.at, at)
			case d.file.Type == "xlsx" || d.file.Type == "html":
				c.cells, c.at = append(c.cells, ""), append(c.at, at)
			}
		}
		twice := slices.ContainsFunc(d.columns, func(other draftColumn) bool { return parse.Fold(other.header) == parse.Fold(h) })
		switch {
		case twice:
			note := fmt.Sprintf("the header has two columns %q; a file is refused where one of them is declared", h)
			if !slices.Contains(d.notes, note) {
				d.notes = append(d.notes, note)
			}
		case h != "" && !spent(d.steps, h):
			d.columns = append(d.columns, c)
		}
	}
}

// place is where a cell stands, as file:line.
func (d *drafter) place(c *draftColumn, cell int) string {
	return d.rows[c.at[cell]].place(d.file.SeveralSheets())
}

// serialColumn is, of several columns that could be ids of boilers, the one whose
// values other files have too; -1 where nothing tells them apart.
func (d *drafter) serialColumn() int {
	if best := d.mostShared(d.known.Keys); best >= 0 {
		return best
	}
	return d.mostShared(d.known.Others)
}

// mostShared is the column that could be of serials of which another file has the most
// cells; -1 where no file has any.
func (d *drafter) mostShared(files []map[string]bool) int {
	best, most := -1, 0
	for i := range d.columns {
		c := &d.columns[i]
		f, _ := layout.FieldOf(d.record, "serial")
		if guessField(d.record, c.header) != f.Name || contradicts(c, f) {
			continue
		}
		for _, others := range files {
			n := 0
			for _, cell := range c.cells {
				if cell != "" && others[parse.Fold(cell)] {
					n++
				}
			}
			if n > most {
				best, most = i, n
			}
		}
	}
	return best
}

// givenColumns asks for the columns of required fields that no header looks like.
func (d *drafter) givenColumns() {
	for _, f := range layout.Lacking(d.record, d.form(), d.has) {
		q := Question{
			Key: "column of " + f.Name, Cost: len(d.rows),
			Ask: fmt.Sprintf("Which column is the %s (%s)? No header looks like it, and nothing can be read without it.",
				f.Name, f.Meaning()),
		}
		for _, c := range d.columns {
			if c.field == "" {
				q.Choices = append(q.Choices, c.header)
			}
		}
		answer := d.ask(q)
		for i := range d.columns {
			if c := &d.columns[i]; answer != "" && c.header == answer {
				c.field, c.notes = f.Name, []string{"by your answer"}
				d.guessCells(c, f)
			}
		}
	}
}

func (d *drafter) has(field string) bool {
	return slices.ContainsFunc(d.columns, func(c draftColumn) bool { return c.field == field })
}

// findLines lists the model lines of a register by fuel.
func (d *drafter) findLines() {
	if d.record != layout.Units {
		return
	}
	var line, fuel *draftColumn
	for i := range d.columns {
		switch d.columns[i].field {
		case "model_line":
			line = &d.columns[i]
		case "fuel":
			fuel = &d.columns[i]
		}
	}
	if line == nil {
		return
	}
	for i, name := range line.cells {
		burns := "natural gas"
		if fuel != nil {
			burns = fuel.codes[fuel.cells[i]]
		}
		if name == "" || burns == "" {
			continue
		}
		at := slices.IndexFunc(d.lines, func(l ModelLine) bool { return l.Line == name && l.Fuel == burns })
		if at < 0 {
			at = len(d.lines)
			d.lines = append(d.lines, ModelLine{Line: name, Fuel: burns, First: d.place(line, i)})
		}
		d.lines[at].Units++
	}
	slices.SortStableFunc(d.lines, func(x, y ModelLine) int { return y.Units - x.Units })
}

package draft

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/ingest/reshape"
)

// step is a step that a draft proposes, and why.
type step struct {
	layout.Step
	why string
}

// told is the step in words.
func (s step) told() string {
	columns := s.Columns
	switch {
	case s.Do == layout.FromTitle:
		return fmt.Sprintf("%s: %s", s.Do, s.why)
	case s.Do == layout.PartsOfName:
		return fmt.Sprintf("%s of the %s: %s", s.Do, s.Of, s.why)
	case s.Do == layout.HeadingRows:
		return fmt.Sprintf("%s: %s", s.Do, s.why)
	case s.Do == layout.Join:
		columns = s.Take
	case s.Do == layout.KeepLatest:
		columns = s.Ids
	case s.Column != "":
		columns = []string{s.Column}
	case s.NamesFrom != "":
		columns = []string{s.NamesFrom}
	}
	return fmt.Sprintf("%s %s: %s", s.Do, lines.Quoted(columns), s.why)
}

// proposeSteps looks for what has to be done to the rows before their columns can be
// understood. Each step was tried on the rows that were looked at, and what comes next
// is guessed from what it makes of them.
func proposeSteps(d *drafter, looks ...func(*drafter) []step) {
	for _, look := range looks {
		for _, s := range look(d) {
			if err := apply(d, s); err != nil {
				d.notes = append(d.notes, fmt.Sprintf("the step %s on column %q is left out: %v", s.Do, s.Column, err))
			}
		}
	}
}

// apply does a step to the rows that were looked at, file by file.
func apply(d *drafter, s step) error {
	if err := s.Compile(); err != nil {
		return err
	}
	tables, err := tablesOf(d, &s.Step)
	if err != nil {
		return err
	}
	own := *d.Kind
	own.header, own.rows = nil, nil
	l, wrong := &layout.Layout{File: layout.File{Type: d.file.Type, Header: 1}, Steps: []layout.Step{s.Step}}, 0
	for from := 0; from < max(len(d.rows), 1); {
		to := from
		for to < len(d.rows) && d.rows[to].file == d.rows[from].file {
			to++
		}
		file := d.names[0]
		if to > from {
			file = d.rows[from].file
		}
		some := *d.Kind
		some.rows = d.rows[from:to]
		n, err := applyTo(&own, &some, l, file, tables)
		if err != nil {
			return err
		}
		wrong, from = wrong+n, max(to, from+1)
	}
	d.Kind, d.steps, d.wrong = &own, append(slices.Clone(d.steps), s), wrong
	d.columns = nil
	d.cutColumns()
	return nil
}

// applyTo adds the rows of a file to those of a kind, and counts what the step of the
// layout could not do its work on.
func applyTo(own, some *Kind, l *layout.Layout, file string, tables reshape.Tables) (wrong int, err error) {
	src := reshape.Rows(&looked{Kind: some}, l, file, tables)
	header := true
	for {
		ln, err := src.Next()
		if errors.Is(err, io.EOF) {
			return wrong, nil
		}
		if err != nil {
			return wrong, err
		}
		if ln.Top != lines.NoTop {
			continue
		}
		if header {
			header = false
			own.header = slices.Clone(ln.Cells)
			continue
		}
		if ln.Wrong != nil {
			wrong++
		}
		if ln.Left != "" || ln.Wrong != nil && len(ln.Cells) != len(own.header) {
			continue
		}
		row := some.rows[ln.Number-2]
		row.cells, row.stored = nil, slices.Clone(ln.Stored)
		for _, c := range ln.Cells {
			row.cells = append(row.cells, strings.Clone(parse.Trim(c)))
		}
		own.rows = append(own.rows, row)
	}
}

// spent reports a column that a step takes into others.
func spent(steps []step, header string) bool {
	return slices.ContainsFunc(steps, func(s step) bool {
		return s.Spends() && slices.ContainsFunc(s.Takes(), func(name string) bool { return parse.Fold(name) == parse.Fold(header) })
	})
}

// looked are the rows of a kind that were looked at, under their header.
type looked struct {
	*Kind
	at     int
	titled string // the sheet whose title was given
	out    lines.Line
}

// Next gives a row; those of a workbook end at their last cell and are padded.
func (l *looked) Next() (*lines.Line, error) {
	cells, stored, sheet := l.header, []lines.Stored(nil), ""
	if t, ok := l.title(); ok {
		l.out = lines.Line{Number: l.at, Ended: true, Sheet: t.sheet, Top: lines.AboveHeader, Cells: []string{t.text}, Text: t.text}
		return &l.out, nil
	}
	switch {
	case l.at > len(l.rows):
		return nil, io.EOF
	case l.at > 0:
		row := l.rows[l.at-1]
		cells, stored, sheet = row.cells, row.stored, row.sheet
	}
	l.at++
	l.out = lines.Line{Number: l.at, Ended: true, Sheet: sheet, Cells: append(l.out.Cells[:0], cells...), Stored: slices.Clone(stored)}
	for l.file.Type == "xlsx" && len(l.out.Cells) < len(l.header) {
		l.out.Cells = append(l.out.Cells, "")
	}
	for stored != nil && len(l.out.Stored) < len(l.out.Cells) {
		l.out.Stored = append(l.out.Stored, lines.AsText)
	}
	return &l.out, nil
}

// title is what stands above the header of the sheet whose rows come next, once.
func (l *looked) title() (title, bool) {
	next := l.rows[:min(len(l.rows), 1)]
	if l.at > 0 && l.at <= len(l.rows) {
		next = l.rows[l.at-1 : l.at]
	}
	if len(next) == 0 || l.titled == "in "+next[0].sheet {
		return title{}, false
	}
	i := slices.IndexFunc(l.titles, func(t title) bool { return t.file == next[0].file && t.sheet == next[0].sheet })
	if l.titled = "in " + next[0].sheet; i < 0 || l.titles[i].text == "" {
		return title{}, false
	}
	return l.titles[i], true
}

// SetWidth has no use for rows that are there.
func (l *looked) SetWidth(int) {}

// Close has nothing to close.
func (l *looked) Close() error { return nil }

// writeSteps writes the steps in their order.
func (d *writer) writeSteps() {
	p := func(format string, args ...any) { fmt.Fprintf(&d.b, format+"\n", args...) }
	for _, s := range d.steps {
		p("\n[[step]]")
		p("do = %s # guess: %s", toml(s.Do), oneLine(s.why))
		if s.Column != "" {
			p("column = %s", toml(s.Column))
		}
		for _, k := range []struct {
			key   string
			texts []string
		}{{"columns", s.Columns}, {"values", s.Values}, {"ids", s.Ids}, {"by", s.By}, {"table_by", s.TableBy}, {"take", s.Take}} {
			if k.texts != nil {
				p("%s = %s", k.key, tomlList(k.texts))
			}
		}
		for _, k := range [][2]string{
			{"into", s.Into},
			{"with", s.With},
			{"of", s.Of},
			{"table", s.Table},
			{"revision", s.Revision},
			{"names_from", s.NamesFrom},
			{"values_from", s.ValuesFrom},
			{"units_from", s.UnitsFrom},
		} {
			if k[1] != "" {
				p("%s = %s", k[0], toml(k[1]))
			}
		}
		if s.Names != nil {
			p("names = %s", tomlList(s.Names))
		}
		if s.Patterns != nil {
			p("patterns = [")
			for _, pattern := range s.Patterns {
				p("  %s,", literal(pattern))
			}
			p("]")
		}
	}
}

// literal writes a pattern as a TOML string, where it can as it is.
func literal(s string) string {
	if strings.ContainsAny(s, "'\n\r") {
		return toml(s)
	}
	return "'" + s + "'"
}

package ingest

import (
	"fmt"
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// unknownUnit is why a cell is set aside whose unit of measure the line does not tell.
const unknownUnit = "unknown-unit"

// unitOf finds the unit of measure of a cell where its column has several.
type unitOf struct{ *rowReader }

// bind is the column as the cell is read: in the unit that another cell of the line
// names, else in that of the mark behind the number, else in the first.
func (r unitOf) bind(b bound, ln *lines.Line) (bound, *parse.Fault) {
	switch {
	case len(b.Alternatives) == 0:
		return b, nil
	case b.UnitFrom != "":
		return byCode(b, parse.Trim(ln.Cells[b.unitAt]))
	}
	as := ln.StoredAs(b.index)
	text := parse.Trim(ln.Cells[b.index])
	for len(text) > 0 && (text[0] == '<' || text[0] == '>') && b.Of.Kind == layout.CO {
		text = text[1:]
	}
	_, mark, f := r.numbers(&text, as).Split(text)
	if as == lines.AsPercent {
		mark, f = "%", nil
	}
	at := slices.IndexFunc(b.Alternatives, func(a layout.InUnit) bool { return a.Measure.HasMark(mark) })
	if at < 0 && f == nil && mark != "" && as != lines.AsPercent && len(quantity.MarkOf(mark)) > 0 {
		return b, &parse.Fault{Reason: parse.UnitMark, Message: fmt.Sprintf("%q carries the unit %q; the column is declared in %s",
			parse.Short(text), mark, layout.DeclaredUnit(b.Column))}
	}
	if at < 0 || f != nil || mark == "" {
		at = 0
	}
	b.Column = b.in[at]
	return b, nil
}

// byCode is the column in the unit that a text of unit_from means.
func byCode(b bound, text string) (bound, *parse.Fault) {
	at := slices.IndexFunc(b.Alternatives, func(a layout.InUnit) bool { return a.Code == parse.Fold(text) })
	if at < 0 {
		what := fmt.Sprintf("%q is none of its unit_codes", parse.Short(text))
		if text == "" {
			what = "it is blank"
		}
		return b, &parse.Fault{Reason: unknownUnit, Message: fmt.Sprintf("the unit of measure stands in column %q, and %s; correct it there, "+
			"or declare what it means", b.UnitFrom, what)}
	}
	b.Column = b.in[at]
	return b, nil
}

// bindUnits binds each column in each of its units, and finds the columns that tell which,
// and on which basis CO is.
func bindUnits(h *head, folded map[string][]int) error {
	for i := range h.bound {
		b := &h.bound[i]
		for _, a := range b.Alternatives {
			one := *a.Column
			one.Header = b.Header // as this file has it
			b.in = append(b.in, &one)
		}
		if b.index < 0 {
			continue
		}
		var err error
		if b.UnitFrom != "" {
			if b.unitAt, err = tells(folded, b.UnitFrom, b.Header, "in which unit %q is measured"); err != nil {
				return err
			}
		}
		if b.BasisFrom != "" {
			if b.basisAt, err = tells(folded, b.BasisFrom, b.Header, "on which basis %q is"); err != nil {
				return err
			}
		}
	}
	return nil
}

// tells finds a column that tells something of another.
func tells(folded map[string][]int, name, header, what string) (int, error) {
	at := folded[parse.Fold(name)]
	what = fmt.Sprintf(what, header)
	switch {
	case len(at) == 0:
		return 0, lines.Refuse(lines.MissingColumn, "not in the header: %q, which says %s", name, what)
	case len(at) > 1:
		return 0, lines.Refuse(lines.DuplicateColumn, "the header has %d columns named %q (letter case aside), which say %s", len(at), name, what)
	}
	return at[0], nil
}

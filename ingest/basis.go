package ingest

import (
	"fmt"
	"maps"
	"slices"

	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// basisContradicted is why a cell of CO is set aside whose unit and basis cannot both be.
const basisContradicted = "basis-contradicted"

// perHeat is the unit of CO that is free of air by what it is.
const perHeat = "mg/kWh"

// basisOf finds what CO is measured in where another column of the line says it.
type basisOf struct{ *rowReader }

// tell notes the basis of a cell for its readings. CO whose basis is not told is kept
// with an unknown one; CO per heat is free of air, and a line that says otherwise errs.
func (r basisOf) tell(b bound, in bound, ln *lines.Line) *parse.Fault {
	text := parse.Trim(ln.Cells[b.basisAt])
	basis, known := layout.BasisIn(b.Column, text)
	if !known {
		r.basesUnknown[text]++
	}
	if in.Unit == perHeat {
		if basis != "unknown" && basis != "air-free" {
			return &parse.Fault{Reason: basisContradicted, Message: fmt.Sprintf("CO in %s is free of air, and column %q says %q; correct one of "+
				"the two", perHeat, b.BasisFrom, parse.Short(text))}
		}
		basis = "air-free"
	}
	if r.layout.Form != layout.Wide {
		r.bases[0] = basis
	}
	for _, g := range b.into {
		r.bases[g] = basis
	}
	return nil
}

// at is the basis of a column of CO as a way to lay the line under the header tells it.
func (r basisOf) at(b *bound, p *placement) string {
	if b.BasisFrom == "" || b.basisAt < p.first || b.basisAt >= p.end {
		return b.Basis
	}
	basis, _ := layout.BasisIn(b.Column, parse.Trim(p.line.Cells[b.basisAt]))
	if in, f := unitOf(r).bind(*b, &p.line); f == nil && in.Unit == perHeat {
		return "air-free"
	}
	return basis
}

// digest adds the bases of a line to its content, where they are not the layout's.
func (r basisOf) digest(h *hasher) {
	for g, b := range r.bases {
		if b != "" && r.groups[g][fieldCO].ok {
			h.number(uint64(g))
			h.text(b)
		}
	}
}

// remarks count the texts that basis_codes do not know.
func (r basisOf) remarks() (all []string) {
	if r.rowReader == nil { // of a table, which has no fields
		return nil
	}
	for i, text := range slices.Sorted(maps.Keys(r.basesUnknown)) {
		if i == 5 {
			return append(all, fmt.Sprintf("and %d other texts", len(r.basesUnknown)-i))
		}
		all = append(all, fmt.Sprintf("basis_codes do not know %q, and %s of CO beside it have an unknown basis", parse.Short(text),
			draft.Counted(int(r.basesUnknown[text]), "cell")))
	}
	return all
}

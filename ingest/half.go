package ingest

import (
	"cmp"
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/model/judge"
)

// half tells the fire and the condition of the readings of a row: in the wide form the
// header of a gas may say one of them, and a column of the row the other.
type half struct{ *rowReader }

// at is the fire and the condition of a group: those of its columns, else those of the row.
func (r half) at(g int) (at layout.Group) {
	if r.layout.Form == layout.Wide {
		at = r.of[g]
	}
	if at.Fire == "" {
		at.Fire = judge.Fire(r.groups[g][fieldFire].text)
	}
	if at.Condition == "" {
		at.Condition = judge.Condition(r.groups[g][fieldCondition].text)
	}
	return at
}

// place is the fire and the condition of a column on the row, as far as they are known.
func (r half) place(b bound) layout.Group {
	at := layout.Group{Fire: b.Fire, Condition: b.Condition}
	switch {
	case b.Of.Place != layout.OfReading:
	case r.half == "fire":
		at.Fire = judge.Fire(r.groups[0][fieldFire].text)
	case r.half == "condition":
		at.Condition = judge.Condition(r.groups[0][fieldCondition].text)
	}
	return at
}

// check tells readings from visits without any value in the wide form. A reading whose
// fire or condition the row should say, and does not, is none.
func (r half) check() *cellFault {
	for g := range r.own {
		r.own[g] = r.own[g] && r.measures(g)
		if at := r.at(g); r.own[g] && (at.Fire == "" || at.Condition == "") {
			return &cellFault{r.headerOf(r.half), "", blankRequired, "the cell is blank, and a reading needs it"}
		}
	}
	return nil
}

// halves stores what is said of such rows.
type halves struct{ *emitter }

// key adds what tells the rows of a visit apart of which each has the readings of
// one fire or of one condition.
func (e halves) key(row *recordRow) {
	said := fieldCondition
	if e.reader.half == "fire" {
		said = fieldFire
	}
	e.keys.value(&layout.Fields(layout.Readings)[said], &e.reader.groups[0][said])
	e.keys.number(uint64(e.occurs.of(e.keys.sum(), row.content)))
}

// ofVisit fills in whether the burner was adjusted, as the row of the visit says it.
// Of several rows of a visit only one describes it: there the readings say it.
func (e halves) ofVisit(visit *recordRow) {
	said := e.reader.adjusted
	visit.adjHigh, visit.adjLow = said[judge.High], said[judge.Low]
	if e.reader.half != "" && slices.Contains(e.reader.own, true) {
		return
	}
	visit.adjusted = cmp.Or(said[judge.Single], visit.base[fieldAdjusted].text)
}

// ofReading is what a reading of the row says of it.
func (e halves) ofReading(row *recordRow) string {
	own := row.reading[fieldAdjusted].text
	if own == "" && e.reader.half != "" {
		own = row.base[fieldAdjusted].text
	}
	return own
}

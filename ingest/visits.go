package ingest

import (
	"context"
	"strings"

	"fluedrift/ingest/layout"
)

// checkVisit holds a line that is a visit alone to its rules: it has no value to lose,
// and needs what tells it from other visits.
func checkVisit(r *rowReader) *cellFault {
	if f := checkVisitID(r); f != nil {
		return f
	}
	return r.makeKey()
}

// checkVisitID: a blank id would make one visit of all of a day.
func checkVisitID(r *rowReader) *cellFault {
	if !r.base[fieldVisitID].ok && r.maps("visit_id") {
		return &cellFault{r.headerOf("visit_id"), "", blankRequired, "the visit id is blank and the layout declares no other key"}
	}
	return nil
}

// alone stores a line that is a visit and no reading. Its row is the visit's, as the
// row of a line without values is in an export of readings.
func (e *emitter) alone(ctx context.Context, row *recordRow) error {
	row.wide, row.digested = true, true
	row.minute = minuteOf(row.base)
	e.keys.visitKey(e.layout, row.base)
	row.key = e.keys.sum()
	e.hasher.reset()
	e.hasher.values(layout.Fields(layout.Visits), row.base, fieldSite)
	losses{e.reader}.digestSpoilt(&e.hasher)
	row.content = e.hasher.sum()
	row.adjusted = row.base[fieldAdjusted].text
	row.marks = strings.Join(e.reader.marks, " ")
	return e.addVisit(ctx, row, e.visitRow)
}

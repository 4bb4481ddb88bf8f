package ingest

import (
	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// checkTotals sets a line aside whose identifier is the word of a total. A
// register asks for no more than a serial, so such a line would be a unit.
func (r *rowReader) checkTotals() *cellFault {
	for _, i := range r.ids {
		text := r.base[i].text
		if !r.base[i].ok || !parse.IsTotal(text) {
			continue
		}
		return &cellFault{
			r.headerOf(layout.Fields(r.layout.Record)[i].Name), text, footerLine,
			"the line looks like a total below the rows, and the layout declares no such footer",
		}
	}
	return nil
}

// idsOf are the fields of a record by which its lines are told apart.
func idsOf(record string) (ids []int) {
	for i, f := range layout.Fields(record) {
		if f.Place != layout.OfReading && (f.Kind == layout.ID && f.Name != "analyzer" || f.Required && f.Kind == layout.Text ||
			f.Required && f.Kind == layout.ID) {
			ids = append(ids, i)
		}
	}
	return ids
}

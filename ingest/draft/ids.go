package draft

import (
	"slices"
	"strings"

	"fluedrift/ingest/parse"
)

// ID is a boiler, by its serial or second id, or an analyzer as files of a kind name it.
type ID struct {
	Field string // serial, second_id or analyzer
	Text  string
	Lines int
	First string // file:line
}

var idFields = []string{"serial", "second_id", "analyzer"}

// idsIn lists the ids of boilers and analyzers in the rows that were looked at, in order
// of their first line.
func idsIn(d *drafter) (all []ID) {
	for i := range d.columns {
		c := &d.columns[i]
		if !slices.Contains(idFields, c.field) {
			continue
		}
		at := map[string]int{}
		for row, cell := range c.cells {
			text := parse.Trim(cell)
			if text == "" || slices.Contains(usualMarkers, parse.Fold(text)) || slices.Contains(c.missing, text) || parse.IsTotal(text) {
				continue
			}
			if _, seen := at[text]; !seen {
				at[text] = len(all)
				all = append(all, ID{Field: c.field, Text: strings.Clone(text), First: d.place(c, row)})
			}
			all[at[text]].Lines++
		}
	}
	return all
}

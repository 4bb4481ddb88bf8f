package draft

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
)

// revisionWords are words of headers of what counts the revisions of a record, with words
// that may stand beside them; common practice, no source.
var (
	revisionWords  = []string{"revision", "rev", "amendment", "ausgabe", "revisie", "revisione"}
	besideRevision = []string{"no", "nr", "number", "nummer", "record", "report", "visit", "test"}
)

// revisions keeps the latest revision of each record: a column counts them, and records of
// one id have several.
func revisions(d *drafter) []step {
	revision := slices.IndexFunc(d.columns, func(c draftColumn) bool { return countsRevisions(c) })
	if revision < 0 {
		return nil
	}
	rows := severalUnits{d}
	counts := rows.byRow(&d.columns[revision])
	best, most := -1, 0
	for i := range d.columns {
		c := &d.columns[i]
		named := guessField(layout.Readings, c.header) == "visit_id" ||
			slices.ContainsFunc(words(c.header), func(w string) bool { return slices.Contains(idWords, w) || w == "report" })
		if i == revision || !named {
			continue
		}
		if n := revised(rows.byRow(c), counts); n > most {
			best, most = i, n
		}
	}
	if best < 0 {
		return nil
	}
	id, of := d.columns[best].header, d.columns[revision].header
	return []step{{
		layout.Step{Do: layout.KeepLatest, Ids: []string{id}, Revision: of},
		fmt.Sprintf("%s of column %q have several of column %q", Counted(most, "record"), id, of),
	}}
}

// countsRevisions reports a column headed as a revision whose cells are small numbers, or
// single letters.
func countsRevisions(c draftColumn) bool {
	revision := false
	for _, w := range words(c.header) {
		switch {
		case slices.Contains(revisionWords, w):
			revision = true
		case !slices.Contains(besideRevision, w):
			return false
		}
	}
	return revision && !slices.ContainsFunc(filledCells(c.cells), func(cell string) bool {
		return len(cell) > 3 || len(cell) > 1 && strings.Trim(cell, "0123456789") != ""
	})
}

// revised counts the ids of several revisions; 0 where half of those that are no first
// revision, or more, stand without an earlier one: it counts something else.
func revised(ids, counts []string) (n int) {
	of, first := map[string][]string{}, ""
	for i, id := range ids {
		if counts[i] != "" && (first == "" || len(counts[i]) < len(first) || len(counts[i]) == len(first) && counts[i] < first) {
			first = counts[i]
		}
		if id != "" && !slices.Contains(of[id], counts[i]) {
			of[id] = append(of[id], counts[i])
		}
	}
	alone := 0
	for _, all := range of {
		switch {
		case len(all) > 1:
			n++
		case all[0] != "" && all[0] != first:
			alone++
		}
	}
	if alone >= n {
		return 0
	}
	return n
}

package draft

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// voidWords are words of a status by which a row is no record. Common practice, no source.
var voidWords = []string{
	"void", "voided", "draft", "template", "cancelled", "canceled", "deleted", "annulé", "brouillon",
	"storniert", "entwurf", "vorlage", "gelöscht",
}

// leaveOuts are columns of a few words, some of which say that a row is no record.
func leaveOuts(d *drafter) (all []step) {
	for _, c := range d.columns {
		seen, rows := map[string]int{}, 0
		var void []string
		for _, cell := range c.cells {
			word := parse.Fold(cell)
			if seen[word]++; len(seen) > 12 {
				break
			}
			if slices.Contains(voidWords, word) {
				rows++
				if seen[word] == 1 {
					void = append(void, word)
				}
			}
		}
		if len(seen) < 2 || len(seen) > 12 || rows == 0 || 3*rows > len(c.cells) {
			continue
		}
		slices.Sort(void)
		all = append(all, step{
			layout.Step{Do: layout.LeaveOut, Column: c.header, Values: void},
			fmt.Sprintf("rows that are %s are no records: %d of %d rows", strings.Join(void, " or "), rows, len(c.cells)),
		})
	}
	return all
}

// fillDowns is the step that fills the columns which are blank where they repeat what
// stands above: the serial is, and with it, row for row, the others. Rows without any
// serial would be nobody's.
func fillDowns(d *drafter) []step {
	if d.record != layout.Readings {
		return nil
	}
	for i := range d.columns {
		if guessField(d.record, d.columns[i].header) != "serial" {
			continue
		}
		lead := d.columns[i].cells
		blank := 0
		for _, cell := range lead {
			if cell == "" {
				blank++
			}
		}
		if len(lead) == 0 || lead[0] == "" || 5*blank < len(lead) {
			continue
		}
		var columns []string
		day := false
		for j := range d.columns {
			if blankWith(d.columns[j].cells, lead) {
				columns = append(columns, d.columns[j].header)
				day = day || guessField(d.record, d.columns[j].header) == "day"
			}
		}
		if !day {
			return nil // a row of its own day is a record of its own
		}
		return []step{{
			layout.Step{Do: layout.FillDown, Columns: columns},
			fmt.Sprintf("blank together where they repeat what stands above: %d of %d rows", blank, len(lead)),
		}}
	}
	return nil
}

// blankWith reports cells that are blank wherever those of another column are, and hardly
// anywhere else.
func blankWith(cells, lead []string) bool {
	filled, both := 0, 0
	for i, cell := range lead {
		switch {
		case i >= len(cells), cell == "" && cells[i] != "":
			return false
		case cell != "":
			filled++
			if cells[i] != "" {
				both++
			}
		}
	}
	return 10*both >= 9*filled
}

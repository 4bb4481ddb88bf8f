package draft

import (
	"slices"
	"strings"

	"fluedrift/ingest/layout"
)

// RowsKey is the key of the question what a row is.
const RowsKey = "rows"

// noRecord is the answer that a row is nothing that is read.
const noRecord = "none of these"

// recordWords name what a row of a record is.
var recordWords = map[string]string{
	layout.Readings: "readings", layout.Visits: "service calls: visits without readings",
	layout.Units: "a register of boilers", layout.ModelLines: "targets by model line",
	layout.Analyzers: "calibrations of analyzers", layout.Plants: "plants", layout.Answers: "answers",
	layout.Table: "rows to which those of other files are joined",
}

// RecordWords name what a row of a record is, the record itself where it has no words.
func RecordWords(record string) string {
	if words := recordWords[record]; words != "" {
		return words
	}
	return record
}

// askRows asks what a row is.
func askRows(d *drafter) {
	q := Question{
		Key: RowsKey, Cost: len(d.rows) / 10,
		Ask: "What is a row? It has no CO2 and no O2, and nothing that describes a boiler: it may be service calls, which count as " +
			"visits, or invoices, and is not read.",
		Evidence: []string{"columns " + strings.Join(d.header, ", ")}, Guess: noRecord,
	}
	records := layout.Records()
	for _, r := range records {
		q.Choices = append(q.Choices, RecordWords(r))
	}
	q.Choices = append(q.Choices, noRecord)
	if at := slices.Index(q.Choices, d.ask(q)); at >= 0 && at < len(records) {
		d.record, d.sure = records[at], true
	}
}

// prose reports a file that is no table: two columns are notes, and so are lines of
// which most have not the width of what looks like a header.
func prose(k *Kind) bool {
	if len(k.header) < 3 {
		return true
	}
	whole := 0
	for _, r := range k.rows {
		if len(r.cells) >= len(k.header) {
			whole++
		}
	}
	return k.file.Type == "csv" && 2*whole < len(k.rows)
}

package ingest

import (
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// footerWords begin the lines that exports write below their rows; common
// practice, no source.
var footerWords = []string{"total", "totals", "sum", "subtotal", "grand total", "count", "rows", "records", "average", "mean", "end", "end of", "printed", "exported", "generated", "page"}

// countedWords follow a number in such lines; common practice, no source.
var countedWords = []string{"row", "rows", "record", "records", "line", "lines", "reading", "readings", "unit", "units", "visit", "visits", "entries"}

// looksLikeFooter reports a row whose first word is one of a footer's.
func looksLikeFooter(cells []string) bool {
	for _, c := range cells {
		if first := parse.Fold(c); first != "" {
			return footerText(first)
		}
	}
	return false
}

// footerText reports a folded text that begins like a footer: Total, "2 rows",
// "(3 rows affected)".
func footerText(text string) bool {
	text = strings.TrimLeft(text, "(-*=<>. ")
	counted := strings.TrimLeft(text, "0123456789")
	if len(counted) < len(text) {
		return strings.HasPrefix(counted, " ") && beginsWith(strings.TrimLeft(counted, " "), countedWords, " :=\t().")
	}
	return beginsWith(text, footerWords, " :=\t()-.")
}

// beginsWith reports a text that begins with one of the words, with nothing or
// a mark behind it.
func beginsWith(text string, words []string, marks string) bool {
	for _, w := range words {
		if rest, ok := strings.CutPrefix(text, w); ok && (rest == "" || strings.ContainsAny(rest[:1], marks)) {
			return true
		}
	}
	return false
}

// totals are the words that stand where an identifier would in a line of
// totals; no unit and no visit is called so.
var totals = []string{"total", "totals", "sum", "subtotal", "grand total", "count", "average", "mean"}

// isTotal reports an identifier that is the word of a total.
func isTotal(id string) bool {
	return id != "" && strings.IndexByte("tTsSgGcCaAmM", id[0]) >= 0 && beginsWith(parse.Fold(id), totals, " :=\t")
}

// checkTotals sets a line aside whose identifier is the word of a total. A
// register asks for no more than a serial, so such a line would be a unit.
func (r *rowReader) checkTotals() *cellFault {
	for _, i := range r.ids {
		text := r.base[i].text
		if !r.base[i].ok || !isTotal(text) {
			continue
		}
		return &cellFault{r.headerOf(layout.Fields(r.layout.Record)[i].Name), text, footerLine, "the line looks like a total below the rows, and the layout declares no such footer"}
	}
	return nil
}

// idsOf are the fields of a record by which its lines are told apart.
func idsOf(record string) (ids []int) {
	for i, f := range layout.Fields(record) {
		if f.Place != layout.OfReading && (f.Kind == layout.ID && f.Name != "analyzer" || f.Required && f.Kind == layout.Text || f.Required && f.Kind == layout.ID) {
			ids = append(ids, i)
		}
	}
	return ids
}

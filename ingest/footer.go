package ingest

import (
	"strings"

	"fluedrift/ingest/parse"
)

// footerWords begin the lines that exports write below their rows; common
// practice, no source.
var footerWords = []string{"total", "totals", "sum", "subtotal", "grand total", "count", "rows", "records", "average", "mean", "end of", "printed", "exported", "generated", "page"}

// looksLikeFooter reports a row whose first word is one of a footer's.
func looksLikeFooter(cells []string) bool {
	for _, c := range cells {
		first := parse.Fold(c)
		if first == "" {
			continue
		}
		for _, w := range footerWords {
			if rest, ok := strings.CutPrefix(first, w); ok && (rest == "" || strings.ContainsAny(rest[:1], " :=\t")) {
				return true
			}
		}
		return false
	}
	return false
}

package parse

import "strings"

// footerWords begin the lines that exports write below their rows; common
// practice, no source.
var footerWords = []string{
	"total", "totals", "sum", "subtotal", "grand total", "count", "rows", "records", "average", "mean", "end",
	"end of", "printed", "exported", "generated", "page",
}

// countedWords follow a number in such lines; common practice, no source.
var countedWords = []string{
	"row", "rows", "record", "records", "line", "lines", "reading", "readings", "unit", "units", "visit", "visits",
	"entries",
}

// Footer reports a row whose first word is one of a footer's.
func Footer(cells []string) bool {
	for _, c := range cells {
		if first := Fold(c); first != "" {
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

// IsTotal reports an identifier that is the word of a total.
func IsTotal(id string) bool {
	return id != "" && strings.IndexByte("tTsSgGcCaAmM", id[0]) >= 0 && beginsWith(Fold(id), totals, " :=\t")
}

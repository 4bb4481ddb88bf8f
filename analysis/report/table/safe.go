package table

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"fluedrift/analysis/report/words"
)

// harmless makes text safe for a cell that a spreadsheet opens: an apostrophe
// goes before text that starts, after any blanks, with a character that makes
// a spreadsheet compute (= + - @ and their full-width forms, tab, carriage
// return, line feed); characters that hide are made visible.
func harmless(s string) string {
	start := strings.TrimLeftFunc(s, func(r rune) bool { return unicode.Is(unicode.Zs, r) })
	if start != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", firstRune(start)) {
		return "'" + words.Visible(s)
	}
	return words.Visible(s)
}

func firstRune(s string) rune {
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

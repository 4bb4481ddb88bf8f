package mend

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// computed are the characters with which a text starts that a spreadsheet
// computes, the full-width forms among them.
const computed = "=+-@\t\r\n＝＋－＠"

// aNumber is a signed number, with its unit or without, or a dash for nothing:
// a spreadsheet makes no more of it than what it says.
var aNumber = regexp.MustCompile(`^[+-]\s?[0-9.,]*[0-9][0-9.,]*\s?[A-Za-z%°"]*$|^[+-]+"?$`)

// computes reports a text that starts with such a character, after any blanks,
// quote marks and apostrophes.
func computes(text string) bool {
	text = strings.TrimLeftFunc(text, func(r rune) bool { return unicode.Is(unicode.Zs, r) || r == '"' || r == '\'' })
	r, _ := utf8.DecodeRuneInString(text)
	return text != "" && strings.ContainsRune(computed, r)
}

// guarded puts an apostrophe before a text that a spreadsheet would compute; a
// signed number stays. A text that begins with an apostrophe before one gets a
// second, so that the reader of files to mend undoes it exactly.
func guarded(text string) string {
	if !computes(text) || !strings.HasPrefix(text, "'") && aNumber.MatchString(strings.TrimLeft(text, "\" ")) {
		return text
	}
	return "'" + text
}

// Unguarded takes an apostrophe of Guarded away again.
func Unguarded(text string) string {
	if plain, ok := strings.CutPrefix(strings.TrimLeft(text, " "), "'"); ok && computes(plain) {
		return plain
	}
	return text
}

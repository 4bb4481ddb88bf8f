package report

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// visible makes characters that steer a terminal or hide from a reader
// visible: control characters, escapes, marks of writing direction, invisible
// joiners, broken UTF-8. "\x1b" stands for the escape character. Printable text
// and blanks of any width stay.
func visible(s string) string {
	if !strings.ContainsFunc(s, hidden) && utf8.ValidString(s) {
		return s
	}
	var b strings.Builder
	for len(s) > 0 {
		r, n := utf8.DecodeRuneInString(s)
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, `\x%02x`, s[0])
		case hidden(r):
			b.WriteString(escaped(r))
		default:
			b.WriteString(s[:n])
		}
		s = s[n:]
	}
	return b.String()
}

// hidden reports whether a character cannot be seen as itself.
func hidden(r rune) bool { return !unicode.IsPrint(r) && !unicode.Is(unicode.Zs, r) }

func escaped(r rune) string {
	switch r {
	case '\n':
		return `\n`
	case '\r':
		return `\r`
	case '\t':
		return `\t`
	}
	if r < 0x80 {
		return fmt.Sprintf(`\x%02x`, r)
	}
	return fmt.Sprintf(`\u%04x`, r)
}

// harmless makes text safe for a cell that a spreadsheet opens: an apostrophe
// goes before text that starts, after any blanks, with a character that makes
// a spreadsheet compute (= + - @ and their full-width forms, tab, carriage
// return, line feed); characters that hide are made visible.
func harmless(s string) string {
	start := strings.TrimLeftFunc(s, func(r rune) bool { return unicode.Is(unicode.Zs, r) })
	if start != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", firstRune(start)) {
		return "'" + visible(s)
	}
	return visible(s)
}

func firstRune(s string) rune {
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

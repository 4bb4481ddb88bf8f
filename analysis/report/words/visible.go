package words

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Visible makes characters that steer a terminal or hide from a reader
// visible: control characters, escapes, marks of writing direction, invisible
// joiners, broken UTF-8. "\x1b" stands for the escape character. Printable text
// and blanks of any width stay.
func Visible(s string) string {
	if !strings.ContainsFunc(s, Hidden) && utf8.ValidString(s) {
		return s
	}
	var b strings.Builder
	for len(s) > 0 {
		r, n := utf8.DecodeRuneInString(s)
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, `\x%02x`, s[0])
		case Hidden(r):
			b.WriteString(escaped(r))
		default:
			b.WriteString(s[:n])
		}
		s = s[n:]
	}
	return b.String()
}

// Hidden reports whether a character cannot be seen as itself.
func Hidden(r rune) bool { return !unicode.IsPrint(r) && !unicode.Is(unicode.Zs, r) }

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

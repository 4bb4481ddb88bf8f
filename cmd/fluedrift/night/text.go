package night

import (
	"fmt"
	"strings"

	"fluedrift/ingest/parse"
)

// Shown makes characters that steer a terminal visible: a message may quote
// text and file names from outside. Line ends stay.
func Shown(s string) string {
	if !strings.ContainsFunc(s, parse.Steers) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if parse.Steers(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// OneLine makes a text from outside, as a file name is, one line that steers no
// terminal.
func OneLine(s string) string { return strings.ReplaceAll(Shown(s), "\n", `\n`) }

// Count is a number of things in words.
func Count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// firstThree lists at most three and counts the rest.
func firstThree(all []string) string {
	if len(all) <= 3 {
		return strings.Join(all, "; ")
	}
	return fmt.Sprintf("%s; and %d more", strings.Join(all[:3], "; "), len(all)-3)
}

// firstNames lists at most three names and counts the rest.
func firstNames(all []string) string {
	if len(all) <= 3 {
		return strings.Join(all, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(all[:3], ", "), len(all)-3)
}

package draft

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"fluedrift/ingest/parse"
)

// A line below the rows has few cells in a table of many columns; mostFooters is how
// many ways of beginning such a line are proposed.
const (
	footerCells   = 2
	footerColumns = 6
	mostFooters   = 6
)

// findFooters takes the lines below the rows out, such as a count or who checked them,
// and proposes to skip them by how they begin: where no row begins so.
func findFooters(k *Kind) {
	var begins []string
	for _, r := range k.rows {
		b := beginning(r.cells)
		if len(k.header) < footerColumns || b == "" || filled(r.cells) > footerCells || slices.Contains(begins, b) {
			continue
		}
		row := slices.ContainsFunc(k.rows, func(o sniffedRow) bool {
			return filled(o.cells) > footerCells && strings.HasPrefix(firstText(o.cells), b)
		})
		if !row && len(begins) < mostFooters {
			begins = append(begins, b)
		}
	}
	for _, b := range begins {
		n := len(k.rows)
		k.rows = slices.DeleteFunc(k.rows, func(r sniffedRow) bool { return strings.HasPrefix(firstText(r.cells), b) })
		pattern := `^[\s";,|]*` + regexp.QuoteMeta(b)
		k.file.Footer = append(k.file.Footer, pattern)
		k.notes = append(k.notes, fmt.Sprintf("lines that begin with %q hold two cells at most and are skipped as no rows: %d of them", b,
			n-len(k.rows)))
	}
}

// firstText is the first filled cell of a row.
func firstText(cells []string) string {
	i := slices.IndexFunc(cells, func(c string) bool { return c != "" })
	if i < 0 {
		return ""
	}
	return cells[i]
}

// beginning is how a row begins, up to the first digit or colon: a word, or "".
func beginning(cells []string) string {
	text := firstText(cells)
	if i := strings.IndexFunc(text, func(r rune) bool { return unicode.IsDigit(r) || r == ':' || r == '"' }); i >= 0 {
		text = text[:i]
	}
	if text = parse.Trim(text); len([]rune(text)) < 4 || !strings.ContainsFunc(text, unicode.IsLetter) {
		return ""
	}
	return text
}

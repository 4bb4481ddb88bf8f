package draft

import (
	"fmt"
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// joinHeader looks whether the header at a row runs over two lines: over a second one
// that names what the first leaves blank, or below a first one that tells columns of
// one name apart. It gives the rows of the header, which follow each other.
func joinHeader(all []sniffedRow, at int) (first, last int) {
	switch {
	case at+1 < len(all) && continues(all[at].cells, all[at+1].cells):
		return at, at + 1
	case at > 0 && groups(all[at-1].cells, all[at].cells):
		return at - 1, at
	}
	return at, at
}

// continues reports a line of names of which some stand below blank cells of the line
// above, the others below names that hold for the blank cells to their right.
func continues(upper, lower []string) bool {
	below := 0
	for i, c := range lower {
		switch {
		case c == "":
		case looksLikeValue(c):
			return false
		case blankAt(upper, i):
			below++
		case !blankAt(upper, i+1) || blankAt(lower, i+1):
			return false
		}
	}
	return below > 0
}

// groups reports a line of names over a line in which names stand twice.
func groups(upper, lower []string) bool {
	if n := filled(upper); n < 2 || n >= filled(lower) || slices.ContainsFunc(upper, looksLikeValue) {
		return false
	}
	seen := map[string]bool{}
	for _, c := range lower {
		if c != "" && seen[c] {
			return distinct(lines.JoinHeader([][]string{upper, lower}))
		}
		seen[c] = true
	}
	return false
}

func blankAt(cells []string, i int) bool { return i >= len(cells) || cells[i] == "" }

func filled(cells []string) (n int) {
	for _, c := range cells {
		if c != "" {
			n++
		}
	}
	return n
}

// distinct reports names of which no two are alike.
func distinct(names []string) bool {
	seen := map[string]bool{}
	for _, n := range names {
		if n != "" && seen[n] {
			return false
		}
		seen[n] = true
	}
	return true
}

// headOf is the header that stands in the rows from first to last.
func headOf(all []sniffedRow, first, last int) (header []string, at layout.HeaderLines) {
	var upper [][]string
	for i := first; i <= last; i++ {
		upper, at = append(upper, all[i].cells), append(at, i+1)
	}
	header = lines.JoinHeader(upper)
	for len(header) > 0 && header[len(header)-1] == "" {
		header = header[:len(header)-1]
	}
	return header, at
}

// headerLines are the lines of a header as a layout names them.
func headerLines(f layout.File) string {
	if len(f.HeaderLines) < 2 {
		return fmt.Sprint(f.Header)
	}
	return fmt.Sprintf("[%d, %d]", f.HeaderLines[0], f.HeaderLines[1])
}

package draft

import (
	"fmt"
	"strings"

	"fluedrift/ingest/layout"
)

// delimiterOf takes the delimiter that cuts most lines into one number of
// cells, the larger number where two do.
func delimiterOf(f File, file layout.File) string {
	best, lines, width := ",", 0, 1
	for _, d := range []string{",", ";", "\t", "|", "^", "~", "::"} {
		file.Delimiter = d
		all, _ := firstRows(f, file, sniffRows)
		w, n := commonWidth(all)
		if w > 1 && (n*w > lines*width) {
			best, lines, width = d, n, w
		}
	}
	for _, longer := range []string{best + best, best + " "} {
		if len(best) > 1 || best == "\t" {
			break
		}
		file.Delimiter = longer
		all, _ := firstRows(f, file, sniffRows)
		doubled := longer == best+best && width > 1
		w, n := commonWidth(all)
		if n >= lines && (w == width || doubled && 2*w-1 == width && w > 1) {
			return longer
		}
	}
	return best
}

// quoteOf is an apostrophe where more cells stand between two of them than between
// two quotes; nil for the quote that is usual.
func quoteOf(f File, file layout.File) *string {
	none, other := "", "'"
	file.Quote = &none
	all, err := firstRows(f, file, sniffRows)
	if err != nil {
		return nil
	}
	count := map[string]int{}
	for _, r := range all {
		for _, c := range r.cells {
			for _, q := range []string{`"`, other} {
				if len(c) >= 2 && strings.HasPrefix(c, q) && strings.HasSuffix(c, q) {
					count[q]++
				}
			}
		}
	}
	if count[other] < 2 || count[other] <= count[`"`] {
		return nil
	}
	return &other
}

// noHeader takes lines of one width as rows without a header, and calls their columns
// by their place; false where they are no table.
func (s *sniffed) noHeader(all []sniffedRow) bool {
	width, n := commonWidth(all)
	if s.file.Type != "csv" || width < 3 || n < 3 || 2*n < len(all) {
		return false
	}
	s.file.Header = 0
	for i := range width {
		s.header = append(s.header, fmt.Sprintf("column %d", i+1))
	}
	s.notes = append(s.notes, "no line looks like a header: columns are called by their place")
	return true
}

// headed writes which column of the file a draft column is.
func headed(f layout.File, header string) string {
	place := 0
	if n, _ := fmt.Sscanf(header, "column %d", &place); f.Header == 0 && n == 1 {
		return fmt.Sprintf("position = %d", place)
	}
	return "header = " + toml(header)
}

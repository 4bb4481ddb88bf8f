package ingest

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/book"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// Unread is a part of a file that was read which no layout reads: another sheet
// of a workbook, or numbers under a header that is blank.
type Unread struct {
	What  string // in words, with its name or number
	Lines int64  // that hold something there
	Sheet bool   // whole lines, and not a column of lines that were read
}

// fewUnread is how many lines a part must have to be one: a note beside a table
// is no record.
const fewUnread = 3

// unread lists the parts of a file that were not read.
func unread(src lines.Rows, h *head, l *layout.Layout) []Unread {
	var all []Unread
	if b, ok := src.(*book.Rows); ok {
		for _, s := range b.OtherSheets(l.File.OtherSheets) {
			if s.Lines >= fewUnread {
				what := fmt.Sprintf("sheet %q", s.Name)
				if s.Why != "" {
					what += ": " + s.Why
				}
				all = append(all, Unread{What: what, Lines: s.Lines, Sheet: true})
			}
		}
	}
	for i, n := range h.numbers {
		if n >= fewUnread {
			all = append(all, Unread{What: fmt.Sprintf("column %d, which has no header", i+1), Lines: n})
		}
	}
	return all
}

// countUnnamed counts the numbers of a line that stand under a blank header.
func (h *head) countUnnamed(cells []string) {
	if len(cells) != len(h.cells) {
		return
	}
	for _, i := range h.unnamed {
		if isNumber(cells[i]) {
			h.numbers[i]++
		}
	}
}

// unnamedColumns are the columns with a blank header that the layout does not
// say it knows.
func (h *head) findUnnamed(l *layout.Layout) {
	for i, c := range h.cells {
		if c == "" && !slices.Contains(l.File.BlankHeaders, i+1) {
			h.unnamed = append(h.unnamed, i)
		}
	}
	if h.unnamed != nil {
		h.numbers = make([]int64, len(h.cells))
	}
}

// isNumber reports a cell of digits and marks, whatever the way of writing.
func isNumber(cell string) bool {
	digit := false
	for _, r := range parse.Trim(cell) {
		switch {
		case r >= '0' && r <= '9':
			digit = true
		case !strings.ContainsRune(".,-+'% <>/:", r) && r != '\u00a0':
			return false
		}
	}
	return digit
}

package ingest

import (
	"archive/zip"
	"encoding/xml"
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
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
func unread(src rows, h *head, l *layout.Layout) []Unread {
	var all []Unread
	if b, ok := src.(*bookRows); ok {
		all = b.otherSheets(l)
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

// otherSheets lists the sheets of a workbook that hold a table and are neither
// the one that the layout reads nor among those it says it knows.
func (b *bookRows) otherSheets(l *layout.Layout) (all []Unread) {
	for _, s := range b.others {
		if slices.Contains(l.File.OtherSheets, s.name) {
			continue
		}
		if n := tableLines(b.zip, s.part, b.tokens.limit); n >= fewUnread {
			all = append(all, Unread{What: fmt.Sprintf("sheet %q", s.name), Lines: n, Sheet: true})
		}
	}
	return all
}

// tableLines counts the rows of a sheet with two cells or more that are filled,
// as far as the sheet can be read: a page of notes has one a row.
func tableLines(z *zip.Reader, part string, limit int64) (lines int64) {
	r, err := openPart(z, part, sheetLimit)
	if err != nil {
		return 0
	}
	defer r.Close()
	tokens := newBookTokens(r, limit)
	filled, inCell := 0, false
	for {
		t, err := tokens.first()
		if err != nil {
			return lines
		}
		switch e := t.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "row":
				filled = 0
			case "c":
				inCell = true
			case "v", "is", "f":
				if inCell {
					filled, inCell = filled+1, false
				}
			}
		case xml.EndElement:
			if e.Name.Local == "row" && filled > 1 {
				lines++
			}
		}
	}
}

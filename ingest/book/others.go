package book

import (
	"encoding/xml"
	"io"
	"slices"
)

// Other is a sheet that is not read.
type Other struct {
	Name  string
	Why   string // in words, though it was asked for; "": nothing asks for it
	Lines int64  // with two cells or more that are filled
}

// OtherSheets counts the lines of the sheets that are not read and are none of
// those known.
func (b *Rows) OtherSheets(known []string) (all []Other) {
	left := int64(sheetLimit) // of all together
	for _, s := range b.others {
		if !slices.Contains(known, s.name) {
			all = append(all, Other{s.name, s.why, b.parts.tableLines(s.part, b.tokens.limit, &left)})
		}
	}
	return all
}

// tableLines counts the rows of a sheet with two cells or more that are filled,
// as far as the sheet can be read: a page of notes has one a row.
// Bytes that it reads are taken off left, and the count ends where none is left.
func (p *parts) tableLines(part string, limit int64, left *int64) (lines int64) {
	r, err := p.open(part, sheetLimit)
	if err != nil {
		return 0
	}
	defer r.Close()
	from := &io.LimitedReader{R: r, N: *left}
	defer func() { *left = from.N }()
	tokens := newTokens(from, limit)
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

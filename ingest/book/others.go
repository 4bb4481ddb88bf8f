package book

import (
	"archive/zip"
	"encoding/xml"
	"slices"
)

// Other is a sheet that is not read.
type Other struct {
	Name  string
	Lines int64 // with two cells or more that are filled
}

// OtherSheets counts the lines of the sheets that are not read and are none of
// those known.
func (b *Rows) OtherSheets(known []string) (all []Other) {
	for _, s := range b.others {
		if !slices.Contains(known, s.name) {
			all = append(all, Other{s.name, tableLines(b.zip, s.part, b.tokens.limit)})
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
	tokens := newTokens(r, limit)
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

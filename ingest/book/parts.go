package book

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// openPart opens a part of the workbook whose unpacked size is within a limit.
func openPart(z *zip.Reader, name string, limit uint64) (io.ReadCloser, error) {
	for _, f := range z.File {
		if !strings.EqualFold(f.Name, name) {
			continue
		}
		if f.UncompressedSize64 > limit {
			return nil, lines.Refuse(lines.NotText, "%s unpacks to %d bytes, more than %d", name, f.UncompressedSize64, limit)
		}
		r, err := f.Open()
		if err != nil {
			return nil, damaged(name, err)
		}
		return r, nil
	}
	return nil, lines.Refuse(lines.NotText, "the workbook has no part %s", name)
}

func damaged(part string, err error) error {
	return lines.Refuse(lines.NotText, "the workbook is damaged at %s: %v", part, err)
}

// bookIndex is what the workbook's own part says.
type bookIndex struct {
	Properties struct {
		Date1904 string `xml:"date1904,attr"`
	} `xml:"workbookPr"`
	Sheets []struct {
		Name string     `xml:"name,attr"`
		Attr []xml.Attr `xml:",any,attr"`
	} `xml:"sheets>sheet"`
}

type bookLinks struct {
	Links []struct {
		ID     string `xml:"Id,attr"`
		Type   string `xml:"Type,attr"`
		Target string `xml:"Target,attr"`
	} `xml:"Relationship"`
}

// otherSheet is a sheet of rows with the part it stands in.
type otherSheet struct{ name, part string }

// sheetPart finds the part of the declared sheet, the other sheets, and the
// workbook's way of counting days, which is compared with the declared one.
func sheetPart(z *zip.Reader, l *layout.Layout) (part string, others []otherSheet, system int, err error) {
	var index bookIndex
	var links bookLinks
	if err := decodePart(z, "xl/workbook.xml", &index); err != nil {
		return "", nil, 0, err
	}
	if err := decodePart(z, "xl/_rels/workbook.xml.rels", &links); err != nil {
		return "", nil, 0, err
	}
	system = 1900
	if index.Properties.Date1904 == "1" || index.Properties.Date1904 == "true" {
		system = 1904
	}
	if declared := l.Days.System(); declared != 0 && declared != system {
		return "", nil, 0, lines.Refuse(lines.Contradicted, "the workbook counts its days in the %d system and the layout "+
			"declares %q", system, l.Days.Pattern())
	}
	var names []string
	for i, s := range index.Sheets {
		names = append(names, s.Name)
		at, isTable := links.part(s.Attr)
		switch {
		case s.Name == l.File.Sheet || int64(i+1) == l.File.Sheet:
			if part == "" {
				part = at
			}
		case isTable:
			others = append(others, otherSheet{s.Name, at})
		}
	}
	if part == "" {
		return "", nil, 0, lines.Refuse(lines.NoHeader, "the workbook has no sheet %v; it has %s", l.File.Sheet, lines.Quoted(names))
	}
	return part, others, system, nil
}

// part finds where a sheet stands, and whether it has rows: a chart has none.
func (b bookLinks) part(attributes []xml.Attr) (name string, isTable bool) {
	for _, a := range attributes {
		if a.Name.Local != "id" {
			continue
		}
		for _, k := range b.Links {
			if k.ID == a.Value {
				return partName(k.Target), strings.HasSuffix(k.Type, "/worksheet")
			}
		}
	}
	return "", false
}

func partName(target string) string {
	if strings.HasPrefix(target, "/") {
		return target[1:]
	}
	return path.Join("xl", target)
}

func decodePart(z *zip.Reader, name string, into any) error {
	r, err := openPart(z, name, 16<<20)
	if err != nil {
		return err
	}
	defer r.Close()
	if err := xml.NewDecoder(r).Decode(into); err != nil {
		return damaged(name, err)
	}
	return nil
}

// sharedTexts reads the texts that cells refer to by number, each of so many
// bytes at most. A workbook need not have any.
func sharedTexts(z *zip.Reader, limit int64) ([]string, error) {
	const name = "xl/sharedStrings.xml"
	if !hasPart(z, name) {
		return nil, nil
	}
	r, err := openPart(z, name, stringLimit)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	tokens := newTokens(r, limit)
	var texts []string
	for {
		t, err := tokens.first()
		if errors.Is(err, io.EOF) {
			return texts, nil
		}
		if err != nil {
			return nil, tokens.fault(name, err)
		}
		if s, ok := t.(xml.StartElement); ok && s.Name.Local == "si" {
			text, err := richText(tokens, "si")
			if err == nil && int64(len(text)) > limit {
				err = errGreatText
			}
			if err != nil {
				return nil, tokens.fault(fmt.Sprintf("text %d of %s", len(texts)+1, name), err)
			}
			texts = append(texts, text)
		}
	}
}

// richText gathers the runs of a text up to the end of its element, without
// the reading aids some scripts carry.
func richText(tokens *tokenReader, end string) (string, error) {
	var b strings.Builder
	in, aid := false, false
	for {
		t, err := tokens.RawToken()
		if err != nil {
			return "", err
		}
		switch e := t.(type) {
		case xml.StartElement:
			in = e.Name.Local == "t"
			aid = aid || e.Name.Local == "rPh"
		case xml.EndElement:
			in = false
			if e.Name.Local == "rPh" {
				aid = false
			}
			if e.Name.Local == end {
				return b.String(), nil
			}
		case xml.CharData:
			if in && !aid {
				b.Write(e)
			}
		}
	}
}

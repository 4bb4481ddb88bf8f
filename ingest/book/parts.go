package book

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// partLimit is how many bytes the parts may unpack to that say what stands where;
// those with styles may have four times as many.
const partLimit = 4 << 20

// parts are the parts of a workbook. Which is which is told by relationships
// (ECMA-376 part 2, 9.3), never by a name that one program gives them.
type parts struct {
	zip      *zip.Reader
	workbook string                // name of the part that lists the sheets
	links    map[string]partOfBook // by the id of the relationship
	hidden   []string              // names of the sheets that are
}

type partOfBook struct{ name, kind string }

// openParts finds what stands where.
func openParts(z *zip.Reader) (*parts, error) {
	p := &parts{zip: z, workbook: "xl/workbook.xml"}
	if p.has("_rels/.rels") {
		top, err := p.related("")
		if err != nil {
			return nil, err
		}
		for _, l := range top {
			if l.kind == "officeDocument" {
				p.workbook = l.name
			}
		}
	}
	if strings.HasSuffix(strings.ToLower(p.workbook), ".bin") {
		return nil, lines.Refuse(lines.NotText, "the file is a workbook in a binary form (.xlsb), which is not read\nsave it as .xlsx")
	}
	if !p.has(p.workbook) {
		return nil, lines.Refuse(lines.NotText, "the content is packed, and no workbook: it has no part %s", p.workbook)
	}
	var err error
	p.links, err = p.related(p.workbook)
	return p, err
}

// relsOf is the part with the relationships of a part.
func relsOf(part string) string {
	return path.Join(path.Dir(part), "_rels", path.Base("/"+part)+".rels")
}

// related reads the relationships of a part, by their ids.
func (p *parts) related(of string) (map[string]partOfBook, error) {
	var read struct {
		Links []struct {
			ID     string `xml:"Id,attr"`
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
			Mode   string `xml:"TargetMode,attr"`
		} `xml:"Relationship"`
	}
	if err := p.decode(relsOf(of), partLimit, &read); err != nil {
		return nil, err
	}
	all := map[string]partOfBook{}
	for _, l := range read.Links {
		if l.Mode == "External" {
			continue
		}
		at, rooted := strings.CutPrefix(l.Target, "/")
		if !rooted {
			at = path.Join(path.Dir(of), l.Target)
		}
		all[l.ID] = partOfBook{at, path.Base(l.Type)}
	}
	return all, nil
}

// one is the name of the part of a kind that a workbook has one of, "" where it has
// none.
func (p *parts) one(kind string) string {
	for _, l := range p.links {
		if l.kind == kind {
			return l.name
		}
	}
	return ""
}

func (p *parts) has(name string) bool { return p.find(name) != nil }

func (p *parts) find(name string) *zip.File {
	for _, f := range p.zip.File {
		if strings.EqualFold(f.Name, name) {
			return f
		}
	}
	return nil
}

// open opens a part whose unpacked size is within a limit.
func (p *parts) open(name string, limit uint64) (io.ReadCloser, error) {
	f := p.find(name)
	if f == nil {
		return nil, lines.Refuse(lines.NotText, "the workbook has no part %s", name)
	}
	if f.UncompressedSize64 > limit {
		return nil, lines.Refuse(lines.TooLarge, "%s of the workbook unpacks to %d bytes, more than %d\nsplit the export", name,
			f.UncompressedSize64, limit)
	}
	r, err := f.Open()
	if err != nil {
		return nil, damaged(name, err)
	}
	return r, nil
}

// decode reads a part to its end.
func (p *parts) decode(name string, limit uint64, into any) error {
	r, err := p.open(name, limit)
	if err != nil {
		return err
	}
	defer r.Close()
	tokens := newTokens(r, int64(limit))
	tokens.src.left = int64(limit) + 1
	if err := xml.NewTokenDecoder(tokens).Decode(into); err != nil {
		return damaged(name, err)
	}
	if err := tokens.finish(); err != nil {
		return damaged(name, err)
	}
	return nil
}

func damaged(part string, err error) error {
	said := err.Error()
	switch {
	case errors.Is(err, zip.ErrChecksum):
		said = "its checksum does not fit its bytes"
	case errors.Is(err, io.ErrUnexpectedEOF):
		said = "it ends early"
	case errors.Is(err, zip.ErrFormat):
		said = "its bytes are not what the end of the file says of them"
	}
	return lines.Refuse(lines.NotText, "the workbook is damaged at %s: %s", part, said)
}

// bookIndex is what the workbook's own part says.
type bookIndex struct {
	Properties struct {
		Date1904 string `xml:"date1904,attr"`
	} `xml:"workbookPr"`
	Sheets []struct {
		Name  string     `xml:"name,attr"`
		State string     `xml:"state,attr"`
		Attr  []xml.Attr `xml:",any,attr"`
	} `xml:"sheets>sheet"`
}

// bookSheet is a sheet with the part it stands in.
type bookSheet struct {
	name, part string
	why        string // in words, why it is not read though it would be; "": nothing asks for it
}

// sheets finds the declared sheets, the others with rows, and the workbook's way of
// counting days, which is compared with the declared one.
func (p *parts) sheets(l *layout.Layout) (reads, others []bookSheet, system int, err error) {
	var index bookIndex
	if err := p.decode(p.workbook, partLimit, &index); err != nil {
		return nil, nil, 0, err
	}
	system = 1900
	if index.Properties.Date1904 == "1" || index.Properties.Date1904 == "true" {
		system = 1904
	}
	if declared := l.Days.System(); declared != 0 && declared != system {
		return nil, nil, 0, lines.Refuse(lines.Contradicted, "the workbook counts its days in the %d system and the layout "+
			"declares %q", system, l.Days.Pattern())
	}
	var names []string
	several := l.File.SeveralSheets()
	for i, s := range index.Sheets {
		names = append(names, s.Name)
		at := p.linked(s.Attr)
		one := bookSheet{name: s.Name, part: at.name}
		picked, named := l.File.ReadsSheet(s.Name, i+1)
		if s.State != "" && s.State != "visible" {
			one.why = "it is hidden"
			p.hidden = append(p.hidden, s.Name)
			picked = named
		}
		known := slices.Contains(l.File.OtherSheets, s.Name)
		switch {
		case picked && !several && len(reads) == 0, picked && several && !known && at.kind == "worksheet":
			reads = append(reads, one)
		case at.kind == "worksheet": // a chart has no rows
			others = append(others, one)
		}
	}
	if len(reads) == 0 {
		return nil, nil, 0, lines.Refuse(lines.NoHeader, "the workbook has no sheet %v; it has %s", l.File.Sheet, lines.Quoted(names))
	}
	return reads, others, system, nil
}

// linked finds where a sheet stands.
func (p *parts) linked(attributes []xml.Attr) (at partOfBook) {
	for _, a := range attributes {
		if a.Name.Local == "id" {
			at = p.links[a.Value]
		}
	}
	return at
}

// sharedTexts reads the texts that cells refer to by number, each of so many
// bytes at most. A workbook need not have any.
func (p *parts) sharedTexts(limit int64) (*texts, error) {
	name := p.one("sharedStrings")
	if name == "" {
		return &texts{}, nil
	}
	r, err := p.open(name, stringLimit)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	tokens := newTokens(r, limit)
	all := &texts{}
	for {
		t, err := tokens.first()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return nil, tokens.fault(name, err)
		}
		if s, ok := t.(xml.StartElement); ok && s.Name.Local == "si" {
			text, struck, err := richText(tokens, "si")
			if err == nil && int64(len(text)) > limit {
				err = errGreatText
			}
			if err != nil {
				return nil, tokens.fault(fmt.Sprintf("text %d of %s", all.count()+1, name), err)
			}
			if !all.add(unescape(text), struck) {
				return nil, lines.Refuse(lines.TooLarge, "%s of the workbook holds more than %d MB of texts\nsplit the export", name,
					stringLimit>>20)
			}
		}
	}
}

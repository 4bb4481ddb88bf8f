package draft

import (
	"bytes"
	"regexp"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/objects"
)

// formOf recognises objects of JSON and pages by their first bytes, whatever the name
// says, and reports false for neither.
func formOf(f File, head []byte, shape *layout.File) bool {
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case len(text) > 1 && (text[0] == '{' || text[0] == '[' && bytes.HasPrefix(bytes.TrimLeft(text[1:], " \t\r\n"), []byte("{"))):
		shape.Type = "json"
		if first, _, _ := bytes.Cut(text, []byte("\n")); text[0] == '{' && objects.Whole(first) {
			shape.Type = "jsonl"
		}
		shape.Rows = objects.List(text)
	case page.Match(text[:min(len(text), 4096)]):
		shape.Type = "html"
		shape.Sheet = greatest(f, *shape)
	default:
		return false
	}
	shape.Delimiter = ""
	if shape.Type != "html" {
		shape.Encoding = ""
	}
	return true
}

var page = regexp.MustCompile(`(?is)^(<\?xml[^>]*>\s*)?<(!doctype html|html|head|body|table|meta|style)\b`)

// greatest is the number of the table of a page that has the most cells in its first
// rows: one for the title alone, or for where things stand, has few.
func greatest(f File, shape layout.File) int64 {
	best, most := int64(1), 0
	for n := int64(1); n <= 16; n++ {
		shape.Sheet = n
		all, err := firstRows(f, shape, sniffRows)
		if err != nil && len(all) == 0 {
			break
		}
		cells := 0
		for _, r := range all {
			cells += len(r.cells)
		}
		if cells > most {
			best, most = n, cells
		}
	}
	return best
}

package main

import (
	"bytes"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/analysis/watch"
	"fluedrift/ingest/layout"
)

// mendColumn heads the one column that a file to mend has more than its export.
const mendColumn = "to fix"

// A mend is a file of lines to correct: the header of their export, the lines as
// they stand in it, and a column with what is wrong. Corrected and put among the
// exports it is read as one of them; its name says the as-of day, so that its
// lines count for more than those they were copied from.
type mend struct {
	name  string
	lines int
	text  []byte
}

// mends writes the lines of text exports that have something to be fixed into
// files to mend, and notes the line of each such fix. Workbooks, packed files
// and files in UTF-16 are corrected where they come from. Where technician codes
// have pseudonyms there are none: the lines hold the codes.
func (n *night) mends(fixes []watch.Fix) ([]mend, error) {
	if n.alias != nil {
		return nil, nil
	}
	layouts, err := layout.Load(n.config.path(n.config.Exports.Layouts))
	if err != nil {
		return nil, err
	}
	byName := map[string]*layout.Layout{}
	for _, l := range layouts {
		byName[l.Name] = l
	}
	byFile := map[string]map[int][]*watch.Fix{}
	for i := range fixes {
		f := &fixes[i]
		if f.Line == 0 {
			continue
		}
		if byFile[f.File] == nil {
			byFile[f.File] = map[int][]*watch.Fix{}
		}
		byFile[f.File][f.Line] = append(byFile[f.File][f.Line], f)
	}
	var all []mend
	for _, r := range n.inputs {
		l := byName[r.Layout]
		if byFile[r.Name] == nil || l == nil || !mendable(l, r.Name) {
			continue
		}
		text, err := os.ReadFile(filepath.Join(n.config.path(n.config.Exports.Folder), filepath.FromSlash(r.Name)))
		if err != nil || digestOf(text) != r.Digest {
			n.said.Warn("no lines to mend: the export changed since it was read", slog.String("file", r.Name))
			continue
		}
		all = addMend(all, l, n.mendName(l, r.Name), cutLines(text, l.Quote()), byFile[r.Name])
	}
	return slices.DeleteFunc(all, func(m mend) bool { return m.lines == 0 }), nil
}

// mendable reports whether lines of a file can be copied byte for byte. Where an
// escape is declared a quote mark does not tell where a cell ends.
func mendable(l *layout.Layout, name string) bool {
	late := slices.ContainsFunc(l.File.SkipLines, func(k int) bool { return k > l.File.Header })
	return l.Escape() == 0 && l.File.Type != "xlsx" && l.File.Type != "parquet" && !strings.HasSuffix(strings.ToLower(name), ".gz") &&
		!strings.HasPrefix(l.File.Encoding, "utf-16") && !late
}

// mendName is the name of an export of the as-of day, marked, as far as the
// layout takes it.
func (n *night) mendName(l *layout.Layout, name string) string {
	base := path.Base(name)
	if l.ExportDay.From == layout.FromName {
		if day, ok := l.Export.Find(base); ok {
			base = strings.Replace(base, l.Export.Format(day), l.Export.Format(n.asOf), 1)
		}
	}
	ext := path.Ext(base)
	marked := strings.TrimSuffix(base, ext) + "_to-fix" + ext
	fits := len(l.Match.Names) == 0 || slices.ContainsFunc(l.Match.Names, func(p string) bool { ok, _ := path.Match(p, marked); return ok })
	if !fits {
		return base
	}
	return marked
}

// fileLine is a line with its end, and the physical line it begins in.
type fileLine struct {
	number int
	text   []byte
}

// cutLines cuts a text into lines; an open quote takes the next one in.
func cutLines(text []byte, quote byte) (lines []fileLine) {
	number := 1
	for start, began, open := 0, 1, false; start < len(text); {
		i := start
		for i < len(text) {
			c := text[i]
			i++
			if quote != 0 && c == quote {
				open = !open
			}
			if c == '\n' || c == '\r' && (i == len(text) || text[i] != '\n') {
				number++
				if !open {
					break
				}
			}
		}
		lines = append(lines, fileLine{began, text[start:i]})
		start, began = i, number
	}
	return lines
}

// addMend puts the lines to be fixed into the file of that name and header.
func addMend(all []mend, l *layout.Layout, name string, lines []fileLine, fixes map[int][]*watch.Fix) []mend {
	var head []byte
	for _, line := range lines {
		if line.number <= l.File.Header && runs(line.text, l) {
			return all
		}
		if line.number < l.File.Header {
			head = append(head, line.text...)
		}
		if line.number == l.File.Header {
			head = append(head, withCell(line.text, l, mendColumn)...)
		}
	}
	at := -1
	for k := 1; at < 0; k++ {
		try := name
		if k > 1 {
			ext := path.Ext(name)
			try = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), k, ext)
		}
		at = slices.IndexFunc(all, func(m mend) bool { return m.name == try })
		if at < 0 {
			all = append(all, mend{name: try, text: head})
			at = len(all) - 1
		}
		if !bytes.HasPrefix(all[at].text, head) {
			at = -1
		}
	}
	byNumber := map[int][]byte{}
	for _, line := range lines {
		byNumber[line.number] = line.text
	}
	for _, number := range slices.Sorted(maps.Keys(fixes)) {
		line, ok := byNumber[number]
		if !ok || number <= l.File.Header || runs(line, l) {
			continue
		}
		all[at].text = append(all[at].text, withCell(line, l, reasonsOf(fixes[number]))...)
		all[at].lines++
		if original := bytes.TrimRight(line, "\r\n"); utf8.Valid(original) {
			for _, f := range fixes[number] {
				f.Original = string(original)
			}
		}
	}
	return all
}

// runs reports a line with a cell that a spreadsheet would run: such a line is
// corrected where it comes from.
func runs(line []byte, l *layout.Layout) bool {
	for cell := range strings.SplitSeq(string(line), separator(l)) {
		cell = strings.TrimLeft(cell, "\" ")
		if cell == "" {
			continue
		}
		signed := strings.ContainsRune("+-", rune(cell[0])) && (len(cell) == 1 || !strings.ContainsRune("0123456789.,", rune(cell[1])))
		if signed && strings.Trim(cell, "+-\"\r\n ") == "" {
			continue // a dash for nothing
		}
		if signed || strings.ContainsRune("=@\t", rune(cell[0])) {
			return true
		}
	}
	return false
}

// separator is what stands between the cells of a file.
func separator(l *layout.Layout) string {
	if l.File.Delimiter == "" {
		return ","
	}
	return l.File.Delimiter
}

// reasonsOf puts what is wrong with a line into one text, once each.
func reasonsOf(fixes []*watch.Fix) string {
	var words []string
	for _, f := range fixes {
		w := f.Reason
		for _, more := range []string{f.Column, f.Message} {
			if more != "" {
				w += ": " + more
			}
		}
		if !slices.Contains(words, w) {
			words = append(words, w)
		}
	}
	return strings.Join(words, "; ")
}

// withCell adds a cell to a line, before its end. The cell holds ASCII only: the
// bytes of the export may be in any encoding.
func withCell(line []byte, l *layout.Layout, text string) []byte {
	body := bytes.TrimRight(line, "\r\n")
	end := line[len(body):]
	if len(end) == 0 {
		end = []byte("\n")
	}
	cell := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, text)
	delimiter := separator(l)
	if q := l.Quote(); q != 0 {
		quote := string(q)
		cell = quote + strings.ReplaceAll(cell, quote, quote+quote) + quote
	} else {
		cell = strings.ReplaceAll(cell, delimiter, " ")
	}
	return slices.Concat(body, []byte(delimiter+cell), end)
}

// form is a file to mend as a file of the publication.
func (m mend) form() form {
	return form{m.name, m.lines, func(w io.Writer) error {
		_, err := w.Write(m.text)
		return err
	}}
}

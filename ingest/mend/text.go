package mend

import (
	"bytes"
	"compress/gzip"
	"io"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// unpackedLimit is how much of a packed export is looked at for lines to mend.
const unpackedLimit = 1 << 30

// unpacked gives what a file holds: the bytes, or those its gzip stream unpacks
// to.
func unpacked(name string, content []byte) ([]byte, error) {
	if !strings.HasSuffix(strings.ToLower(name), ".gz") {
		return content, nil
	}
	z, err := gzip.NewReader(bytes.NewReader(content))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(z, unpackedLimit))
}

// coding is the encoding of a layout, nil for UTF-8.
func coding(l *layout.Layout) encoding.Encoding {
	switch l.File.Encoding {
	case "windows-1252":
		return charmap.Windows1252
	case "latin-1":
		return charmap.ISO8859_1
	case "utf-16le":
		return unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case "utf-16be":
		return unicode.UTF16(unicode.BigEndian, unicode.UseBOM)
	}
	return nil
}

// textLines cuts an export into lines, in UTF-8.
func textLines(content []byte, l *layout.Layout) []fileLine {
	if e := coding(l); e != nil {
		if plain, err := e.NewDecoder().Bytes(content); err == nil {
			content = plain
		}
	}
	return cutLines(content, l)
}

// writer is how a text becomes a file: in the encoding of its export, and
// packed where the layout takes no other.
func writer(l *layout.Layout, packed bool) func(io.Writer, []byte) error {
	return func(w io.Writer, text []byte) error {
		if e := coding(l); e != nil {
			coded, err := e.NewEncoder().Bytes(text)
			if err != nil {
				return err
			}
			text = coded
		}
		if !packed {
			_, err := w.Write(text)
			return err
		}
		z := gzip.NewWriter(w)
		if _, err := z.Write(text); err != nil {
			return err
		}
		return z.Close()
	}
}

// fileLine is a line with its end, and the physical line it begins in.
type fileLine struct {
	number int
	text   []byte
}

// cutLines cuts a text into the lines that reading finds in it, with their ends.
func cutLines(text []byte, l *layout.Layout) (all []fileLine) {
	starts := lines.Starts(text, l)
	began := 0
	for number, at := 1, 0; at < len(text); number++ {
		if len(starts) == 0 || starts[0] == number {
			began = at
			all = append(all, fileLine{number: number})
		}
		if len(starts) > 1 && starts[1] == number+1 {
			starts = starts[1:]
		}
		at += lineLength(text[at:])
		all[len(all)-1].text = text[began:at]
	}
	return all
}

// lineLength is how many bytes the first line of a text has, with its end.
func lineLength(text []byte) int {
	n := 1 + bytes.IndexAny(text, "\r\n")
	switch {
	case n == 0:
		return len(text)
	case text[n-1] == '\r' && n < len(text) && text[n] == '\n':
		return n + 1
	}
	return n
}

// cutCells cuts a line into cells as they stand, without the line's end.
func cutCells(line []byte, l *layout.Layout) (cells []string) {
	text, delimiter := strings.TrimRight(string(line), "\r\n"), separator(l)
	quote, escape := l.Quote(), l.Escape()
	start, open := 0, false
	for i := 0; i < len(text); i++ {
		switch {
		case escape != 0 && text[i] == escape && i+1 < len(text) && (text[i+1] == quote || text[i+1] == escape):
			i++
		case quote != 0 && text[i] == quote:
			open = !open
		case !open && strings.HasPrefix(text[i:], delimiter):
			cells = append(cells, text[start:i])
			start = i + len(delimiter)
			i = start - 1
		}
	}
	return append(cells, text[start:])
}

// bare is what a cell says: without the blanks and quote marks about it.
func bare(cell string, l *layout.Layout) string {
	cell = strings.TrimSpace(cell)
	q := string(l.Quote())
	if l.Quote() == 0 || len(cell) < 2 || !strings.HasPrefix(cell, q) || !strings.HasSuffix(cell, q) {
		return cell
	}
	return strings.TrimSpace(strings.ReplaceAll(cell[1:len(cell)-1], q+q, q))
}

// addText copies the lines to be fixed into the file of that name and header. A
// line that the layout skips by its number stays where it is. Cells that a
// spreadsheet would compute are guarded, those of the header cannot be.
func (m *maker) addText(s *source, content []byte) {
	l, lines := s.Layout, textLines(content, s.Layout)
	var head []byte
	var heads []string
	byNumber := map[int][]byte{}
	for _, line := range lines {
		byNumber[line.number] = line.text
		if line.number < l.File.Header {
			head = append(head, harmlessLine(line.text, l)...)
		}
		if line.number == l.File.Header {
			if heads = cutCells(line.text, l); !bytes.Equal(harmlessLine(line.text, l), line.text) {
				s.notOffered("at its source, and export again: a spreadsheet would compute a name of the header")
				return
			}
			head = append(head, withCell(line.text, l, Column)...)
		}
	}
	s.learn(lines, heads)
	one := m.openText(s.name, head)
	one.wrote = writer(l, s.packed)
	at := 1 + bytes.Count(one.text, []byte("\n"))
	for _, number := range slices.Sorted(maps.Keys(s.faults)) {
		line, ok := byNumber[number]
		if !ok || number <= l.File.Header || len(heads) == 0 {
			continue
		}
		for ; slices.Contains(l.File.SkipLines, at); at++ {
			empty := []byte(strings.Repeat(separator(l), len(heads)-1))
			one.text = append(one.text, withCell(empty, l, "skipped by the layout")...)
		}
		made := s.fixLine(number, line, heads)
		s.offered(number, one.Name, at)
		one.text, at = append(one.text, made...), at+bytes.Count(made, []byte("\n"))
		one.Lines++
	}
}

// fixLine is a line with what is wrong with it. Where it stands there as in the
// export, its faults get it as their original.
func (s *source) fixLine(number int, line []byte, heads []string) []byte {
	shown, note := s.aliased(line, heads)
	safe := harmlessLine(shown, s.Layout)
	original := bytes.TrimRight(shown, "\r\n")
	if utf8.Valid(original) && bytes.Equal(safe, shown) {
		for _, f := range s.faults[number] {
			f.Original = string(original)
		}
	}
	return withCell(safe, s.Layout, s.reasonsOf(number)+note)
}

// openText finds the file to mend of a name that begins with a header, or makes
// one.
func (m *maker) openText(name string, head []byte) *File {
	for k := 1; ; k++ {
		try := numbered(name, k)
		if m.taken[try] {
			continue
		}
		at := slices.IndexFunc(m.files, func(f File) bool { return f.Name == try })
		if at < 0 {
			m.files = append(m.files, File{Name: try, text: slices.Clone(head)})
			return &m.files[len(m.files)-1]
		}
		if one := &m.files[at]; one.book == nil && bytes.HasPrefix(one.text, head) {
			return one
		}
	}
}

// learn notes the technician codes of lines with as many cells as the header,
// where codes have pseudonyms.
func (s *source) learn(lines []fileLine, heads []string) {
	if s.alias == nil {
		return
	}
	s.known = map[string]bool{}
	for _, line := range lines {
		cells := cutCells(line.text, s.Layout)
		if line.number <= s.Layout.File.Header || len(cells) != len(heads) {
			continue
		}
		for k, h := range heads {
			if code := bare(cells[k], s.Layout); code != "" && s.codes(bare(h, s.Layout)) {
				s.known[code] = true
			}
		}
	}
}

// aliased is a line with pseudonyms for technician codes. Where it has more or
// fewer cells than the header nobody can tell which holds the code: all that
// can get one, and those that say what is a code in another line; the note says
// so.
func (s *source) aliased(line []byte, heads []string) (shown []byte, note string) {
	if s.alias == nil {
		return line, ""
	}
	cells := cutCells(line, s.Layout)
	off := len(cells) - len(heads)
	hide := map[int]bool{}
	for k, h := range heads {
		if !s.codes(bare(h, s.Layout)) {
			continue
		}
		for i := max(0, min(k, k+off)); i <= min(max(k, k+off), len(cells)-1); i++ {
			hide[i] = true
		}
	}
	for i, c := range cells {
		code := bare(c, s.Layout)
		if code != "" && (hide[i] || off != 0 && s.known[code]) {
			cells[i] = s.alias(code)
		}
	}
	if off != 0 && len(hide) > 0 {
		note = "; cells that may hold a technician code are replaced by pseudonyms, T- and ten characters: restore from the export " +
			"those that are none"
	}
	end := line[len(bytes.TrimRight(line, "\r\n")):]
	return append([]byte(strings.Join(cells, separator(s.Layout))), end...), note
}

// codes says whether a column holds technician codes.
func (s *source) codes(head string) bool {
	return s.Layout.Feeds(strings.TrimPrefix(head, "\ufeff"), "technician")
}

// harmlessLine is a line whose cells no spreadsheet computes. What was guarded
// before, in a file to mend, is guarded once.
func harmlessLine(line []byte, l *layout.Layout) []byte {
	cells := cutCells(line, l)
	for i, c := range cells {
		blank := len(c) - len(strings.TrimLeft(c, " "))
		if q := l.Quote(); q != 0 && blank < len(c) && c[blank] == q {
			blank++
		}
		cells[i] = c[:blank] + guarded(Unguarded(c[blank:]))
	}
	end := line[len(bytes.TrimRight(line, "\r\n")):]
	return append([]byte(strings.Join(cells, separator(l))), end...)
}

// separator is what stands between the cells of a file.
func separator(l *layout.Layout) string {
	if l.File.Delimiter == "" {
		return ","
	}
	return l.File.Delimiter
}

// withCell adds a cell to a line, before its end.
func withCell(line []byte, l *layout.Layout, text string) []byte {
	body := bytes.TrimRight(line, "\r\n")
	end := line[len(body):]
	if len(end) == 0 {
		end = []byte("\n")
	}
	cell, delimiter := text, separator(l)
	if q := l.Quote(); q != 0 {
		quote := string(q)
		inside := quote + quote
		if l.Escape() != 0 {
			inside = "'"
		}
		cell = quote + strings.ReplaceAll(cell, quote, inside) + quote
	} else {
		cell = strings.ReplaceAll(cell, delimiter, " ")
	}
	return slices.Concat(body, []byte(delimiter+cell), end)
}

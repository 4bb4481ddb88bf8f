package mend

import (
	"bytes"
	"compress/gzip"
	"io"
	"maps"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"fluedrift/ingest/book"
	"fluedrift/ingest/layout"
)

// origin is how the column of a file to mend begins: with the line it was copied
// from.
var origin = regexp.MustCompile(`^(.+?):(\d+): `)

// OriginOf is the line that what stands in the column of a file to mend names.
func OriginOf(words string) (from Place, ok bool) {
	m := origin.FindStringSubmatch(words)
	if m == nil {
		return Place{}, false
	}
	line, err := strconv.Atoi(m[2])
	return Place{m[1], line}, err == nil && line <= math.MaxInt32
}

// Returned are the lines in whose place a mended one stands, and that one.
type Returned map[Place]Place

// Has reports whether a mended line stands in the place of file:line.
func (r Returned) Has(origin string) bool {
	at := strings.LastIndexByte(origin, ':')
	line, err := strconv.Atoi(origin[at+1:])
	if at < 0 || err != nil {
		return false
	}
	_, ok := r[Place{origin[:at], line}]
	return ok
}

// FindReturned finds the lines in whose place a mended one stands: one read from a
// file to mend that does not itself wait for a person.
func FindReturned(exports []Export, waits map[Place]bool) Returned {
	copied := copiedFrom(exports)
	all := Returned{}
	for _, line := range slices.SortedFunc(maps.Keys(copied), Place.Compare) {
		if waits[line] {
			continue
		}
		for from, ok := copied[line]; ok && all[from] == (Place{}); from, ok = copied[from] {
			all[from] = line
		}
	}
	return all
}

// copiedFrom gives, of each line of the files to mend among the exports, the
// line it was copied from.
func copiedFrom(exports []Export) map[Place]Place {
	names := map[string]string{} // by how a file to mend writes them
	for _, e := range exports {
		names[ascii(e.Name)] = e.Name
	}
	copied := map[Place]Place{}
	for _, e := range exports {
		if e.Layout == nil || !e.Layout.Text() && !e.Layout.Workbook() || !e.Layout.OneHeader() {
			continue
		}
		for number, words := range e.words() {
			if from, ok := OriginOf(words); ok && names[from.File] != "" {
				copied[Place{e.Name, number}] = Place{names[from.File], from.Line}
			}
		}
	}
	return copied
}

// mendHead is how much of an export is searched for the column of a file to
// mend, before the whole of it is read.
const mendHead = 64 << 10

// words are what the column of a file to mend says, by line; nil for a file
// without it. A workbook is looked into where its name says what it is.
func (e Export) words() map[int]string {
	l := e.Layout
	if l.Workbook() && !strings.Contains(e.Name, "to-fix") {
		return nil
	}
	if !l.Workbook() && !bytes.Contains(e.head(), []byte(Column)) {
		return nil
	}
	content, err := os.ReadFile(e.Path)
	if err != nil {
		return nil
	}
	if content, err = unpacked(e.Name, content); err != nil {
		return nil
	}
	if l.Workbook() {
		return bookWords(content, l)
	}
	words, at := map[int]string{}, -1
	for _, line := range textLines(content, l) {
		cells := cutCells(line.text, l)
		if line.number == l.File.Header {
			at = slices.IndexFunc(cells, func(c string) bool { return bare(c, l) == Column })
		}
		if at >= 0 && line.number > l.File.Header && len(cells) > 0 {
			words[line.number] = bare(cells[min(at, len(cells)-1)], l)
		}
	}
	return words
}

// head is the beginning of a text export, without the zero bytes that UTF-16
// has between the letters looked for.
func (e Export) head() []byte {
	f, err := os.Open(e.Path)
	if err != nil {
		return nil
	}
	defer f.Close()
	var in io.Reader = f
	if strings.HasSuffix(strings.ToLower(e.Name), ".gz") {
		if in, err = gzip.NewReader(f); err != nil {
			return nil
		}
	}
	head, _ := io.ReadAll(io.LimitReader(in, mendHead)) // what cannot be read has no such column
	return bytes.ReplaceAll(head, []byte{0}, nil)
}

// bookWords are those of a workbook.
func bookWords(content []byte, l *layout.Layout) map[int]string {
	all, err := book.Take(bytes.NewReader(content), int64(len(content)), l, func(int) bool { return true }, math.MaxInt)
	if err != nil {
		return nil
	}
	words, column := map[int]string{}, 0
	for _, c := range all.Rows[l.File.Header] {
		if strings.TrimSpace(c.Value) == Column {
			column = c.Column
		}
	}
	for number, row := range all.Rows {
		for _, c := range row {
			if column > 0 && c.Column == column && number > l.File.Header {
				words[number] = c.Value
			}
		}
	}
	return words
}

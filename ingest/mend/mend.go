package mend

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"slices"
	"strings"
	"syscall"

	"github.com/xuri/excelize/v2"

	"fluedrift/ingest/layout"
	"fluedrift/model/day"
)

// Column heads the one column that a file to mend has more than its export.
const Column = "to fix"

// Place is a line of an export.
type Place struct {
	File string
	Line int
}

// Compare orders places by file and line.
func (p Place) Compare(q Place) int {
	return cmp.Or(cmp.Compare(p.File, q.File), cmp.Compare(p.Line, q.Line))
}

// Fault is what is wrong with a line. Files fills the last two fields.
type Fault struct {
	Place
	Reason, Column, Message string
	MendIn                  string // where the line is to be mended: a file to mend and its line, or why none holds it
	Original                string // the line as it stands in the file to mend, where it stands there unchanged
}

// Export is a file of the exports folder.
type Export struct {
	Name   string // path in the exports folder, with slashes
	Path   string
	Digest string         // SHA-256 in hexadecimal, as it was when it was read
	Layout *layout.Layout // nil: the file was not read
}

// Options say how files to mend are made.
type Options struct {
	AsOf day.Day // day that the names say, so that mended lines count for more than those they were copied from
	// Alias gives the pseudonym that stands for a technician code; nil: the code itself.
	Alias func(code string) string
	// Warn is told of an export whose lines are not offered; err may be nil.
	Warn func(message, file string, err error)
	// WriteBook writes a workbook under a title.
	WriteBook func(w io.Writer, book *excelize.File, title string) error
}

// File is a file of lines to correct.
type File struct {
	Name  string
	Lines int

	text  []byte                               // in UTF-8, whatever the export is in
	book  *bookCopy                            // a workbook being made, text is the whole of it then
	wrote func(w io.Writer, text []byte) error // how text becomes the file; nil: as it is
}

// Write writes the file.
func (f File) Write(w io.Writer) error {
	if f.wrote != nil {
		return f.wrote(w, f.text)
	}
	_, err := w.Write(f.text)
	return err
}

// Files copies the lines that have faults into files to mend, and notes with each
// fault where its line is to be mended. Where technician codes have pseudonyms the
// lines hold those. The error is of an export that can be read no more or of a
// workbook that cannot be made; an export that has changed since it was read is
// left out with a warning.
func Files(exports []Export, faults []*Fault, o Options) ([]File, error) {
	m := &maker{Options: o, taken: map[string]bool{}}
	for _, e := range exports {
		m.taken[path.Base(e.Name)] = true
	}
	byFile := map[string]map[int][]*Fault{}
	for _, f := range faults {
		if byFile[f.File] == nil {
			byFile[f.File] = map[int][]*Fault{}
		}
		byFile[f.File][f.Line] = append(byFile[f.File][f.Line], f)
	}
	for _, e := range exports {
		if byFile[e.Name] == nil || e.Layout == nil {
			continue
		}
		if err := m.add(e, byFile[e.Name]); err != nil {
			return nil, fmt.Errorf("lines to mend of %s: %w", e.Name, err)
		}
	}
	if err := m.closeBooks(); err != nil {
		return nil, err
	}
	return slices.DeleteFunc(m.files, func(f File) bool { return f.Lines == 0 }), nil
}

// maker gathers the files to mend of one night.
type maker struct {
	Options
	// taken are the names that exports have: a file to mend gets none of them,
	// also where one was corrected and put among the exports under its own.
	taken map[string]bool
	files []File
}

// source is an export with lines to be fixed.
type source struct {
	Export
	faults map[int][]*Fault         // by line
	alias  func(code string) string // of Options
	known  map[string]bool          // with pseudonyms: codes that stand in the export's sound lines
	name   string                   // of the file to mend
	packed bool                     // it is gzip-compressed
}

// add copies the lines of one export that have faults.
func (m *maker) add(e Export, faults map[int][]*Fault) error {
	s := &source{Export: e, faults: faults, alias: m.Alias}
	s.notOffered("at its source, and export again")
	if !e.Layout.Text() && !e.Layout.Workbook() {
		s.notOffered("where the file of type " + e.Layout.File.Type + " is made: no spreadsheet opens it")
		return nil
	}
	if e.Layout.File.Table > 0 {
		s.notOffered("at its source, in its table of the file, and export again")
		return nil
	}
	if !e.Layout.OneHeader() {
		s.notOffered("at its source, and export again: a file to mend has a header of one line, and this export has none")
		return nil
	}
	if e.Layout.File.SeveralSheets() {
		s.notOffered("at its source, in the sheet that the reason names, and export again")
		return nil
	}
	content, err := os.ReadFile(e.Path)
	if errors.Is(err, syscall.ENOTDIR) {
		s.notOffered("at its source, and export again: the file is in an archive")
		return nil
	}
	if err != nil || digestOf(content) != e.Digest {
		m.Warn("no lines to mend: the export changed since it was read", e.Name, nil)
		s.notOffered("in the next publication: the export changed while this one was made")
		return nil
	}
	if content, err = unpacked(e.Name, content); err != nil {
		return err
	}
	s.name, s.packed = nameOf(e.Layout, e.Name, m.AsOf)
	if !e.Layout.Workbook() {
		m.addText(s, content)
		return nil
	}
	from, err := s.takeRows(content)
	if err != nil {
		m.Warn("no lines to mend: the workbook cannot be copied", e.Name, err)
		s.notOffered("at its source, and export again: the workbook cannot be copied")
		return nil
	}
	return m.addBook(s, from)
}

func digestOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// notOffered notes with every fix of the export that no file to mend holds its
// line, and where it is to be mended instead.
func (s *source) notOffered(where string) {
	for _, faults := range s.faults {
		for _, f := range faults {
			f.MendIn = where
		}
	}
}

// offered notes with the faults of a line where that is to be mended.
func (s *source) offered(number int, name string, line int) {
	for _, f := range s.faults[number] {
		f.MendIn = fmt.Sprintf("%s:%d", name, line)
	}
}

// reasonsOf says where a line stands and puts what is wrong with it into one
// text, once each, in ASCII: the bytes of the export may be in any encoding.
func (s *source) reasonsOf(line int) string {
	var words []string
	for _, f := range s.faults[line] {
		var w strings.Builder
		w.WriteString(f.Reason)
		for _, more := range []string{f.Column, f.Message} {
			if more != "" {
				w.WriteString(": " + more)
			}
		}
		if !slices.Contains(words, w.String()) {
			words = append(words, w.String())
		}
	}
	return ascii(fmt.Sprintf("%s:%d: %s", s.Name, line, strings.Join(words, "; ")))
}

// ascii puts a question mark for what is not a printable ASCII character.
func ascii(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
}

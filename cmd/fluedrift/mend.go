package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/analysis/watch"
	"fluedrift/ingest"
	"fluedrift/ingest/layout"
)

// mendColumn heads the one column that a file to mend has more than its export.
const mendColumn = ingest.MendColumn

// A mend is a file of lines to correct: the header of their export, the lines as
// they stand in it, and a column with where they stand and what is wrong.
// Corrected and put among the exports it is read as one of them; its name says
// the as-of day, so that its lines count for more than those they were copied
// from. It is of the kind its export is of: a workbook is mended in a workbook.
type mend struct {
	name  string
	lines int
	text  []byte                               // in UTF-8, whatever the export is in
	book  *bookCopy                            // a workbook being made, text is the whole of it then
	wrote func(w io.Writer, text []byte) error // how text becomes the file; nil: as it is
}

// mends copies the lines that have something to be fixed into files to mend, and
// notes with each such fix its line and where that is to be mended. Where
// technician codes have pseudonyms the lines hold those. A Parquet file is made
// by a program and no spreadsheet opens it: its lines are corrected where they
// come from.
func (n *night) mends(fixes []watch.Fix) ([]mend, error) {
	byName, err := n.config.layouts()
	if err != nil {
		return nil, err
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
	taken := n.exportNames()
	for _, r := range n.inputs {
		l := byName[r.Layout]
		if byFile[r.Name] == nil || l == nil {
			continue
		}
		source := mendSource{file: r.Name, layout: l, alias: n.alias, taken: taken, fixes: byFile[r.Name]}
		source.notOffered("at its source, and export again")
		if l.File.Type == "parquet" {
			source.notOffered("where the Parquet file is made: no spreadsheet opens one")
			continue
		}
		text, err := os.ReadFile(n.config.exportPath(r.Name))
		if err != nil || digestOf(text) != r.Digest {
			n.said.Warn("no lines to mend: the export changed since it was read", slog.String("file", r.Name))
			source.notOffered("in the next publication: the export changed while this one was made")
			continue
		}
		if text, err = unpacked(r.Name, text); err != nil {
			return nil, fmt.Errorf("lines to mend of %s: %w", r.Name, err)
		}
		name, packed := n.mendName(l, r.Name)
		if l.Workbook() {
			from, sheet, rows, err := sheetRows(text, l)
			if err != nil {
				n.said.Warn("no lines to mend: the workbook cannot be copied", slog.String("file", r.Name), slog.Any("error", err))
				source.notOffered("at its source, and export again: the workbook cannot be copied")
				continue
			}
			all, err = source.addBook(all, name, packed, from, sheet, rows)
			if err = errors.Join(err, from.Close()); err != nil {
				return nil, fmt.Errorf("lines to mend of %s: %w", r.Name, err)
			}
			continue
		}
		all = source.addText(all, name, packed, text)
	}
	if err := closeBooks(all); err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(m mend) bool { return m.lines == 0 }), nil
}

// mendSource is an export with lines to be fixed.
type mendSource struct {
	file   string
	layout *layout.Layout
	alias  func(code string) string // pseudonym of a technician code; nil: the code itself
	known  map[string]bool          // with pseudonyms: codes that stand in the export's sound lines
	fixes  map[int][]*watch.Fix     // by line
	taken  map[string]bool          // names that exports have
}

// notOffered notes with every fix of the export that no file to mend holds its
// line, and where it is to be mended instead.
func (m *mendSource) notOffered(where string) {
	for _, fixes := range m.fixes {
		for _, f := range fixes {
			f.MendIn = where
		}
	}
}

// offered notes with the fixes of a line where that is to be mended.
func (m *mendSource) offered(number int, name string, line int) {
	for _, f := range m.fixes[number] {
		f.MendIn = fmt.Sprintf("%s:%d", name, line)
	}
}

// layouts are the layouts of the configuration by name. They belong to it: a
// fault in one is a fault of the configuration.
func (c *config) layouts() (map[string]*layout.Layout, error) {
	folder := c.path(c.Exports.Layouts)
	all, err := layout.Load(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fail(exitUsage, "the layouts folder %s is not there\nset exports.layouts in the configuration (%w)", folder, err)
	}
	if err != nil {
		return nil, fail(exitUsage, "%w", err)
	}
	byName := map[string]*layout.Layout{}
	for _, l := range all {
		byName[l.Name] = l
	}
	return byName, nil
}

// exportPath is where an export lies.
func (c *config) exportPath(name string) string {
	return filepath.Join(c.path(c.Exports.Folder), filepath.FromSlash(name))
}

// mendName is the name of an export of the as-of day, always with the mark of a
// file to mend, so that it never carries the export's own name; packed where the
// layout takes no other. Characters of the export's name that hide or steer are
// written out.
func (n *night) mendName(l *layout.Layout, name string) (marked string, packed bool) {
	base := path.Base(name)
	wasPacked := strings.EqualFold(path.Ext(base), ".gz")
	if wasPacked {
		base = base[:len(base)-len(".gz")]
	}
	base = plainName(ingest.WithoutMendMark(base))
	tries := []string{base}
	if l.ExportDay.From == layout.FromName {
		if day, ok := l.Export.Find(base); ok {
			tries = []string{strings.Replace(base, l.Export.Format(day), l.Export.Format(n.asOf), 1), base}
		}
	}
	for i, try := range tries {
		ext := path.Ext(try)
		tries[i] = strings.TrimSuffix(try, ext) + ingest.MendMark + ext
	}
	for _, try := range tries {
		switch {
		case fits(l, try):
			return try, false
		case wasPacked && fits(l, try+".gz"):
			return try + ".gz", true
		}
	}
	return tries[0], wasPacked
}

// plainName writes out what hides or steers in a file's name, in characters that
// every system takes in one.
func plainName(name string) string {
	var b strings.Builder
	for len(name) > 0 {
		r, size := utf8.DecodeRuneInString(name)
		switch {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, "(%02X)", name[0])
		case r == '\n' || steers(r):
			fmt.Fprintf(&b, "(U+%04X)", r)
		default:
			b.WriteString(name[:size])
		}
		name = name[size:]
	}
	return b.String()
}

// fits says whether a layout takes a file by its name.
func fits(l *layout.Layout, name string) bool {
	return len(l.Match.Names) == 0 || slices.ContainsFunc(l.Match.Names, func(p string) bool { return ingest.NameFits(p, name) })
}

// exportNames are the names that exports have: a file to mend gets none of them,
// also where one was corrected and put among the exports under its own.
func (n *night) exportNames() map[string]bool {
	taken := map[string]bool{}
	for _, r := range n.inputs {
		taken[path.Base(r.Name)] = true
	}
	return taken
}

// numbered is the k-th file of a name.
func numbered(name string, k int) string {
	if k == 1 {
		return name
	}
	ext := path.Ext(strings.TrimSuffix(name, ".gz"))
	cut := strings.LastIndex(name, ext)
	return fmt.Sprintf("%s-%d%s", name[:cut], k, name[cut:])
}

// reasonsOf says where a line stands and puts what is wrong with it into one
// text, once each, in ASCII: the bytes of the export may be in any encoding.
func (m *mendSource) reasonsOf(line int) string {
	var words []string
	for _, f := range m.fixes[line] {
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
	return ascii(fmt.Sprintf("%s:%d: %s", m.file, line, strings.Join(words, "; ")))
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

// form is a file to mend as a file of the publication.
func (m mend) form() form {
	return form{m.name, m.lines, func(w io.Writer) error {
		if m.wrote != nil {
			return m.wrote(w, m.text)
		}
		_, err := w.Write(m.text)
		return err
	}}
}

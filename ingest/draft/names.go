package draft

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// nameParts takes from the names of files what no column has: the serial, where each file
// is of one boiler; the day, where each is of one; and the office of a register.
func nameParts(d *drafter) []step {
	if d.file.SeveralSheets() && len(sheetNames(d.rows)) > 1 {
		return nil
	}
	n := nameReader{drafter: d}
	for _, name := range d.names {
		n.bases = append(n.bases, path.Base(name))
	}
	for _, part := range []func() []step{n.serial, n.day, n.office} {
		if steps := part(); steps != nil {
			return steps
		}
	}
	return nil
}

// nameReader reads the names of the files of a kind.
type nameReader struct {
	*drafter
	bases []string
}

// lacks reports that no column gives a field.
func (n nameReader) lacks(record, field string) bool {
	f, ok := layout.FieldOf(record, field)
	return ok && !slices.ContainsFunc(n.columns, func(c draftColumn) bool {
		return guessField(record, c.header) == field && !contradicts(&c, f)
	})
}

// varying are what stands between the beginning and the end that all names have, which are
// cut at letters and digits; nil where a name has nothing there, or two have the same.
func (n nameReader) varying() (begin, end string, middles []string) {
	if len(n.bases) < 2 {
		return "", "", nil
	}
	begin, end = n.bases[0], n.bases[0]
	for _, b := range n.bases[1:] {
		begin = commonStart(begin, b)
		end = reversed(commonStart(reversed(end), reversed(b)))
	}
	begin = begin[:strings.LastIndexAny(begin, " _-.")+1]
	at := strings.IndexAny(end, " _-.")
	if at < 0 {
		return "", "", nil
	}
	end = end[at:]
	for _, b := range n.bases {
		if len(b) <= len(begin)+len(end) {
			return "", "", nil
		}
		middles = append(middles, b[len(begin):len(b)-len(end)])
	}
	return begin, end, middles
}

func commonStart(a, b string) string {
	i := 0
	for i < min(len(a), len(b)) && a[i] == b[i] {
		i++
	}
	return a[:i]
}

func reversed(s string) string {
	b := []byte(s)
	slices.Reverse(b)
	return string(b)
}

// step takes the middle of each name for a field.
func (n nameReader) step(begin, end, field, why string) []step {
	pattern := "^" + regexp.QuoteMeta(begin) + "(?P<" + field + ">.+)" + regexp.QuoteMeta(end) + "$"
	return []step{{layout.Step{Do: layout.PartsOfName, Of: layout.OfFile, Patterns: layout.Patterns{pattern}}, why}}
}

// serial is that of the boiler which a file is of: most names have an id of another file.
func (n nameReader) serial() []step {
	if !n.lacks(layout.Readings, "serial") || !n.lacks(layout.Units, "serial") || (byCells{n.drafter}).serialColumn() >= 0 {
		return nil
	}
	begin, end, middles := n.varying()
	if len(n.bases) == 1 {
		begin, end = "", path.Ext(n.bases[0])
		middles = []string{strings.TrimSuffix(n.bases[0], end)}
	}
	for middles != nil {
		if known := n.ids(middles); 2*known > len(middles) {
			return n.step(begin, end, "serial", fmt.Sprintf("no column is an id of a boiler, and the names of %d of %s hold one of another "+
				"file", known, Counted(len(n.bases), "file")))
		}
		if begin == "" {
			break
		}
		at := strings.LastIndexAny(begin[:len(begin)-1], " _-.") + 1
		for i := range middles {
			middles[i] = begin[at:] + middles[i]
		}
		begin = begin[:at]
	}
	return nil
}

// ids counts the texts that stand in a column of another file in which all cells differ.
func (n nameReader) ids(texts []string) (known int) {
	for _, keys := range n.known.Keys {
		found := 0
		for _, text := range texts {
			if keys[parse.Fold(text)] {
				found++
			}
		}
		known = max(known, found)
	}
	return known
}

// dayInName are days in names, by how they are written.
var dayInName = []string{
	`(?:^|[^0-9])(?P<day>(?:19|20)[0-9]{2}-[0-9]{2}-[0-9]{2})(?:[^0-9]|$)`,
	`(?:^|[^0-9])(?P<day>[0-9]{2}\.[0-9]{2}\.(?:19|20)[0-9]{2})(?:[^0-9]|$)`,
}

// day is that of the visits of a file, where no column holds days.
func (n nameReader) day() []step {
	if n.record != layout.Readings || !n.lacks(layout.Readings, "day") || slices.ContainsFunc(n.columns, func(c draftColumn) bool {
		w := daysOf(c.cells)
		return w.mostly() && (w.parted() || parse.Stamped(w.pattern))
	}) {
		return nil
	}
	for _, pattern := range dayInName {
		re := regexp.MustCompile(pattern)
		if slices.ContainsFunc(n.bases, func(b string) bool { return !re.MatchString(b) }) {
			continue
		}
		return []step{{
			layout.Step{Do: layout.PartsOfName, Of: layout.OfFile, Patterns: layout.Patterns{pattern}},
			fmt.Sprintf("no column holds days, and the name of each file has one, as %q", n.bases[0]),
		}}
	}
	return nil
}

// noOffices are words in which the names of two exports of one register differ; common
// practice, no source.
var noOffices = []string{
	"old", "new", "copy", "final", "backup", "latest", "previous", "current", "alt", "neu", "kopie", "ancien", "nouveau",
}

// sharesRows reports registers of which one names a boiler of another: two exports of one,
// not two offices.
func (n nameReader) sharesRows() bool {
	at := slices.IndexFunc(n.columns, func(c draftColumn) bool { return guessField(layout.Units, c.header) == "serial" })
	if at < 0 {
		return true
	}
	of := map[string]string{}
	c := &n.columns[at]
	for i, cell := range c.cells {
		file := n.rows[c.at[i]].file
		if other := of[parse.Fold(cell)]; cell != "" && other != "" && other != file {
			return true
		}
		of[parse.Fold(cell)] = file
	}
	return false
}

// office is the area of the boilers of a file of several registers alike.
func (n nameReader) office() []step {
	if n.record != layout.Units || !n.lacks(layout.Units, "area") {
		return nil
	}
	begin, end, middles := n.varying()
	state, _ := layout.FieldOf(layout.Units, "state")
	if middles == nil || n.sharesRows() || slices.ContainsFunc(middles, func(m string) bool {
		return strings.ContainsAny(m, "0123456789()") || guessCode(state, m) != "" || slices.Contains(noOffices, parse.Fold(m))
	}) {
		return nil
	}
	return n.step(begin, end, "area", fmt.Sprintf("no column is an area, and the names of %s differ by one word, as %q", Counted(len(n.bases),
		"register"), middles[0]))
}

package mend

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
)

// Fits reports whether the base name of a file fits a name pattern: as it is,
// without the .gz behind it, or without the mark of a file to mend, which is read
// as the export it was copied from.
func Fits(pattern, name string) bool {
	base := path.Base(name)
	tries := []string{base}
	if strings.EqualFold(path.Ext(base), ".gz") {
		tries = append(tries, base[:len(base)-len(".gz")])
	}
	for _, try := range tries {
		for _, one := range []string{try, withoutMark(try)} {
			if ok, _ := path.Match(pattern, one); ok {
				return true
			}
		}
	}
	return false
}

// Mark stands before the ending of the name of every file to mend.
const Mark = "_to-fix"

var markPattern = regexp.MustCompile(Mark + `(-\d+)?(\.[^.]*)?(\.[gG][zZ])?$`)

// withoutMark is the name of a file without the mark of a file to mend, and
// its number.
func withoutMark(name string) string { return markPattern.ReplaceAllString(name, "$2$3") }

// nameOf is the name of an export of the as-of day, always with the mark of a
// file to mend, so that it never carries the export's own name; packed where the
// layout takes no other. Characters of the export's name that hide or steer are
// written out.
func nameOf(l *layout.Layout, export string, asOf day.Day) (marked string, packed bool) {
	base := path.Base(export)
	wasPacked := strings.EqualFold(path.Ext(base), ".gz")
	if wasPacked {
		base = base[:len(base)-len(".gz")]
	}
	base = plainName(withoutMark(base))
	tries := []string{base}
	if l.ExportDay.From == layout.FromName {
		if day, ok := l.Export.Find(base); ok {
			tries = []string{strings.Replace(base, l.Export.Format(day), l.Export.Format(asOf), 1), base}
		}
	}
	for i, try := range tries {
		ext := path.Ext(try)
		tries[i] = strings.TrimSuffix(try, ext) + Mark + ext
	}
	for _, try := range tries {
		switch {
		case takes(l, try):
			return try, false
		case wasPacked && takes(l, try+".gz"):
			return try + ".gz", true
		}
	}
	return tries[0], wasPacked
}

// takes reports whether a layout takes a file by its name.
func takes(l *layout.Layout, name string) bool {
	return len(l.Match.Names) == 0 || slices.ContainsFunc(l.Match.Names, func(p string) bool { return Fits(p, name) })
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
		case r == '\n' || parse.Steers(r):
			fmt.Fprintf(&b, "(U+%04X)", r)
		default:
			b.WriteString(name[:size])
		}
		name = name[size:]
	}
	return b.String()
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

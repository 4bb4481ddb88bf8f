package layout

import (
	"path"
	"strings"
)

// SeveralSheets reports a layout that reads several sheets of a workbook as the rows of
// one file: a list of them, or a pattern. No name of a sheet has a * or ? in it.
func (f *File) SeveralSheets() bool {
	switch s := f.Sheet.(type) {
	case []any:
		return true
	case string:
		return isPattern(s)
	}
	return false
}

func isPattern(name string) bool { return strings.ContainsAny(name, "*?") }

// ReadsSheet reports a sheet, with its number from 1, that is to be read, and whether it
// is so by its own name or number: a hidden one is not by a pattern alone.
func (f *File) ReadsSheet(name string, number int) (reads, named bool) {
	list, ok := f.Sheet.([]any)
	if !ok {
		list = []any{f.Sheet}
	}
	for _, one := range list {
		switch s := one.(type) {
		case int64:
			named = named || s == int64(number)
		case string:
			named = named || s == name
			fits, _ := path.Match(s, name)
			reads = reads || fits && isPattern(s)
		}
	}
	return reads || named, named
}

// checkOneSheet checks a name, a pattern or a number of a sheet; a page has numbers alone.
func checkOneSheet(sheet any, page bool) error {
	switch s := sheet.(type) {
	case string:
		_, err := path.Match(s, "x")
		switch {
		case s == "" || page:
			return atKey("file.sheet", "a sheet needs a name or a number from 1")
		case err != nil && isPattern(s):
			return atKey("file.sheet", "sheet %q is no pattern: %v", s, err)
		}
	case int64:
		if s < 1 {
			return atKey("file.sheet", "sheet %d: sheets are numbered from 1", s)
		}
	default:
		return atKey("file.sheet", "sheet %v: write a name in quotes or a number from 1, or a list of them", sheet)
	}
	return nil
}

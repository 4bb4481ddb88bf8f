package layout

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/ingest/parse"
)

// HeaderLines are the lines in which the names of the columns stand: in the layout one
// number, 0 for a file without a header, or a list of lines that follow each other.
type HeaderLines []int

// First is the first of them, 0 where there is none.
func (h HeaderLines) First() int {
	if len(h) == 0 {
		return 0
	}
	return h[0]
}

// UnmarshalTOML reads one number or a list of them.
func (h *HeaderLines) UnmarshalTOML(v any) error {
	list, ok := v.([]any)
	if !ok {
		list = []any{v}
	}
	*h = nil
	for i, one := range list {
		n, ok := one.(int64)
		switch {
		case !ok:
			return fmt.Errorf("header %v: write the number of a line, 0 for none, or a list such as [3, 4]", one)
		case n < 0 || n > 1000 || n == 0 && len(list) > 1:
			return fmt.Errorf("header %d is not a line number from 1 to 1000", n)
		case i > 0 && int(n) != (*h)[i-1]+1:
			return errors.New("header: name lines that follow each other, such as [3, 4]")
		}
		*h = append(*h, int(n))
	}
	return nil
}

// checkHeader settles in which line the header ends.
func checkHeader(l *Layout) error {
	f := &l.File
	if len(f.HeaderLines) == 0 {
		f.HeaderLines = HeaderLines{1}
	}
	f.Header = f.HeaderLines[len(f.HeaderLines)-1]
	if l.Named() && !slices.Equal(f.HeaderLines, HeaderLines{1}) {
		return atKey("file.header", "header %d: a file of type %q names its columns itself and has no lines above them", f.Header, f.Type)
	}
	if f.Header == 0 && len(l.Match.Columns) > 0 {
		return atKey("match.columns", "columns are found in a header, and header = 0 says that there is none")
	}
	return nil
}

// checkDelimiter holds what stands between cells to what can.
func checkDelimiter(l *Layout) error {
	d := l.File.Delimiter
	if n := utf8.RuneCountInString(d); n < 1 || n > 8 || strings.ContainsAny(d, "\r\n\"") {
		return atKey("file.delimiter", "delimiter %q is not one to eight characters other than line ends and quotes", d)
	}
	return nil
}

// checkPlaces gives each column its header: the name it has, the first of several, or
// the number of its place.
func checkPlaces(l *Layout) error {
	names, places := map[string]bool{}, map[int]bool{}
	for i := range l.Columns {
		c := &l.Columns[i]
		for k, name := range c.Headers {
			c.Headers[k] = parse.Trim(name)
		}
		if len(c.Headers) > 0 {
			c.Header = c.Headers[0]
		}
		switch {
		case l.File.Header > 0 && c.Position != 0:
			return c.fault("position is for files without a header: header = 0 in [file]")
		case l.File.Header > 0 && (len(c.Headers) == 0 || slices.Contains(c.Headers, "")):
			return c.fault("a column needs the header it has in the file")
		case l.File.Header == 0 && (c.Position < 1 || c.Position > 1<<14):
			return c.fault("in a file without a header a column needs its position, from 1")
		case l.File.Header == 0 && len(c.Headers) > 1:
			return c.fault("a file without a header has no names for its columns: one header is what messages call it")
		case l.File.Header == 0 && places[c.Position]:
			return c.fault("position %d is declared twice", c.Position)
		case l.File.Header == 0 && c.Header == "":
			c.Headers = Patterns{placeName(c.Position)}
			c.Header = c.Headers[0]
		}
		places[c.Position] = true
		for _, name := range c.Headers {
			if names[name] {
				return c.fault("the header is declared twice")
			}
			names[name] = true
		}
	}
	return nil
}

// placeName is what a column without a name is called.
func placeName(position int) string { return fmt.Sprintf("column %d", position) }

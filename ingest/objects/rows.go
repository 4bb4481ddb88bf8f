// Package objects reads rows out of files of JSON objects (RFC 8259): one a line, or
// in a list. An object is a row and its keys are columns, in whatever order they stand
// and whichever are missing. What stands in an object within it is a column
// "outer.inner"; of one list of objects each element is a row, with what stands
// beside the list repeated.
//
// A file is read twice: first for the names of its columns, then for its rows. One
// object is at most lines.Limit long and is cut into cells without a copy of it.
package objects

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"fluedrift/ingest/lines"
)

// mostColumns is how many columns a file may have: as many as a sheet of a workbook.
const mostColumns = 1 << 14

// Source gives objects one after the other.
type Source interface {
	// Next gives the text of the next object, "" for a blank line, and the line it
	// begins in; whole says that a line end follows, cut that it ends in a character.
	Next() (text string, line int, whole, cut bool, err error)
	Close() error
}

// Rows are the rows of a file of objects. Rows are numbered by the line of their
// object, or one after the other where an object is not on a line of its own or may
// be several rows. The header, which no line of the file holds, has number 1.
type Rows struct {
	src     Source
	columns *columns
	list    string // name of the list whose elements are rows, "" for none
	byLine  bool

	begun  bool
	number int
	text   string // of the object or element
	line   int    // of the object
	whole  bool
	cut    bool
	rest   string // of the list: elements to come
	inList bool
	outer  row
	now    row
	out    lines.Line
}

// Open finds the columns of a file, which is opened anew for each reading, and makes
// ready for its rows. list names the list whose elements are rows; "" where there is
// one at most. byLine says that every object has a line of its own. count refuses a
// number of rows beyond a limit.
func Open(open func(again bool) (Source, error), list string, byLine bool, count func(rows int64) error) (*Rows, error) {
	src, err := open(false)
	if err != nil {
		return nil, err
	}
	found, err := look(src, count)
	if err = errors.Join(err, src.Close()); err != nil {
		return nil, err
	}
	if list == "" {
		if list, err = found.onlyList(); err != nil {
			return nil, err
		}
	}
	if src, err = open(true); err != nil {
		return nil, err
	}
	c := found.with(list)
	return &Rows{src: src, columns: c, list: list, byLine: byLine && list == "", outer: newRow(c), now: newRow(c)}, nil
}

// Next gives the next row.
func (r *Rows) Next() (*lines.Line, error) {
	l := &r.out
	if !r.begun {
		r.begun = true
		*l = lines.Line{Number: 1, Text: strings.Join(r.columns.names, "\t"), Cells: slices.Clone(r.columns.names), Ended: true}
		return l, nil
	}
	fault := ""
	switch {
	case r.inList:
		fault = r.element()
	default:
		text, line, whole, cut, err := r.src.Next()
		if err != nil {
			return nil, err
		}
		r.text, r.line, r.whole, r.cut = text, line, whole, cut
		fault = r.object()
	}
	if errors.Is(r.columns.err, errUnknownKey) {
		return nil, lines.Refuse(lines.IncompleteFile, "the file changed while it was looked at; it is read next time")
	}
	r.number++
	*l = lines.Line{Number: r.number, Text: r.text, Fault: fault, Ended: r.whole, Cut: r.cut}
	if r.byLine {
		l.Number = r.line
	} else if r.text != "" && r.list != "" {
		l.Text = fmt.Sprintf("line %d: %s", r.line, r.text)
	}
	if r.text != "" && fault == "" {
		l.Cells, l.Stored = r.now.cells, r.now.stored
	}
	return l, nil
}

// object reads an object up to its list, and the first element of that.
func (r *Rows) object() (fault string) {
	if r.text == "" {
		return ""
	}
	r.outer.clear()
	span, err := r.columns.fill(&r.outer, r.text, r.list)
	r.now.copy(&r.outer)
	if err != nil {
		return err.Error()
	}
	if span == "" || span == "null" {
		return ""
	}
	if span[0] != '[' {
		return fmt.Sprintf("%q is no list here", r.list)
	}
	r.rest = skipBlanks(span[1:])
	if r.rest == "]" {
		return "" // an empty list: what stands beside it is a row
	}
	r.inList = true
	return r.element()
}

// element reads the next element of the list.
func (r *Rows) element() (fault string) {
	value, rest := cutValue(r.rest)
	rest = skipBlanks(rest)
	r.inList = rest[0] == ','
	r.rest = skipBlanks(rest[1:])
	r.text = value
	r.now.copy(&r.outer)
	if value[0] != '{' {
		return fmt.Sprintf("an element of %q is no object", r.list)
	}
	if err := r.columns.inner(&r.now, value, r.list+"."); err != nil {
		return err.Error()
	}
	return ""
}

// SetWidth is of no use here: every row has the width of the header.
func (r *Rows) SetWidth(int) {}

// Close closes the file.
func (r *Rows) Close() error { return r.src.Close() }

// row are the cells of a row on its way.
type row struct {
	cells  []string
	stored []lines.Stored
	given  []bool
}

func newRow(c *columns) row {
	n := len(c.names)
	return row{make([]string, n), make([]lines.Stored, n), make([]bool, n)}
}

func (r *row) clear() {
	clear(r.cells)
	clear(r.stored)
	clear(r.given)
}

func (r *row) copy(from *row) {
	copy(r.cells, from.cells)
	copy(r.stored, from.stored)
	copy(r.given, from.given)
}

// columns are the names of columns and their places.
type columns struct {
	names []string
	at    map[string]int
	err   error // of the last object
}

func newColumns() *columns { return &columns{at: map[string]int{}} }

func (c *columns) add(name string) {
	if _, ok := c.at[name]; !ok {
		c.at[name] = len(c.names)
		c.names = append(c.names, name)
	}
}

var errUnknownKey = errors.New("a key that was not there before")

// fill puts the values of an object into a row, and gives the text of its list.
func (c *columns) fill(to *row, object, list string) (span string, err error) {
	err = walk(object, "", func(name, value string) error {
		if name == list && list != "" {
			if span != "" {
				return twice(name)
			}
			span = value
			return nil
		}
		return c.put(to, name, value)
	})
	c.err = err
	return span, err
}

// inner puts the values of an element into a row.
func (c *columns) inner(to *row, object, prefix string) error {
	c.err = walk(object, prefix, func(name, value string) error { return c.put(to, name, value) })
	return c.err
}

func (c *columns) put(to *row, name, value string) error {
	at, ok := c.at[name]
	switch {
	case !ok:
		return errUnknownKey
	case to.given[at]:
		return twice(name)
	}
	text, stored, err := cellOf(value)
	if err != nil {
		return fmt.Errorf("%q: %w", name, err)
	}
	to.cells[at], to.stored[at], to.given[at] = text, stored, true
	return nil
}

func twice(name string) error { return fmt.Errorf("the key %q stands there twice", name) }

// found is what a first look at a file shows.
type found struct {
	*columns
	lists map[string]*columns // names in the elements of lists of objects, by the name of the list
}

// look reads a file for its columns.
func look(src Source, count func(rows int64) error) (*found, error) {
	f := &found{newColumns(), map[string]*columns{}}
	whole := true
	for n := int64(1); ; n++ {
		text, _, ended, _, err := src.Next()
		if errors.Is(err, io.EOF) {
			return f, f.some(whole)
		}
		whole = ended
		if err == nil {
			err = count(n)
		}
		if err != nil {
			return nil, err
		}
		f.add(text)
		if len(f.names) > mostColumns {
			return nil, lines.Refuse(lines.TooLarge, "the objects have more than %d different keys", mostColumns)
		}
	}
}

// some refuses a file without any key: no header can be made of it.
func (f *found) some(whole bool) error {
	switch {
	case len(f.names) > 0:
		return nil
	case !whole:
		return lines.Refuse(lines.IncompleteFile, "the file ends within its first object: the copy may not be finished")
	}
	return lines.Refuse(lines.NoHeader, "the file holds no object of JSON with a key")
}

// add notes the names of an object. What is wrong with it shows when it is read as a row.
func (f *found) add(text string) {
	_ = walk(text, "", func(name, value string) error {
		f.columns.add(name)
		if !listOfObjects(value) {
			return nil
		}
		if f.lists[name] == nil {
			f.lists[name] = newColumns()
		}
		eachElement(value, func(element string) {
			_ = walk(element, name+".", func(inner, _ string) error {
				if len(f.lists[name].names) <= mostColumns {
					f.lists[name].add(inner)
				}
				return nil
			})
		})
		return nil
	})
}

// onlyList is the one list of objects that a file has, "" where it has none.
func (f *found) onlyList() (string, error) {
	names := slices.Sorted(maps.Keys(f.lists))
	switch len(names) {
	case 0:
		return "", nil
	case 1:
		return names[0], nil
	}
	return "", lines.Refuse(lines.NoHeader, "several keys hold lists of objects: %s\ndeclare the one whose elements are rows, as rows = %q "+
		"in [file]", lines.Quoted(names), names[0])
}

// with are the columns where the elements of a list are rows.
func (f *found) with(list string) *columns {
	c := newColumns()
	for _, n := range f.names {
		if n != list {
			c.add(n)
		}
	}
	if inner := f.lists[list]; inner != nil {
		for _, n := range inner.names {
			c.add(n)
		}
	}
	return c
}

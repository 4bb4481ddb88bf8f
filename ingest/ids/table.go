package ids

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"fluedrift/ingest/parse"
	"fluedrift/model/day"
)

// Alias is a line of a file of aliases: a text that stands for an id.
type Alias struct {
	Written, ID string
	Place       string // file:line
}

// Aliases reads a file of aliases: CSV with a header and the columns written and id.
func Aliases(file string, text []byte) (all []Alias, err error) {
	err = eachRow(file, text, []string{"written", "id"}, nil, func(place string, cells []string) error {
		if cells[0] == "" && cells[1] == "" {
			return nil
		}
		if cells[0] == "" || cells[1] == "" {
			return fmt.Errorf("%s: written and id are both needed", place)
		}
		all = append(all, Alias{cells[0], cells[1], place})
		return nil
	})
	return all, err
}

// A use says that a technician used an analyzer from a day to another, both counted.
type use struct {
	analyzer string
	from, to day.Day
	place    string
}

// Users knows who used which analyzer when. The zero value knows nobody.
type Users struct{ of map[string][]use }

// ReadUsers reads who used which analyzer: CSV with a header and the columns
// technician, from, to and analyzer; days as yyyy-mm-dd, both counted, a blank one open.
// A technician has one analyzer a day. Analyzers are ids under the rules.
func ReadUsers(file string, text []byte, analyzers *Rules) (*Users, error) {
	u := &Users{map[string][]use{}}
	columns := []string{"technician", "analyzer"}
	err := eachRow(file, text, columns, []string{"from", "to"}, func(place string, cells []string) error {
		if strings.Join(cells, "") == "" {
			return nil
		}
		if cells[0] == "" || cells[1] == "" {
			return fmt.Errorf("%s: technician and analyzer are both needed", place)
		}
		one := use{from: earliest, to: latest, place: place}
		one.analyzer, _ = analyzers.Resolve(cells[1])
		for i, at := range []*day.Day{&one.from, &one.to} {
			if cells[2+i] == "" {
				continue
			}
			d, err := day.Parse(cells[2+i])
			if err != nil {
				return fmt.Errorf("%s: %q is no day written yyyy-mm-dd", place, cells[2+i])
			}
			*at = d
		}
		if one.to < one.from {
			return fmt.Errorf("%s: from %s is after to %s", place, one.from, one.to)
		}
		u.of[cells[0]] = append(u.of[cells[0]], one)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return u, u.sort()
}

// As is the same with what stands for technician codes; nil: the codes themselves.
func (u *Users) As(code func(string) string) *Users {
	if u == nil || code == nil {
		return u
	}
	as := &Users{map[string][]use{}}
	for name, uses := range u.of {
		as.of[code(name)] = uses
	}
	return as
}

// Days before and after all others.
const (
	earliest day.Day = -1 << 30
	latest   day.Day = 1 << 30
)

// sort puts the uses of each technician in order, and refuses two on one day.
func (u *Users) sort() error {
	var first error
	at := ""
	for _, uses := range u.of {
		slices.SortStableFunc(uses, func(a, b use) int { return int(a.from) - int(b.from) })
		for i := 1; i < len(uses); i++ {
			a, b := uses[i-1], uses[i]
			if b.from > a.to || first != nil && b.place >= at {
				continue
			}
			at = b.place
			first = fmt.Errorf("%s and %s: the technician has two analyzers on %s\nend the one before the other begins", a.place, b.place,
				b.dayShared())
		}
	}
	return first
}

func (b use) dayShared() string {
	if b.from == earliest {
		return "the same days"
	}
	return b.from.String()
}

// Analyzer is the analyzer that a technician used on a day, "" where nobody says.
func (u *Users) Analyzer(technician string, on day.Day) string {
	if u == nil {
		return ""
	}
	for _, one := range u.of[technician] {
		if one.from <= on && on <= one.to {
			return one.analyzer
		}
	}
	return ""
}

// eachRow gives the rows of a table that a person keeps, with the cells of the columns
// that are needed and of those that may be there. Other columns are remarks. Cells are
// parted by commas or semicolons, as the header is.
func eachRow(file string, text []byte, needed, more []string, row func(place string, cells []string) error) error {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if !utf8.Valid(text) {
		return fmt.Errorf("%s is not UTF-8 text\nsave it as CSV UTF-8", file)
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord = -1
	if line, _, _ := bytes.Cut(text, []byte("\n")); bytes.Count(line, []byte(";")) > bytes.Count(line, []byte(",")) {
		r.Comma = ';'
	}
	head, err := r.Read()
	if err != nil {
		return fmt.Errorf("%s: no header can be read\nbegin it with the line: %s", file, strings.Join(append(needed, more...), ","))
	}
	var at []int
	for i, name := range slices.Concat(needed, more) {
		column := slices.IndexFunc(head, func(h string) bool { return parse.Fold(h) == name })
		if column < 0 && i < len(needed) {
			return fmt.Errorf("%s:1: the header has no column %q\nit needs: %s", file, name, strings.Join(needed, ", "))
		}
		at = append(at, column)
	}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		line, _ := r.FieldPos(0)
		picked := make([]string, len(at))
		for i, column := range at {
			if column >= 0 && column < len(cells) {
				picked[i] = parse.Trim(cells[column])
			}
		}
		if err := row(fmt.Sprintf("%s:%d", file, line), picked); err != nil {
			return err
		}
	}
}

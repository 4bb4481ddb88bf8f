package ingest

import (
	"fmt"
	"strings"

	"fluedrift/ingest/draft"
	"fluedrift/ingest/ids"
	"fluedrift/ingest/layout"
)

// IDs says which ids are one. The zero value says it of none.
type IDs struct {
	Serial, Analyzer *ids.Rules
	Users            *ids.Users // who used which analyzer, where a reading names none
}

// of gives the rules for a field, nil where it has none.
func (i IDs) of(field string) *ids.Rules {
	switch field {
	case "serial":
		return i.Serial
	case "analyzer":
		return i.Analyzer
	}
	return nil
}

// respelt is an id of a line that is written otherwise than it is read.
type respelt struct {
	field, written, id string
	how                ids.How
}

// naming names the boilers and analyzers of a line.
type naming struct {
	IDs
	respelt []respelt // of the line
}

// resolve reads an id that people write in several ways, and says how it was found.
func (n *naming) resolve(b bound, v value) (value, ids.How) {
	rules := n.of(b.Field)
	if rules == nil || !v.ok || b.Of.Kind != layout.ID {
		return v, ids.AsWritten
	}
	id, how := rules.Resolve(v.text)
	if how != ids.AsWritten {
		n.respelt = append(n.respelt, respelt{b.Field, v.text, id, how})
	}
	v.text = id
	return v, how
}

// giveAnalyzer takes the analyzer of the technician where a line of readings names
// none; false where nobody says which that is.
func (n *naming) giveAnalyzer(base []value) bool {
	if base[fieldAnalyzer].ok || !base[fieldDay].ok {
		return false
	}
	id := n.Users.Analyzer(base[fieldTechnician].text, base[fieldDay].day)
	base[fieldAnalyzer] = value{ok: id != "", text: id}
	return id != ""
}

// spellings counts the ids of a file that are read otherwise than they are written.
type spellings struct {
	lines map[string]int64        // by field
	first map[string]string       // by field: the first, in words
	seen  map[respelt]bool        // at most spellingsLimit
	units map[string]registeredAs // of a register: how each id is written
}

// registeredAs is how a register writes an id, and where.
type registeredAs struct {
	written string
	line    int
	how     ids.How
}

// spellingsLimit is how many spellings a file is counted to have; files with more have
// other faults.
const spellingsLimit = 100_000

func newSpellings() *spellings {
	return &spellings{map[string]int64{}, map[string]string{}, map[respelt]bool{}, map[string]registeredAs{}}
}

// look counts the ids of a line. Two serials of a register that a shape makes one are
// refused: nobody said that they are one boiler. An alias says it.
func (s *spellings) look(number int, r *rowReader) error {
	for _, one := range r.named.respelt {
		s.lines[one.field]++
		if s.first[one.field] == "" {
			s.first[one.field] = strings.Clone(fmt.Sprintf("%s for %s in line %d", one.written, one.id, number))
		}
		if len(s.seen) < spellingsLimit {
			one.written, one.id = strings.Clone(one.written), strings.Clone(one.id)
			s.seen[one] = true
		}
	}
	if r.layout.Record != layout.Units || r.named.Serial == nil {
		return nil
	}
	as := registeredAs{line: number}
	id := r.base[fieldOfUnit].text
	as.written = id
	for _, one := range r.named.respelt {
		if one.field == "serial" {
			as.written, as.how = one.written, one.how
		}
	}
	before, twice := s.units[id]
	switch {
	case twice && before.written != as.written && before.how != ids.ByAlias && as.how != ids.ByAlias:
		return &JoinedError{before, as, id}
	case !twice:
		as.written = strings.Clone(as.written)
		s.units[strings.Clone(id)] = as
	}
	return nil
}

// JoinedError: a declared shape makes one of two serials of a register.
type JoinedError struct {
	one, two registeredAs
	id       string
}

func (e *JoinedError) Error() string {
	return fmt.Sprintf("lines %d and %d: the register has %q and %q, which ids.serial makes one boiler, %s\nchange the shape, or say "+
		"in ids.serial_aliases that they are one", e.one.line, e.two.line, e.one.written, e.two.written, e.id)
}

// remarks says how many lines name an id otherwise than it is read.
func (s *spellings) remarks() (all []string) {
	for _, field := range []string{"serial", "analyzer"} {
		ways := 0
		for one := range s.seen {
			if one.field == field {
				ways++
			}
		}
		if ways > 0 {
			all = append(all, fmt.Sprintf("%s written otherwise in %s (%s, the first %s)", field, draft.Counted(int(s.lines[field]), "line"),
				draft.Counted(ways, "spelling"), s.first[field]))
		}
	}
	return all
}

// Package ids makes one id of the ways in which people write it: by shapes that
// say how ids are written, by files of aliases, and by a table of who used which
// analyzer from when to when. All three are declared by a person. What is neither
// declared nor written alike stays another id: ShapesOf and Compare give hints, and join
// nothing.
package ids

import (
	"fmt"

	"fluedrift/ingest/parse"
)

// How is in what way an id was found.
type How string

// Ways to find an id.
const (
	AsWritten How = ""
	ByShape   How = "shape"
	ByAlias   How = "alias"
)

// Rules are what is declared of the ids of one thing: boilers, or analyzers. The zero
// value declares nothing.
type Rules struct {
	shapes  []shape
	aliases map[string]string // by the folded text
}

// NewRules checks shapes and aliases against each other. An alias, letter case aside,
// leads to an id, never to another alias.
func NewRules(shapes []string, aliases []Alias) (*Rules, error) {
	r := &Rules{aliases: map[string]string{}}
	for _, text := range shapes {
		s, err := newShape(text)
		if err != nil {
			return nil, err
		}
		r.shapes = append(r.shapes, s)
	}
	from := map[string]Alias{}
	for _, a := range aliases {
		key, id := parse.Fold(a.Written), r.shaped(a.ID)
		if other, twice := from[key]; twice && r.aliases[key] != id {
			return nil, fmt.Errorf("%s and %s: %q is an alias of both %q and %q\nleave one of the two lines", other.Place, a.Place,
				a.Written, other.ID, a.ID)
		} else if !twice {
			from[key], r.aliases[key] = a, id
		}
	}
	for _, a := range aliases {
		id := r.aliases[parse.Fold(a.Written)]
		if next, chained := from[parse.Fold(id)]; chained && r.aliases[parse.Fold(id)] != id {
			return nil, fmt.Errorf("%s and %s: %q is an alias of %q, which is itself an alias of %q\nwrite the id that is right behind both",
				a.Place, next.Place, a.Written, a.ID, next.ID)
		}
	}
	return r, nil
}

// shaped writes an id in the first shape that it fits. One that is written in any of
// them stays as it is, and so does one that fits none.
func (r *Rules) shaped(id string) string {
	first := id
	for _, s := range r.shapes {
		in, ok := s.fit(id)
		if ok && in == id {
			return id
		}
		if ok && first == id {
			first = in
		}
	}
	return first
}

// Resolve gives the id that a text stands for: that of an alias, else the text in a
// declared shape, else the trimmed text.
func (r *Rules) Resolve(text string) (string, How) {
	text = parse.Trim(text)
	if r == nil || text == "" {
		return text, AsWritten
	}
	if id, ok := r.aliases[parse.Fold(text)]; ok {
		return id, howFrom(text, id, ByAlias)
	}
	in := r.shaped(text)
	if id, ok := r.aliases[parse.Fold(in)]; ok {
		return id, howFrom(text, id, ByAlias)
	}
	return in, howFrom(text, in, ByShape)
}

func howFrom(text, id string, how How) How {
	if text == id {
		return AsWritten
	}
	return how
}

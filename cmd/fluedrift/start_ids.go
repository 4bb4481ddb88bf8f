package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/ingest/draft"
	"fluedrift/ingest/ids"
	"fluedrift/ingest/layout"
)

// spellings are the ids of boilers, or of analyzers, that the exports write otherwise
// than most do, with the shapes under which they would be one.
type spellings struct {
	key, what string   // of the configuration; for a person
	shapes    []string // nil: none are proposed
	ids, line int      // that would become others, and the lines that name them
	examples  []draft.ID
	become    []string // what the examples would be
}

// naming is what start does about ids.
type naming struct{ *beginning }

// likeIDs finds the ids of a field that are probably written otherwise: register are the
// records that say what there is.
func (b naming) likeIDs(field, register, what string) spellings {
	s := spellings{key: field, what: what}
	known, others := b.namedBy(field, register)
	if field == "analyzer" { // nobody lists them: the usual spelling is the right one
		known, others = mostAlike(append(known, others...))
	}
	texts := make([]string, len(known))
	is, folded := map[string]bool{}, map[string]bool{}
	for i, id := range known {
		texts[i], is[id.Text], folded[strings.ToLower(id.Text)] = id.Text, true, true
	}
	shapes := ids.ShapesOf(texts)
	if shapes == nil {
		return s
	}
	rules, err := ids.NewRules(shapes, nil)
	if err != nil {
		return s
	}
	strangers := 0
	for _, id := range others {
		if is[id.Text] || field == "serial" && folded[strings.ToLower(id.Text)] {
			continue // letter case of serials is forgiven where nothing is declared
		}
		strangers++
		in, how := rules.Resolve(id.Text)
		if how == ids.AsWritten || !is[in] {
			continue
		}
		s.ids, s.line = s.ids+1, s.line+id.Lines
		if len(s.examples) < 3 {
			s.examples, s.become = append(s.examples, id), append(s.become, in)
		}
	}
	if s.ids > 0 && 2*s.ids >= strangers {
		s.shapes = shapes
	}
	return s
}

// namedBy are the different ids of a field in files that hold the register, and those in
// other files.
func (b naming) namedBy(field, register string) (known, others []draft.ID) {
	at := map[string]int{}
	for _, k := range b.kinds {
		for _, id := range k.IDs {
			all, of := &others, "other "
			if k.Record == register {
				all, of = &known, "known "
			}
			if !k.Sure || id.Field != field {
				continue
			}
			if place, seen := at[of+id.Text]; seen {
				(*all)[place].Lines += id.Lines
				continue
			}
			at[of+id.Text] = len(*all)
			*all = append(*all, id)
		}
	}
	return known, others
}

// mostAnalyzers is how many analyzers are compared with each other.
const mostAnalyzers = 300

// mostAlike takes for known, of the ids that differ in spelling alone, the one on most
// lines.
func mostAlike(all []draft.ID) (known, others []draft.ID) {
	if len(all) > mostAnalyzers {
		return nil, all
	}
	byLines := slices.Clone(all)
	slices.SortStableFunc(byLines, func(x, y draft.ID) int { return cmp.Compare(y.Lines, x.Lines) })
	for _, id := range byLines {
		if slices.ContainsFunc(known, func(k draft.ID) bool { return writesOtherwise(id.Text, k.Text) }) {
			others = append(others, id)
		} else {
			known = append(known, id)
		}
	}
	return known, others
}

// writesOtherwise reports two ids that differ in separators, zeros and letter case alone.
func writesOtherwise(a, b string) bool {
	all := ids.Compare(a, b)
	return len(all) > 0 && !slices.ContainsFunc(all, func(d ids.Difference) bool {
		return d != ids.Separator && d != ids.Padding && d != ids.LetterCase
	})
}

// spelt are the ids to ask about; those that a person has declared are not.
func (b naming) spelt() (all []spellings) {
	for _, s := range []spellings{
		b.likeIDs("serial", layout.Units, "boiler"), b.likeIDs("analyzer", layout.Analyzers, "analyzer"),
	} {
		if s.shapes != nil && !slices.Contains(b.declared, s.key) {
			all = append(all, s)
		}
	}
	return all
}

func (s *spellings) id() string { return fmt.Sprintf("ids of %ss", s.what) }

// ask asks whether ids that are written otherwise are those that they resemble.
// Nothing is joined without the answer.
func (b naming) ask() (all []asked) {
	b.spelling = b.spelt()
	for _, s := range b.spelling {
		id := s.id()
		q := asked{
			key: id, choices: yesNo, cost: s.line, lines: []string{id},
			ask: fmt.Sprintf("Is %q the %s %q? In the shape %s, %s on %s would be one that is written so elsewhere.", s.examples[0].Text,
				s.what, s.become[0], strings.Join(s.shapes, " or "), night.Count(s.ids, "id"), night.Count(s.line, "line")),
			guess: "no",
		}
		for i, one := range s.examples {
			q.evidence = append(q.evidence, fmt.Sprintf("%q for %q, %s, the first %s", one.Text, s.become[i],
				night.Count(one.Lines, "line"), one.First))
		}
		switch answer := b.answers.text(id); {
		case isChoice(answer):
			b.answers.used[id] = true
			continue
		case answer != "":
			q.wrong = []string{fmt.Sprintf("%q: your answer %q is none of these.", id, answer)}
		}
		all = append(all, q)
	}
	return all
}

var yesNo = []string{"yes", "no"}

func isChoice(answer string) bool {
	return slices.ContainsFunc(yesNo, func(c string) bool { return strings.EqualFold(c, answer) })
}

// section is the section of the configuration that the answers make.
func (b naming) section() string {
	var t strings.Builder
	for _, s := range b.spelling {
		if !strings.EqualFold(b.answers.text(s.id()), "yes") {
			continue
		}
		if t.Len() == 0 {
			t.WriteString("\n[ids] # what is written otherwise is one of these: fluedrift help ids\n")
		}
		var quotedShapes []string
		for _, one := range s.shapes {
			quotedShapes = append(quotedShapes, quoted(one))
		}
		fmt.Fprintf(&t, "%s = [%s]\n", s.key, strings.Join(quotedShapes, ", "))
	}
	return t.String()
}

// unjoined says what a list lacks while ids that resemble those of the register are
// boilers of their own.
func (b naming) unjoined() (all []string) {
	for _, s := range b.spelling {
		if s.what == "boiler" && !strings.EqualFold(b.answers.text(s.id()), "yes") {
			all = append(all, fmt.Sprintf("%s of records name %s that the register has only in another spelling, the first %q for %q (%s): they "+
				"are judged by their CO alone.", night.Count(s.line, "line"), night.Count(s.ids, "boiler"), s.examples[0].Text, s.become[0],
				s.examples[0].First))
		}
	}
	return all
}

package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

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
	rest      int      // other ids that nobody lists, in any spelling
	restLines int      // that name those
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
	strangers := b.strangers(field, known, others)
	rules := s.shape(textsOf(known), strangers)
	if rules == nil || field == "serial" && changes(rules, b.secondIDs()) {
		return spellings{key: field, what: what}
	}
	is, lettered := setOf(known), false
	for _, id := range strangers {
		in, how := rules.Resolve(id.Text)
		if how == ids.AsWritten || !is[in] {
			s.rest, s.restLines = s.rest+1, s.restLines+id.Lines
			continue
		}
		lettered = lettered || strings.ContainsFunc(in, unicode.IsLetter)
		s.ids, s.line = s.ids+1, s.line+id.Lines
		if len(s.examples) < 3 {
			s.examples, s.become = append(s.examples, id), append(s.become, in)
		}
	}
	if s.ids == 0 || !lettered && s.ids < s.rest { // numbers become each other by chance
		s.shapes = nil
	}
	return s
}

// strangers are the ids that are not among the known: letter case of serials is forgiven
// where nothing is declared, and a second id of a boiler names it too.
func (b naming) strangers(field string, known, others []draft.ID) []draft.ID {
	is := setOf(known)
	if field == "serial" {
		for _, id := range known {
			is[strings.ToLower(id.Text)] = true
		}
		for _, id := range b.secondIDs() {
			is[id.Text], is[strings.ToLower(id.Text)] = true, true
		}
	}
	return slices.DeleteFunc(slices.Clone(others), func(id draft.ID) bool {
		return is[id.Text] || field == "serial" && is[strings.ToLower(id.Text)]
	})
}

// secondIDs are the second ids of boilers in registers.
func (b naming) secondIDs() []draft.ID {
	second, _ := b.namedBy("second_id", layout.Units)
	return second
}

// shape finds the shapes of all known ids, else of those to which strangers come where
// separators, zeros and letter case are left out; nil where there are none.
func (s *spellings) shape(known []string, strangers []draft.ID) *ids.Rules {
	if s.shapes = ids.ShapesOf(known); s.shapes == nil {
		plain := map[string]bool{}
		for _, id := range strangers {
			plain[ids.Plain(id.Text)] = true
		}
		var wanted []string
		for _, text := range known {
			if plain[ids.Plain(text)] {
				wanted = append(wanted, text)
			}
		}
		s.shapes = ids.ShapesFor(known, wanted)
	}
	if s.shapes == nil {
		return nil
	}
	rules, err := ids.NewRules(s.shapes, nil)
	if err != nil {
		return nil
	}
	return rules
}

// changes reports rules by which one of the ids would be another.
func changes(rules *ids.Rules, all []draft.ID) bool {
	return slices.ContainsFunc(all, func(id draft.ID) bool {
		_, how := rules.Resolve(id.Text)
		return how != ids.AsWritten
	})
}

func textsOf(all []draft.ID) (texts []string) {
	for _, id := range all {
		texts = append(texts, id.Text)
	}
	return texts
}

func setOf(all []draft.ID) map[string]bool {
	set := map[string]bool{}
	for _, id := range all {
		set[id.Text] = true
	}
	return set
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
		if s.rest > 0 {
			q.evidence = append(q.evidence, fmt.Sprintf("%s on %s stay as they are: they are listed nowhere in the shape either",
				night.Count(s.rest, "other id"), night.Count(s.restLines, "line")))
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

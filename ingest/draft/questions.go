package draft

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/judge"
)

// Question is something that only a person can know.
type Question struct {
	Key      string // tells the questions about one kind of file apart
	Ask      string
	Evidence []string // values with counts and places
	Choices  []string
	Check    func(answer string) error // says of another answer than a choice why it is none; nil: there is none
	Guess    string                    // what holds until it is answered; "" nothing
	Cost     int                       // lines that hang on it
	Answered bool
	Wrong    string // an answer that is none
}

// ask adds a question and gives its answer, where that is one.
func (d *drafter) ask(q Question) string {
	answer := ""
	if d.known.Answer != nil {
		answer = parse.Trim(d.known.Answer(q.Key))
	}
	at := slices.IndexFunc(q.Choices, func(c string) bool { return strings.EqualFold(c, answer) })
	switch {
	case at >= 0:
		answer, q.Answered = q.Choices[at], true
	case answer != "" && q.Check != nil && q.Check(answer) == nil:
		q.Answered = true
	case answer != "":
		answer, q.Wrong = "", answer
	}
	d.questions = append(d.questions, q)
	return answer
}

// unknownWord is the answer that no word of ours is meant.
const unknownWord = "not known"

// guessCodes proposes a meaning for each word of a code column, and asks what the
// others mean. Until that is answered, an optional field is taken as missing where
// they stand: the rest of the line counts.
func (d *drafter) guessCodes(c *draftColumn, f layout.Field) {
	c.codes = map[string]string{}
	seen, first := map[string]int{}, map[string]int{}
	var names []string
	for i, cell := range c.cells {
		if cell == "" || parse.Footer([]string{cell}) {
			continue
		}
		if seen[cell] == 0 {
			names, first[cell] = append(names, cell), i
		}
		seen[cell]++
	}
	slices.Sort(names)
	for _, w := range names {
		ours := c.code(f, w)
		if ours == "" {
			q := Question{
				Key: fmt.Sprintf("%s %q", c.header, w), Ask: fmt.Sprintf("What does %q in column %q (%s) mean?", w, c.header, f.Name),
				Evidence: []string{fmt.Sprintf("%s, the first %s", Counted(seen[w], "line"), d.place(c, first[w]))},
				Choices:  append(slices.Clone(f.Words), unknownWord), Cost: seen[w],
			}
			if !f.Required {
				q.Guess = unknownWord
			}
			ours = d.ask(q)
		}
		switch {
		case ours != "" && ours != unknownWord:
			c.codes[w] = ours
		case !f.Required:
			c.missing = append(c.missing, w)
		default:
			c.note("not known: %q", w)
		}
	}
}

// guessConditions takes the columns of the wide form without a condition as read as
// found, where others are as left, and asks. Where one of those has the same gas at the
// same fire, they can be nothing else, and nobody is asked.
func (d *drafter) guessConditions() {
	if !d.wide {
		return
	}
	left, twin, gas := false, false, 0
	var bare []int
	for i, c := range d.columns {
		f, _ := layout.FieldOf(d.record, c.field)
		left = left || c.condition == judge.AsLeft
		if f.Place != layout.OfReading || c.fire == "" || c.condition != "" {
			continue
		}
		bare = append(bare, i)
		if c.field == "co2" || c.field == "o2" {
			gas++
			twin = twin || slices.ContainsFunc(d.columns, func(o draftColumn) bool {
				return o.field == c.field && o.fire == c.fire && o.condition == judge.AsLeft
			})
		}
	}
	if gas == 0 {
		return
	}
	q := Question{
		Key: "condition", Ask: "Were these columns read as found, before anything was touched?",
		Choices: []string{string(judge.AsFound), string(judge.AsLeft)}, Cost: len(d.rows),
	}
	for _, i := range bare {
		q.Evidence = append(q.Evidence, fmt.Sprintf("%q", d.columns[i].header))
	}
	q.Evidence = []string{"columns " + strings.Join(q.Evidence, ", ")}
	if left {
		q.Guess = string(judge.AsFound)
		q.Evidence = append(q.Evidence, "other columns of this file are as left by their headers")
	}
	condition := ""
	if !twin {
		condition = d.ask(q)
	}
	if condition == "" {
		condition = q.Guess
	}
	for _, i := range bare {
		d.columns[i].condition = judge.Condition(condition)
		d.columns[i].note("condition because other headers say as left")
	}
}

// guessDays asks for the order of day and month where a file does not tell it.
func (d *drafter) guessDays() {
	var told string // of another column of the file
	for _, c := range d.columns {
		if c.days != nil && c.days.other == "" {
			told = c.days.pattern
		}
	}
	for i := range d.columns {
		c := &d.columns[i]
		if c.days == nil {
			continue
		}
		w := *c.days
		if w.other == told && told != "" {
			w = daysAs(told, c.cells)
		}
		if w.other != "" && w.pattern != told {
			c.note("%s", w.open())
			q := Question{
				Key: "days of " + c.header, Ask: fmt.Sprintf("Is the day or the month first in column %q?", c.header), Guess: w.pattern,
				Choices: []string{w.pattern, w.other}, Cost: w.days,
				Evidence: []string{fmt.Sprintf("%s possible in both orders, the first %q (%s)", Counted(w.days, "day"), c.cells[w.first],
					d.place(c, w.first))},
			}
			if answer := d.ask(q); answer != "" {
				w = daysAs(answer, c.cells)
			}
		}
		var also []string
		if f, _ := layout.FieldOf(d.record, c.field); f.Coarse {
			also = coarseDays
		}
		w = w.withFurther(c.cells, also...)
		c.days = &w
		d.oddDays(c)
	}
}

// oddDays deals with cells of a day column that are written otherwise. They would
// set their lines aside; where the field is optional, they are taken as missing.
func (d *drafter) oddDays(c *draftColumn) {
	w := c.days
	if len(w.odd) == 0 {
		return
	}
	f, _ := layout.FieldOf(d.record, c.field)
	first := fmt.Sprintf("%q (%s)", c.cells[w.odd[0]], d.place(c, w.odd[0]))
	if f.Required {
		d.notes = append(d.notes, fmt.Sprintf("column %q: %d of %d days are not written %s, the first %s: their lines are set aside", c.header,
			len(w.odd), w.filled, strings.Join(w.ways(), " or "), first))
		return
	}
	words, more := w.oddCells(c.cells, 400)
	if more {
		d.notes = append(d.notes, fmt.Sprintf("column %q is not read: %d of %d cells are not days written %s, the first %s",
			c.header, len(w.odd), w.filled, strings.Join(w.ways(), " or "), first))
		c.field = ""
		return
	}
	c.missing = append(c.missing, words...)
	d.notes = append(d.notes, fmt.Sprintf("column %q: %d of %d cells are not days written %s, the first %s: they are taken as missing",
		c.header, len(w.odd), w.filled, strings.Join(w.ways(), " or "), first))
}

// askBasis asks what CO is measured in where no header says it.
func (d *drafter) askBasis() {
	var open []string
	filled := 0
	for _, c := range d.columns {
		if c.field == "co" && c.basis == "" {
			open = append(open, fmt.Sprintf("%q", c.header))
			for _, cell := range c.cells {
				if cell != "" {
					filled++
				}
			}
		}
	}
	if len(open) == 0 {
		return
	}
	answer := d.ask(Question{
		Key: "basis of CO", Ask: "Is CO written down as measured, or air-free?", Guess: "unknown", Cost: filled / 10,
		Evidence: []string{"columns " + strings.Join(open, ", ") + ": no header says it; unknown is judged as measured, and marked"},
		Choices:  []string{"as measured", "air-free", "unknown"},
	})
	for i := range d.columns {
		if c := &d.columns[i]; c.field == "co" && c.basis == "" {
			c.basis = answer
		}
	}
}

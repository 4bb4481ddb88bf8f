package draft

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// renamed finds columns that give one field under several names, as after an update that
// renamed keys: what they hold is alike, no row has two of them filled otherwise than
// alike, and chance alone would not part them so. They become one column.
func renamed(d *drafter) (all []step) {
	e := eras{drafter: d}
	for i := range d.columns {
		e.cells = append(e.cells, severalUnits{d}.byRow(&d.columns[i]))
	}
	joined := map[int]bool{}
	for i := range d.columns {
		f, ok := layout.FieldOf(d.record, d.columns[i].field)
		if !ok || spent(d.steps, d.columns[i].header) || joined[i] {
			continue
		}
		group := []int{i}
		for j := range d.columns {
			if !joined[j] && e.otherName(group, j, f) {
				group = append(group, j)
			}
		}
		if len(group) < 2 {
			continue
		}
		for _, k := range group {
			joined[k] = true
		}
		slices.Sort(group)
		all = append(all, e.step(group))
		d.made[e.into(group)] = f.Name
	}
	return all
}

// joinRenamed decides the meanings of columns, joins those of one meaning, and decides all
// anew.
func joinRenamed(d *drafter) {
	questions, notes := len(d.questions), slices.Clone(d.notes)
	d.made = map[string]string{}
	guessMeanings(d)
	joins := renamed(d)
	if joins == nil {
		return
	}
	d.questions, d.notes = d.questions[:questions], notes
	proposeSteps(d, func(*drafter) []step { return joins })
	writing{d}.guess()
	guessMeanings(d)
}

// eras compares columns row by row.
type eras struct {
	*drafter
	cells [][]string // by column and row
}

// otherName reports a column without a field that is the same field as those of a group.
func (e eras) otherName(group []int, j int, f layout.Field) bool {
	c, other := &e.columns[group[0]], &e.columns[j]
	if other.field != "" || other.carry != "" || slices.Contains(group, j) || !e.means(c, other, f) {
		return false
	}
	return !slices.ContainsFunc(group, func(i int) bool { return !e.apart(i, j) })
}

// leastLikely is the chance below which columns that are filled in turn are not so by
// accident.
const leastLikely = 0.01

// apart reports columns of which hardly a row has both, and what it has is alike.
func (e eras) apart(i, j int) bool {
	one, two, both := 0, 0, 0
	for row, cell := range e.cells[i] {
		other := e.cells[j][row]
		switch {
		case cell != "" && other != "" && cell != other:
			return false
		case cell != "" && other != "":
			both++
		}
		if cell != "" {
			one++
		}
		if other != "" {
			two++
		}
	}
	return one > 0 && two > 0 && both < min(one, two) && chanceApart(len(e.cells[i]), one-both, two-both) < leastLikely
}

// chanceApart is the chance that two columns, filled in so many rows each wherever it may
// be, have no row in common: hypergeometric.
func chanceApart(rows, one, two int) float64 {
	if one+two > rows {
		return 0
	}
	choose := func(n, k int) float64 {
		a, _ := math.Lgamma(float64(n + 1))
		b, _ := math.Lgamma(float64(k + 1))
		c, _ := math.Lgamma(float64(n - k + 1))
		return a - b - c
	}
	return math.Exp(choose(rows-one, two) - choose(rows, two))
}

// means reports cells of a column that are what those of another with the field are.
func (e eras) means(c, other *draftColumn, f layout.Field) bool {
	headed := other.like == c.use()
	cells := filledCells(other.cells)
	switch told := slices.Contains(toldByCells[e.record], f.Name); f.Kind {
	case layout.Measured, layout.CO:
		return headed && sameTime(c.header, other.header) && e.sameMeasure(c, other, f)
	case layout.Day:
		w := daysOf(cells)
		return (headed || told) && 10*w.days >= 9*len(cells) && (w.parted() || parse.Stamped(w.pattern))
	case layout.Code:
		known := 0
		for _, cell := range cells {
			if other.code(f, cell) != "" {
				known++
			}
		}
		return (headed || told && f.Name != "adjusted") && 5*known > 4*len(cells)
	case layout.ID:
		if f.Name == "serial" {
			return byCells{e.drafter}.sharedIDs(other) > 0 || headed && alikeTexts(filledCells(c.cells), cells)
		}
	case layout.Whole:
		return headed && mostlyNumbers(e.grammar, cells)
	}
	return headed && alikeTexts(filledCells(c.cells), cells)
}

// sameTime reports headers that name one fire and condition, or none.
func sameTime(one, two string) bool {
	fire, condition := fireAndCondition(one)
	otherFire, otherCondition := fireAndCondition(two)
	return fire == otherFire && condition == otherCondition
}

// sameMeasure reports numbers of one unit and basis, and of like size.
func (e eras) sameMeasure(c, other *draftColumn, f layout.Field) bool {
	o := *other
	o.field, o.notes = f.Name, nil
	notes := e.notes
	e.guessCells(&o, f)
	e.drafter.notes = notes
	if o.field == "" || o.basis != c.basis || o.reference != c.reference {
		return false
	}
	several := severalUnits{e.drafter}
	size := func(x *draftColumn) float64 {
		var numbers []float64
		for i, cell := range x.cells {
			units := several.unitsAt(x, i)
			if len(units) == 0 {
				continue
			}
			if n, fault := e.grammar.Limited(cell, units[0]); fault == nil {
				numbers = append(numbers, toStored(n.Value, units[0], f))
			}
		}
		return Median(numbers)
	}
	one, two := size(c), size(&o)
	sameUnits := o.unit == c.unit || o.unitFrom != "" || c.unitFrom != ""
	return sameUnits && slices.Equal(o.units, c.units) && min(one, two) > 0 && max(one, two) <= 3*min(one, two)
}

// alikeTexts reports texts of which one set has half of the other, or that are made of the
// same kinds of characters.
func alikeTexts(one, two []string) bool {
	have, common, different := map[string]bool{}, 0, map[string]bool{}
	for _, cell := range one {
		have[parse.Fold(cell)] = true
	}
	for _, cell := range two {
		if folded := parse.Fold(cell); !different[folded] {
			different[folded] = true
			if have[folded] {
				common++
			}
		}
	}
	return 2*common >= min(len(have), len(different)) || madeOf(one) == madeOf(two)
}

// madeOf is whether most texts have digits, letters and blanks.
func madeOf(texts []string) (all [3]bool) {
	var n [3]int
	for _, text := range texts {
		for i, has := range []func(rune) bool{unicode.IsDigit, unicode.IsLetter, unicode.IsSpace} {
			if strings.ContainsFunc(text, has) {
				n[i]++
			}
		}
	}
	for i := range all {
		all[i] = 2*n[i] > len(texts)
	}
	return all
}

func filledCells(cells []string) (filled []string) {
	for _, cell := range cells {
		if cell != "" {
			filled = append(filled, cell)
		}
	}
	return filled
}

// step makes one column of a group.
func (e eras) step(group []int) step {
	var headers, counts []string
	for _, i := range group {
		headers = append(headers, e.columns[i].header)
		counts = append(counts, fmt.Sprintf("%d have %q", len(filledCells(e.cells[i])), e.columns[i].header))
	}
	return step{
		layout.Step{Do: layout.FirstFilled, Columns: headers, Into: e.into(group)},
		fmt.Sprintf("one thing under several names: of %s, %s, and none has two that differ", Counted(len(e.rows), "row"),
			strings.Join(counts, ", ")),
	}
}

// into is the name of that column.
func (e eras) into(group []int) string {
	var headers []string
	for _, i := range group {
		headers = append(headers, e.columns[i].header)
	}
	return strings.Join(headers, " or ")
}

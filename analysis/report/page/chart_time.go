package page

import (
	"math"
	"time"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// timeScale places days: the past from left to split, in years; the days after today
// from partGap after split to end, in months. Two scales, and a gap between them.
type timeScale struct {
	from, asOf, to   day.Day
	left, split, end int
}

const (
	daysPerMonth = 30.44
	mostAhead    = 0.4 // of the width is for the months ahead, however many
)

func timesOf(c *watch.Chart, form chartForm) timeScale {
	t := timeScale{from: c.From, asOf: c.AsOf, to: c.To, left: form.left, end: form.width - form.right}
	if form.years > 0 {
		t.from = max(t.from, c.AsOf.AddMonths(-12*form.years))
	}
	t.split = t.end
	if c.To > c.AsOf {
		months := float64(c.To-c.AsOf) / daysPerMonth
		ahead := min(months*float64(form.month), mostAhead*float64(t.end-t.left))
		t.split = t.end - partGap - int(math.Round(ahead))
	}
	return t
}

// x places a day.
func (t timeScale) x(d day.Day) int {
	part := func(from, to day.Day, left, right int) int {
		if to <= from {
			return right
		}
		return left + int(math.Round(float64(d-from)/float64(to-from)*float64(right-left)))
	}
	if d <= t.asOf {
		return part(t.from, t.asOf, t.left, t.split)
	}
	return part(t.asOf, t.to, t.split+partGap, t.end)
}

// mark is a tick of time with its label, "" without one.
type timeMark struct {
	x     int
	label string
}

// yearMarks are the first days of the years of the past; as many have a label as fit
// between them, in the middle of the year.
func (t timeScale) yearMarks() (marks []timeMark, labels []timeMark) {
	const room = 34 // px of a year's label
	first, last := t.from.Year(), t.asOf.Year()
	step := 1
	if years := max(last-first, 1); t.split > t.left {
		step = max(1, int(math.Ceil(room*float64(years)/float64(t.split-t.left))))
	}
	for year := first; year <= last; year++ {
		begin, end := day.Of(year, time.January, 1), day.Of(year+1, time.January, 1)
		if begin >= t.from {
			marks = append(marks, timeMark{x: t.x(begin)})
		}
		left, right := t.x(max(begin, t.from)), t.x(min(end, t.asOf))
		if (last-year)%step == 0 && (right-left >= room || step > 1 && left+room/2 <= t.split) {
			labels = append(labels, timeMark{(left + right) / 2, words.Decimal(float64(year), 0)})
		}
	}
	return marks, labels
}

// monthMarks are the first days of the months ahead, each with so many letters of its
// name where they fit.
func (t timeScale) monthMarks(letters int) (marks []timeMark) {
	const letter = 9 // px, the widest
	before := -letter * letters
	for m := day.Of(t.asOf.Year(), t.asOf.Time().Month(), 1); m < t.to; m = m.AddMonths(1) {
		x, end := t.x(max(m, t.asOf+1)), t.x(min(m.AddMonths(1), t.to))
		mark := timeMark{x: x}
		if middle := (x + end) / 2; middle-before >= letter*letters && end-x >= letter {
			mark.label, before = m.Time().Month().String()[:letters], middle
		}
		marks = append(marks, mark)
	}
	return marks
}

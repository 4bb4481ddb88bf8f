package draft

import (
	"fmt"
	"slices"

	"fluedrift/ingest/parse"
)

// usualDays are the ways of writing days that a draft tries, in this order.
var usualDays = []string{
	"yyyy-mm-dd", "dd.mm.yyyy", "d.m.yyyy", "mm/dd/yyyy", "dd/mm/yyyy", "m/d/yyyy", "d/m/yyyy",
	"dd-mm-yyyy", "yyyy/mm/dd", "yyyymmdd", "day number 1900",
}

// written is how the cells of a column write days.
type written struct {
	pattern string
	days    int    // filled cells that are days so
	filled  int    // filled cells
	other   string // a pattern with day and month exchanged that fits as many
	odd     []int  // places of filled cells that are no days so
}

// whole reports a column of which nearly every cell is a day in one way of writing.
func (w written) whole() bool { return w.pattern != "" && w.days*10 >= w.filled*9 }

// mostly reports a column of days that are written in several ways.
func (w written) mostly() bool { return w.pattern != "" && 3*w.days > w.filled }

// daysOf finds the usual way in which most cells of a column are days, the first
// where several do.
func daysOf(cells []string) written {
	best := written{}
	var fits []written
	for _, p := range usualDays {
		w := daysAs(p, cells)
		fits = append(fits, w)
		if w.days > best.days {
			best = w
		}
	}
	d, err := parse.NewDays(best.pattern, 0)
	if err != nil {
		return best
	}
	if x, ok := d.Exchanged(); ok {
		for _, w := range fits {
			if w.pattern == x.Pattern() && w.days == best.days {
				best.other = w.pattern
			}
		}
	}
	return best
}

// daysAs counts the cells that are days in one way of writing.
func daysAs(pattern string, cells []string) written {
	w := written{pattern: pattern}
	d, err := parse.NewDays(pattern, 0)
	if err != nil {
		return w
	}
	for i, c := range cells {
		if c == "" {
			continue
		}
		w.filled++
		if _, _, f := d.Parse(c); f == nil {
			w.days++
		} else {
			w.odd = append(w.odd, i)
		}
	}
	return w
}

// open says what stays open of a way of writing; "" where nothing does.
func (w written) open() string {
	if w.other != "" {
		return fmt.Sprintf("%s fits as well: nothing in the file tells day and month apart", w.other)
	}
	return ""
}

// oddCells are the different cells that are no days, at most n.
func (w written) oddCells(cells []string, n int) (all []string, more bool) {
	for _, i := range w.odd {
		if slices.Contains(all, cells[i]) {
			continue
		}
		if len(all) == n {
			return all, true
		}
		all = append(all, cells[i])
	}
	return all, false
}

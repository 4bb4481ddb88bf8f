package draft

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"fluedrift/ingest/parse"
)

// usualDays are the ways of writing days that a draft tries, in this order.
var usualDays = []string{
	"yyyy-mm-dd", "dd.mm.yyyy", "d.m.yyyy", "mm/dd/yyyy", "dd/mm/yyyy", "m/d/yyyy", "d/m/yyyy",
	"dd-mm-yyyy", "yyyy/mm/dd", "d-mmm-yyyy", "d mmm yyyy", "mmm d, yyyy", "do mmm yyyy", "mmm do, yyyy",
	"m/d/yy", "d/m/yy", "d.m.yy", "d-mmm-yy", "yyyymmdd",
	"day number 1900",
}

// century is where a draft takes two-digit years to lie: 1970 to 2069.
const century = 1970

// written is how the cells of a column write days.
type written struct {
	pattern string
	further []string // other ways, in which the cells that are no days so are days
	days    int      // filled cells that are days so
	filled  int      // filled cells
	first   int      // place of the first cell that is a day so
	other   string   // a pattern with day and month exchanged that fits as many
	odd     []int    // places of filled cells that are no days in any of these ways
}

// mostly reports a column of days that are written in several ways.
func (w written) mostly() bool { return w.pattern != "" && 3*w.days > w.filled }

// parted reports a way of writing days that no other number has.
func (w written) parted() bool {
	return !strings.HasPrefix(w.pattern, "day number") && strings.ContainsAny(w.pattern, "-./ ")
}

// daysOf finds the usual way in which most cells of a column are days, the first
// where several do.
func daysOf(cells []string) written {
	best := written{}
	if p := stamped(cells); p != "" {
		best = stampsAs(p, cells)
		if len(best.odd) == 0 {
			return best
		}
	}
	var fits []written
	for _, p := range usualDays {
		w := daysAs(p, cells)
		fits = append(fits, w)
		if w.days > best.days {
			best = w
		}
	}
	d, err := newDays(best.pattern)
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

// ways are the patterns of a column, the first that most cells have.
func (w written) ways() []string { return append([]string{w.pattern}, w.further...) }

// ways are those of a column of days; nil where no cell is one.
func (c *draftColumn) ways() []string {
	if c.days == nil || c.days.pattern == "" {
		return nil
	}
	return c.days.ways()
}

// withFurther adds ways, the usual and some others, in which the cells left over are
// days. A way that has day and
// month in the other order than the first is none: nothing would tell them apart.
func (w written) withFurther(cells []string, also ...string) written {
	for range 3 {
		rest := make([]string, len(w.odd))
		for i, at := range w.odd {
			rest[i] = cells[at]
		}
		best := written{}
		for _, p := range slices.Concat(usualDays, also, slices.Sorted(maps.Keys(stampDays))) {
			if p == "day number 1900" || p == "yyyymmdd" || w.pattern == "day number 1900" {
				continue
			}
			if _, err := newDaysIn(append(w.ways(), p)); err != nil {
				continue
			}
			more := daysAs(p, rest)
			if parse.Stamped(p) {
				more = stampsAs(p, rest)
			}
			if more.days > best.days {
				best = more
			}
		}
		if best.days == 0 {
			break
		}
		w.further, w.days = append(w.further, best.pattern), w.days+best.days
		for i, at := range best.odd {
			best.odd[i] = w.odd[at]
		}
		w.odd = best.odd
	}
	return w
}

// daysAs counts the cells that are days in one way of writing.
func daysAs(pattern string, cells []string) written {
	w := written{pattern: pattern}
	d, err := newDays(pattern)
	if err != nil {
		return w
	}
	for i, c := range cells {
		if c == "" {
			continue
		}
		w.filled++
		if _, _, f := d.Parse(c); f != nil {
			w.odd = append(w.odd, i)
			continue
		}
		if w.days == 0 {
			w.first = i
		}
		w.days++
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

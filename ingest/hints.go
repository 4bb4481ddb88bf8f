package ingest

import (
	"fmt"
	"sort"
	"strings"

	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
	"fluedrift/model/quantity"
)

// watcher gathers what the cells of a file look like, to tell a declared
// meaning that the cells do not bear out. It only speaks; nothing it thinks is
// acted on.
type watcher struct {
	layout *layout.Layout
	head   *head
	cells  []cellsSeen // by bound column
}

// cellsSeen counts the cells of one column.
type cellsSeen struct {
	filled    int
	numbers   []float64 // as written, at most seenLimit
	otherMark int       // numbers only with decimal and thousands marks exchanged
	declared  int       // days in the declared order alone
	exchanged int       // days in the other order of day and month alone
	either    int       // days in both orders
	words     map[string]int
}

const seenLimit = 20000

func newWatcher(h *head, l *layout.Layout) *watcher {
	w := &watcher{layout: l, head: h, cells: make([]cellsSeen, len(h.bound))}
	for i := range w.cells {
		w.cells[i].words = map[string]int{}
	}
	return w
}

func (w *watcher) look(ln *lines.Line) {
	for i, b := range w.head.bound {
		if b.index < 0 || b.field < 0 {
			continue
		}
		text := parse.Trim(ln.Cells[b.index])
		if b.missing(text) {
			continue
		}
		c := &w.cells[i]
		c.filled++
		switch b.Of.Kind {
		case layout.Measured, layout.CO:
			w.number(b, c, text, ln.StoredAs(b.index))
		case layout.Day:
			c.day(b, text)
		case layout.Code:
			if _, f := parse.Code(text, b.Words); f != nil && len(c.words) < 1000 {
				c.words[strings.Clone(text)]++
			}
		}
	}
}

func (w *watcher) number(b bound, c *cellsSeen, text string, as lines.Stored) {
	grammar := w.layout.Numbers
	if as == lines.AsNumber || as == lines.AsDecimal || as == lines.AsPercent {
		grammar = parse.Numbers{Decimal: "."}
	}
	if n, f := grammar.Measure(text, b.Measure); f == nil {
		if len(c.numbers) < seenLimit {
			c.numbers = append(c.numbers, n.Value)
		}
		return
	}
	other := parse.Numbers{Decimal: ",", Thousands: "."}
	if grammar.Decimal == "," {
		other = parse.Numbers{Decimal: ".", Thousands: ","}
	}
	if _, f := other.Measure(text, b.Measure); f == nil {
		c.otherMark++
	}
}

func (c *cellsSeen) day(b bound, text string) {
	other, ok := b.Days.Exchanged()
	if !ok {
		return
	}
	_, _, f := b.Days.Parse(text)
	_, _, g := other.Parse(text)
	switch {
	case f == nil && g == nil:
		c.either++
	case f == nil:
		c.declared++
	case g == nil:
		c.exchanged++
	}
}

// hints says what does not look as declared.
func (w *watcher) hints(f File) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	for i, b := range w.head.bound {
		c := &w.cells[i]
		for _, text := range columnHints(b, c) {
			say("column %q %s", b.Header, text)
		}
		if b.Of.Kind == layout.CO && b.Basis == "unknown" && b.BasisFrom == "" && c.filled > 0 {
			say("column %q: CO of unknown basis is judged as measured and marked; declare basis if it is known", b.Header)
		}
	}
	if len(w.head.spare) > 0 {
		say("columns that the layout does not read: %s; declare them, or set ignore = true", lines.Quoted(w.head.spare))
	}
	if f.ExportDay == day.None && f.Outcome == WasRead {
		say("the day of the export is not known: where another export contradicts a line of this one, neither counts")
	}
	return append(all, w.exchangedGases()...)
}

func columnHints(b bound, c *cellsSeen) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	middle := draft.Median(c.numbers)
	if other, ok := draft.OtherUnit(b.Field, b.Unit, middle); ok && b.Alternatives == nil && len(c.numbers) >= 3 {
		say("is declared in %q and looks like %q: half of its cells are below %.4g and half above", b.Unit, other, middle)
	}
	if c.otherMark > 0 {
		say("holds %s with decimal and thousands marks exchanged", draft.Counted(c.otherMark, "number"))
	}
	switch {
	case c.exchanged > 0:
		other, _ := b.Days.Exchanged()
		say("looks like %s: possible only so: %s; only as the declared %s: %s", other.Pattern(),
			draft.Counted(c.exchanged, "day"), b.Days.Pattern(), draft.Counted(c.declared, "day"))
	case c.either > 0 && c.declared == 0:
		say("holds no day that tells day and month apart; %s is taken as declared", b.Days.Pattern())
	}
	if len(c.words) > 0 {
		say("holds words that its codes do not know: %s", frequent(c.words))
	}
	return all
}

// exchangedGases notices CO2 and O2 in each other's columns: their sum says
// nothing, but burners leave more CO2 than O2.
func (w *watcher) exchangedGases() []string {
	middle := map[string]float64{}
	for i, b := range w.head.bound {
		if (b.Field == "co2" || b.Field == "o2") && b.Measure.Kind == quantity.Share && len(w.cells[i].numbers) >= 3 {
			middle[b.Field] = draft.Median(w.cells[i].numbers)
		}
	}
	if co2, o2 := middle["co2"], middle["o2"]; co2 > 0 && o2 >= 7.5 && co2 < 6.5 {
		return []string{fmt.Sprintf("CO2 of about %.3g %% beside O2 of about %.3g %%: the two columns may be exchanged", co2, o2)}
	}
	return nil
}

// frequent lists the five most frequent words with their counts.
func frequent(words map[string]int) string {
	names := make([]string, 0, len(words))
	for w := range words {
		names = append(names, w)
	}
	sort.Slice(names, func(i, j int) bool {
		if words[names[i]] != words[names[j]] {
			return words[names[i]] > words[names[j]]
		}
		return names[i] < names[j]
	})
	var all []string
	for i, n := range names {
		if i == 5 {
			all = append(all, fmt.Sprintf("and %d more", len(names)-5))
			break
		}
		all = append(all, fmt.Sprintf("%q (%d)", parse.Short(n), words[n]))
	}
	return strings.Join(all, ", ")
}

package ingest

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
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

func (w *watcher) look(ln *line) {
	for i, b := range w.head.bound {
		if b.index < 0 || b.field < 0 {
			continue
		}
		text := parse.Trim(ln.cells[b.index])
		if b.missing(text) {
			continue
		}
		c := &w.cells[i]
		c.filled++
		switch b.Of.Kind {
		case layout.Measured, layout.CO:
			w.number(b, c, text, ln.storedAs(b.index))
		case layout.Day:
			c.day(b, text)
		case layout.Code:
			if _, f := parse.Code(text, b.Words); f != nil && len(c.words) < 1000 {
				c.words[strings.Clone(text)]++
			}
		}
	}
}

func (w *watcher) number(b bound, c *cellsSeen, text string, as stored) {
	grammar := w.layout.Numbers
	if as == asNumber || as == asDecimal || as == asPercent {
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

// looks is a span in which the middle value of a column lies when it is written
// in another unit than the declared one. Common practice, no source: combustion
// air has -20 to 35 degC, flue gas 40 to 250 degC, gas boilers of this size 50
// to 3000 kW.
type looks struct {
	field, declared, other string
	low, high              float64
}

var looksLike = []looks{
	{"air_temp", "degC", "degF", 38, 130}, {"air_temp", "degF", "degC", -20, 32},
	{"outdoor_temp", "degC", "degF", 38, 130}, {"air_temp", "degC", "K", 240, 320}, {"flue_temp", "degC", "K", 320, 600},
	{"flue_temp", "degC", "degF", 280, 319}, {"flue_temp", "degC", "degF", 601, 900}, {"flue_temp", "degF", "degC", 20, 85},
	{"co2", "%", "fraction", 0.02, 0.2}, {"o2", "%", "fraction", 0.001, 0.19}, {"co", "%", "ppm", 1, 1e6}, {"rate", "%", "fraction", 0.05, 1.2},
	{"input", "kW", "Btu/h", 1e5, 1e9}, {"input", "kW", "W", 5e4, 99999}, {"input", "MBH", "Btu/h", 5e4, 1e9}, {"input", "Btu/h", "MBH", 0, 3e4}, {"input", "Btu/h", "kW", 0, 3e4},
	{"vent_diameter", "in", "mm", 40, 2000}, {"vent_diameter", "mm", "in", 2, 39}, {"vent_diameter", "mm", "m", 0.02, 1.9}, {"vent_diameter", "cm", "mm", 75, 2000}, {"vent_diameter", "m", "mm", 40, 2000},
	{"vent_length", "m", "ft", 60, 400}, {"vent_length", "ft", "mm", 1200, 1e6}, {"vent_length", "m", "mm", 401, 1e6},
	{"supply_pressure", "kPa", "mbar", 8, 200}, {"supply_pressure", "mbar", "kPa", 0.3, 3.9}, {"supply_pressure", "Pa", "mbar", 5, 200},
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
		if b.Of.Kind == layout.CO && b.Basis == "unknown" && c.filled > 0 {
			say("column %q: CO of unknown basis is judged as measured and marked; declare basis if it is known", b.Header)
		}
	}
	if len(w.head.spare) > 0 {
		say("columns nobody maps: %s; declare them, or ignore = true", quoteList(w.head.spare))
	}
	if f.ExportDay == NoDay && f.Outcome == WasRead {
		say("the day of the export is not known: where another export contradicts a line of this one, neither counts")
	}
	return append(all, w.exchangedGases()...)
}

func columnHints(b bound, c *cellsSeen) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	middle := median(c.numbers)
	for _, k := range looksLike {
		if b.Field == k.field && b.Unit == k.declared && middle >= k.low && middle <= k.high && len(c.numbers) >= 3 {
			say("is declared in %q and looks like %q: half of its cells are below %.4g and half above", k.declared, k.other, middle)
			break
		}
	}
	if c.otherMark > 0 {
		say("holds %d cells that are numbers with decimal and thousands marks exchanged", c.otherMark)
	}
	switch {
	case c.exchanged > 0:
		other, _ := b.Days.Exchanged()
		say("looks like %s: %d days are possible only so, %d only as the declared %s", other.Pattern(), c.exchanged, c.declared, b.Days.Pattern())
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
			middle[b.Field] = median(w.cells[i].numbers)
		}
	}
	if co2, o2 := middle["co2"], middle["o2"]; co2 > 0 && o2 >= 7.5 && co2 < 6.5 {
		return []string{fmt.Sprintf("CO2 of about %.3g %% beside O2 of about %.3g %%: the two columns may be exchanged", co2, o2)}
	}
	return nil
}

// median is the middle value, NaN of none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(v))
	return s[len(s)/2]
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

package ingest

import (
	"strings"

	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// order watches whether days fit the declared order of day and month or only
// the other one. One day that fits the declared order alone settles it.
type order struct {
	columns []bound
	other   []parse.Days
	days    int // read
	failed  int // impossible or unreadable in the declared order
	both    int // failed in the other order too
	settled bool
	line    int
	text    string
}

func newOrder(h *head) *order {
	o := &order{}
	for _, b := range h.bound {
		if b.date && b.index >= 0 {
			other, _ := b.Days.Exchanged()
			o.columns = append(o.columns, b)
			o.other = append(o.other, other)
		}
	}
	o.settled = len(o.columns) == 0
	return o
}

func (o *order) look(ln *lines.Line) {
	if o.settled || ln.Fault != "" {
		return
	}
	for i, b := range o.columns {
		if b.index >= len(ln.Cells) || ln.StoredAs(b.index) == lines.AsDay {
			continue
		}
		text := parse.Trim(ln.Cells[b.index])
		if b.missing(text) {
			continue
		}
		_, _, declared := b.Days.Parse(text)
		_, _, exchanged := o.other[i].Parse(text)
		if unreadable(declared) && unreadable(exchanged) {
			continue // no day in either order: a footer, a word
		}
		o.days++
		switch {
		case declared == nil && exchanged != nil:
			o.settled = true
			return
		case declared != nil && exchanged != nil:
			o.both++
		case declared != nil:
			o.failed++
			if o.line == 0 {
				o.line, o.text = ln.Number, strings.Clone(text)
			}
		}
	}
}

func unreadable(f *parse.Fault) bool { return f != nil && f.Reason == parse.UnreadableDate }

// verdict refuses a file of which more than half of the days fail in the
// declared order and none in the other.
func (o *order) verdict() error {
	if o.settled || o.both > 0 || 2*o.failed <= o.days {
		return nil
	}
	other, _ := o.columns[0].Days.Exchanged()
	return lines.Refuse(lines.Contradicted, "%d of %d days are impossible when written %s, and all are possible when written %s; the "+
		"first is %q in line %d\ndeclare the order the export uses",
		o.failed, o.days, o.columns[0].Days.Pattern(), other.Pattern(), o.text, o.line)
}

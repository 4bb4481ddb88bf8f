package night

import (
	"fmt"
	"unicode/utf8"

	"fluedrift/ingest/mend"
	"fluedrift/queries"
)

// asideOf is what is known of the lines of one export that take no part, or not with
// all their cells.
type asideOf struct {
	mended  int64 // set aside, with a mended line in their place
	reasons []asideReason
}

// asideReason is one reason for which lines take no part.
type asideReason struct {
	reason, column string
	lines          int
	values         map[string]int // how often each value was the one that could not be read
}

// asideByFile gathers the lines that take no part by their exports.
func asideByFile(waiting []queries.SetAside, mended mend.Returned) map[string]*asideOf {
	all := map[string]*asideOf{}
	last := mend.Place{}
	for _, a := range waiting {
		at := mend.Place{File: a.File, Line: int(a.Line)}
		if a.Outcome == "accepted" || at == last {
			continue
		}
		last = at
		of := all[a.File]
		if of == nil {
			of = new(asideOf)
			all[a.File] = of
		}
		if _, ok := mended[at]; ok && !a.Cell() {
			if a.Outcome == "set aside" {
				of.mended++
			}
			continue
		}
		of.add(a)
	}
	return all
}

// mostReasons bounds what is kept of one export; there are fewer reasons, and a
// column of values that all differ has no common one.
const (
	mostReasons = 100
	mostValues  = 100
)

func (o *asideOf) add(a queries.SetAside) {
	for i := range o.reasons {
		if r := &o.reasons[i]; r.reason == a.Reason && r.column == a.Column {
			r.add(a.Value)
			return
		}
	}
	if len(o.reasons) < mostReasons {
		o.reasons = append(o.reasons, asideReason{reason: a.Reason, column: a.Column, values: map[string]int{}})
		o.reasons[len(o.reasons)-1].add(a.Value)
	}
}

func (r *asideReason) add(value string) {
	r.lines++
	if _, ok := r.values[value]; ok || len(r.values) < mostValues {
		r.values[value]++
	}
}

// cause is the commonest reason in words, with the value where one value is
// behind more than half of the lines.
func (o *asideOf) cause() string {
	var most *asideReason
	for i := range o.reasons {
		if r := &o.reasons[i]; most == nil || r.lines > most.lines {
			most = r
		}
	}
	if most == nil {
		return ""
	}
	text := most.reason
	if most.column != "" {
		text += fmt.Sprintf(" in column %q", most.column)
	}
	for value, lines := range most.values {
		if 2*lines > most.lines && value != "" {
			return text + fmt.Sprintf(": %q", shortValue(value))
		}
	}
	return text
}

// shortValue cuts a long text from outside.
func shortValue(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "..."
}

package ingest

import (
	"fmt"
	"slices"
	"time"

	"fluedrift/ingest/layout"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// beforeAll is the start of a period of a register that has none on record and no install
// day: before any boiler there is.
var beforeAll = day.Of(1900, time.January, 1)

// checkPeriod holds the period that a line of the register is of to its order, and begins
// one without a start with the install day. The end of one that says removed is the day of
// removal.
func (r losses) checkPeriod() *cellFault {
	if r.layout.Record != layout.Units || !r.layout.Has("valid_from") {
		return nil
	}
	at := func(name string) *value {
		return &r.base[slices.IndexFunc(layout.Fields(layout.Units), func(f layout.Field) bool { return f.Name == name })]
	}
	from, to, installed, state, removed := at("valid_from"), at("valid_to"), at("installed"), at("state"), at("removed")
	if !from.ok {
		*from = value{ok: true, day: beforeAll, minute: -1}
		if installed.ok {
			from.day = installed.day
		}
		r.marks = append(r.marks, "valid_from:missing")
	}
	if to.ok && to.day < from.day {
		return &cellFault{r.headerOf("valid_to"), iso(to.day), periodReversed, fmt.Sprintf("the period ends on %s, before it begins on %s",
			iso(to.day), iso(from.day))}
	}
	if state.text == string(judge.Removed) && to.ok && !removed.ok {
		*removed, *state = *to, value{} // until then it was there
	}
	return nil
}

// periodReversed is why a line of a register is set aside whose period ends before it begins.
const periodReversed = "period-reversed"

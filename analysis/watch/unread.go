package watch

import (
	"fmt"

	"fluedrift/model/judge"
)

// Unused is what the exports hold of a unit and could not be used: lines of
// readings that were set aside or are doubtful, and its line of the register.
type Unused struct {
	Lines    int    `json:"lines"`    // of readings
	First    string `json:"first"`    // file:line of the first of them
	Register string `json:"register"` // file:line of a register line set aside; "" where there is none
}

// unread reports whether nothing was read at any fire of a unit in the field.
// Nothing then says where its burner stands: it has no chance of being out of
// limits and stands in no tier that says so.
func (x *facts) unread() bool {
	return x.h.Unit.InRegister && !anyFire(x, func(f *FireLine) bool { return f.read() })
}

// noReading: nothing was read at any fire. The reason names why, where that is
// known: lines that could not be used, visits without a value, no visit at all.
func noReading(x *facts) finding {
	if !x.unread() {
		return finding{}
	}
	u := &x.h.Unit
	lost := x.rules.Unused[u.Serial]
	switch {
	case lost.Lines > 0:
		return finding{step: FixRecord, reason: fmt.Sprintf("No reading on record: %s of it could not be used, the first %s. Correct the record.", count(lost.Lines, "line"), lost.First)}
	case visitsSince(x.h, judge.NoDay, x.rules.AsOf):
		return finding{step: Phone, reason: fmt.Sprintf("No reading %s: last visited on %s, and no CO2 or O2 of a burner at work was written down. Ask for the values.",
			x.rules.onRecord(), DayWords(lastVisit(x.h, x.rules.AsOf)))}
	case u.Installed == judge.NoDay:
		return finding{step: Phone, reason: "No reading " + x.rules.onRecord() + ": no visit, and no install day. Ask whether it has been tested."}
	}
	return finding{step: Phone, reason: fmt.Sprintf("No reading %s: no visit since it was installed on %s. Ask whether it was tested at start-up on its own vent.", x.rules.onRecord(), DayWords(u.Installed))}
}

package watch

import (
	"fluedrift/model/day"
)

// Unused is what the exports hold of a unit and could not be used: lines of
// readings that were set aside or are doubtful, and its line of the register.
type Unused struct {
	Lines    int    `json:"lines"`    // of readings
	First    string `json:"first"`    // file:line of the first of them
	Register string `json:"register"` // file:line of a register line set aside; "" where there is none
}

// noReading: nothing was read at any fire. The reason names why, where that is
// known: lines that could not be used, visits without a value, no visit at all.
func noReading(x *facts) finding {
	if !x.unread() {
		return finding{}
	}
	u := &x.h.Unit
	lost := x.rules.Unused[u.Serial]
	if lost.Lines > 0 {
		return finding{group: AskFirst, after: BookSooner, reason: LinesUnusable{Unused: lost}}
	}
	never := NeverRead{LastVisit: day.None, Installed: u.Installed, NotRead: x.rules.NotRead}
	if visitsSince(x.h, day.None, x.rules.AsOf) {
		never.LastVisit = lastVisit(x.h, x.rules.AsOf)
	}
	if never.LastVisit == day.None && u.Installed != day.None && overdue(x) {
		return finding{group: TestOverdue, reason: never}
	}
	return finding{group: AskFirst, after: BookSooner, reason: never}
}

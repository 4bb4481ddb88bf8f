package watch

import (
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Unrecorded is a fire of which a visit did not record what was left.
type Unrecorded struct {
	Fire judge.Fire
	Read bool // it was read as found or between; false: nothing was written down
}

// unrecorded lists the fires of which the last routine visit did not record what was
// left: no as-left reading, and none as found that stands for it. Fires whose as-left
// reading is on no visit at all are named only where nothing was read: that nobody
// records what is left is a mark of its own. None where the visit is the last and wrote
// down no gas, which is another.
func unrecorded(x *facts) (missing []Unrecorded) {
	visit := lastRoutine(x.h, x.fires, x.rules)
	if visit < 0 || x.lastVisitWithoutGas() == &x.h.Visits[visit] {
		return nil
	}
	every := func(*judge.Reading) bool { return true }
	read := firesRead(x.h, x.rules, every)[visit]
	left := firesRead(x.h, x.rules, func(r *judge.Reading) bool { return tellsLeft(x.h, r, x.rules) })[visit]
	habit := conditions(x, true, false)
	for _, f := range x.fires {
		u := Unrecorded{f.Fire, read[f.Fire]}
		if left[f.Fire] || u.Read && habit || len(missing) > 0 && missing[len(missing)-1].Fire == f.Fire {
			continue
		}
		missing = append(missing, u)
	}
	return missing
}

// tellsLeft reports whether a reading tells what its fire was left at: it makes its
// visit a test of it, or was found so and recorded as not adjusted.
func tellsLeft(h *judge.History, r *judge.Reading, rules Config) bool {
	return testsFire(h, r, rules) || r.Condition == judge.AsFound && h.Visits[r.Visit].Adjusted(r.Fire) == judge.No
}

// notCounted is the last visit in the field where it is newer than the last routine
// visit and none itself, nil else.
func notCounted(x *facts) *judge.Visit {
	v := x.lastVisit()
	if v == nil || x.plan.LastRoutine != day.None && v.Day <= x.plan.LastRoutine || x.h.Elsewhere(v.Day, x.rules.AsOf) {
		return nil
	}
	return v
}

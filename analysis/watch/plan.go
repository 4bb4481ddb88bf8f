package watch

import (
	"slices"
	"time"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Plan says when a unit was last tested in full and when its next full test is
// due.
type Plan struct {
	LastFullTest day.Day // day.None: never
	PlannedDay   day.Day // day.None: no day on record to count from
	NeverTested  bool    // counted from the install day, else from the first record
	SinceMove    bool    // not tested since it moved: counted from there
}

// PlanOf finds a unit's last full test and its planned day.
//
// A full test is a visit in the field that has, for every fire of the unit, an
// as-left reading, or an as-found reading inside the setting band with
// adjustment not recorded as yes. The planned day is that day plus the
// interval, moved into the service months; without a full test where the unit stands
// now it counts from the day it moved, else from the install day, else from the first
// record.
func PlanOf(h *judge.History, rules Config) Plan {
	return planOf(h, fireLines(h, rules), rules)
}

func planOf(h *judge.History, fires []FireLine, rules Config) Plan {
	p := Plan{LastFullTest: lastFullTest(h, fires, rules), PlannedDay: day.None}
	from := p.LastFullTest
	if m := h.LastMove(rules.AsOf); from == day.None && m != nil {
		p.SinceMove, from = true, m.Day
	}
	if from == day.None {
		p.NeverTested = true
		if from = h.Unit.Installed; from == day.None {
			from = h.Unit.FirstDay
		}
		if h.Unit.BeforeRemoval(from) { // installed again: the day of that, where the register says it
			from = max(h.Unit.RemovedDay, h.Unit.StateFrom)
		}
	}
	if from == day.None {
		return p
	}
	p.PlannedDay = intoService(from.AddMonths(rules.IntervalMonths), rules.ServiceMonths)
	if p.PlannedDay <= from { // a short interval must not be moved back before its own start
		p.PlannedDay = nextService(from.AddMonths(rules.IntervalMonths), rules.ServiceMonths)
	}
	return p
}

// lastFullTest returns the day of the newest full test, day.None without one.
func lastFullTest(h *judge.History, fires []FireLine, rules Config) day.Day {
	tested := map[int]map[judge.Fire]bool{} // visit -> fires tested
	fieldReadings(h, rules.AsOf, func(r *judge.Reading) {
		if !testsFire(h, r, rules) {
			return
		}
		if tested[r.Visit] == nil {
			tested[r.Visit] = map[judge.Fire]bool{}
		}
		tested[r.Visit][r.Fire] = true
	})
	last := day.None
	for visit, done := range tested {
		if h.Visits[visit].Day > last && coversAll(done, fires) {
			last = h.Visits[visit].Day
		}
	}
	return last
}

// coversAll reports whether every fire is among those tested. Points count as
// one fire: which rates a technician stops at differs from visit to visit.
func coversAll(done map[judge.Fire]bool, fires []FireLine) bool {
	for _, f := range fires {
		if !done[f.Fire] {
			return false
		}
	}
	return len(fires) > 0
}

// testsFire reports whether a reading makes its visit a test of its fire.
func testsFire(h *judge.History, r *judge.Reading, rules Config) bool {
	if r.Visit < 0 || r.Visit >= len(h.Visits) || !hasGas(r) || rules.Judge.PerhapsNoBurner(r) || h.Elsewhere(r.Day, rules.AsOf) {
		return false
	}
	if tied := h.Tied(r); tied != nil {
		r = rules.Judge.MeanFound(tied)
	}
	switch r.Condition {
	case judge.AsLeft:
		return true
	case judge.AsFound:
		return h.Visits[r.Visit].Adjusted(r.Fire) != judge.Yes && compare(r, r.Target, rules.fuel(r.Fuel)).Beyond == 0
	}
	return false
}

// intoService moves a day outside the service months to the nearest day inside
// them, the earlier one where two are equally near. No service months: the day
// stays.
func intoService(day day.Day, months []time.Month) day.Day {
	if inService(day, months) {
		return day
	}
	before, after := previousService(day, months), nextService(day, months)
	if after-day < day-before {
		return after
	}
	return before
}

// inService reports whether a day is in a service month.
func inService(day day.Day, months []time.Month) bool {
	if len(months) == 0 {
		return true
	}
	m := day.Time().Month()
	return slices.Contains(months, m)
}

// nextService returns the first day of the next service month, or the day
// itself where it is in one.
func nextService(d day.Day, months []time.Month) day.Day {
	for i := 0; i < 12 && !inService(d, months); i++ {
		t := d.Time()
		d = day.Of(t.Year(), t.Month()+1, 1)
	}
	return d
}

// previousService returns the last day of the service month before, or the day
// itself where it is in one.
func previousService(d day.Day, months []time.Month) day.Day {
	for i := 0; i < 12 && !inService(d, months); i++ {
		t := d.Time()
		d = day.Of(t.Year(), t.Month(), 1) - 1
	}
	return d
}

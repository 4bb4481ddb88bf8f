package watch

import (
	"slices"
	"time"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Plan says when a unit had its last routine visit and when its next is due.
type Plan struct {
	LastRoutine day.Day // day.None: never, or not since it moved
	PlannedDay  day.Day // day.None: no day on record to count from
	NoRoutine   bool    // none on record: counted from the install day, else from the first record
	SinceMove   bool    // none since it moved: counted from there
}

// PlanOf finds a unit's last routine visit and its planned day.
//
// A routine visit is one in the field that the calendar asks for by its reason
// (start-up, annual, seasonal start), or one of any reason with a reading at every
// fire of the unit: common practice, no source. What it recorded beyond that decides
// nothing here; missingOf tells what is missing. The planned day is that day plus the
// interval, moved into the service months; without a routine visit where the unit
// stands now it counts from the day it moved, else from the install day, else from the
// first record.
func PlanOf(h *judge.History, rules Config) Plan {
	return planOf(h, fireLines(h, rules), rules)
}

func planOf(h *judge.History, fires []FireLine, rules Config) Plan {
	p := Plan{LastRoutine: day.None, PlannedDay: day.None}
	if v := lastRoutine(h, fires, rules); v >= 0 {
		p.LastRoutine = h.Visits[v].Day
	}
	from := p.LastRoutine
	if m := h.LastMove(rules.AsOf); from == day.None && m != nil {
		p.SinceMove, from = true, m.Day
	}
	if from == day.None {
		p.NoRoutine = true
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

// lastRoutine returns the index of the newest routine visit where the unit stands
// now, -1 without one.
func lastRoutine(h *judge.History, fires []FireLine, rules Config) int {
	read := firesRead(h, rules, func(*judge.Reading) bool { return true })
	for v := len(h.Visits) - 1; v >= 0; v-- {
		if inField(h, v, rules) && (h.Visits[v].Reason.Routine() || coversAll(read[v], fires)) {
			return v
		}
	}
	return -1
}

// inField reports whether a visit took place in the field up to the as-of day, where
// the unit stands now, and was of the unit and not of an earlier one with its serial.
func inField(h *judge.History, visit int, rules Config) bool {
	v := &h.Visits[visit]
	return v.Day <= rules.AsOf && v.Reason != judge.FactoryTest && !ofEarlierInstall(h, v.Day) && !h.Elsewhere(v.Day, rules.AsOf)
}

// firesRead returns the fires by visit at which a gas was read with the burner at work
// where the unit stands now, of the readings that count.
func firesRead(h *judge.History, rules Config, counts func(*judge.Reading) bool) map[int]map[judge.Fire]bool {
	read := map[int]map[judge.Fire]bool{}
	fieldReadings(h, rules.AsOf, func(r *judge.Reading) {
		if !readsFire(h, r, rules) || !counts(r) {
			return
		}
		if read[r.Visit] == nil {
			read[r.Visit] = map[judge.Fire]bool{}
		}
		read[r.Visit][r.Fire] = true
	})
	return read
}

// coversAll reports whether every fire is among those read. Points count as
// one fire: which rates a technician stops at differs from visit to visit.
func coversAll(read map[judge.Fire]bool, fires []FireLine) bool {
	for _, f := range fires {
		if !read[f.Fire] {
			return false
		}
	}
	return len(fires) > 0
}

// readsFire reports whether a reading has a gas of its fire with the burner at work,
// where the unit stands now.
func readsFire(h *judge.History, r *judge.Reading, rules Config) bool {
	return r.Visit >= 0 && r.Visit < len(h.Visits) && hasGas(r) && !rules.Judge.PerhapsNoBurner(r) && !h.Elsewhere(r.Day, rules.AsOf)
}

// testsFire reports whether a reading makes its visit a test of its fire: it was left
// so, or found inside the setting band with adjustment not recorded as yes. A visit
// that tests every fire is a full test.
func testsFire(h *judge.History, r *judge.Reading, rules Config) bool {
	if !readsFire(h, r, rules) {
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

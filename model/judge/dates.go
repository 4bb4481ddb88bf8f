package judge

import (
	"strings"

	"fluedrift/model/day"
)

// EarlierInstall is the mark of a reading of the boiler that had the serial
// before the one that has it now.
const EarlierInstall = "earlier-install"

// OutsidePeriod is the mark of a reading whose day lies outside the year, quarter or
// month that the name of its file or sheet tells.
const OutsidePeriod = "day:outside-the-name"

// dateCheck finds days and orders that cannot be right.
type dateCheck struct{ *checker }

// dates finds readings whose day cannot be right, or whose order is not known:
// before the unit was installed (a factory test is so by right), a factory
// test after it, outside the period its file is of, and two visits of one day without times that tell them apart.
func (c dateCheck) dates(s *series) {
	for k := range s.visits() {
		c.installDay(s, s.visit(k))
		c.period(s, s.visit(k))
		if k > 0 {
			c.sameDay(s, s.visit(k-1), s.visit(k))
		}
	}
}

// installDay holds a visit against the install day.
func (c dateCheck) installDay(s *series, visit []int) {
	x := &c.h.Readings[visit[0]]
	installed, reason := c.h.Unit.Installed, c.h.Visits[x.Visit].Reason
	if installed == day.None || x.Day == day.None {
		return
	}
	if strings.Contains(x.Marks, EarlierInstall) {
		for _, i := range visit {
			c.lower(i, LeftOut) // of the boiler that had the serial before: no date is wrong
		}
		return
	}
	var facts Facts
	switch {
	case reason != FactoryTest && x.Day < installed:
		facts = BeforeInstall{}
	case reason == FactoryTest && x.Day > installed:
		facts = LateFactoryTest{}
	default:
		return
	}
	for _, i := range visit {
		c.lower(i, LeftOut)
	}
	c.add(s, Finding{Kind: DateDisorder, Readings: visit, Facts: facts})
}

// period finds readings whose day is not in the period that the name of their file or
// sheet tells. One of the two is wrong: such a day is nothing to measure drift by, and
// what was read may still be the last that is known of the unit.
func (c dateCheck) period(s *series, visit []int) {
	var outside []int
	for _, i := range visit {
		if strings.Contains(c.h.Readings[i].Marks, OutsidePeriod) {
			c.lower(i, StateOnly)
			outside = append(outside, i)
		}
	}
	if len(outside) > 0 {
		c.add(s, Finding{Kind: DateDisorder, Readings: outside, Facts: OutsideName{}})
	}
}

// sameDay holds two visits in a row against each other. Where nobody knows
// which came first neither is in the fit, and the later in the record is the
// unit's state.
func (c dateCheck) sameDay(s *series, earlier, later []int) {
	x, y := &c.h.Readings[earlier[0]], &c.h.Readings[later[0]]
	told := x.Minute >= 0 && y.Minute >= 0 && x.Minute != y.Minute
	if x.Day != y.Day || told || c.repeats(earlier, later) {
		return
	}
	for _, i := range earlier {
		c.lower(i, LeftOut)
	}
	for _, i := range later {
		c.lower(i, StateOnly)
	}
	c.add(s, Finding{Kind: DateDisorder, Readings: append(append([]int(nil), earlier...), later...), Facts: OrderNotKnown{}})
}

// repeats reports whether every reading of the later visit is a double of one
// of the earlier.
func (c dateCheck) repeats(earlier, later []int) bool {
	for _, i := range later {
		found := false
		for _, j := range earlier {
			x, y := &c.h.Readings[i], &c.h.Readings[j]
			found = found || x.Condition == y.Condition && double(x, y)
		}
		if !found {
			return false
		}
	}
	return true
}

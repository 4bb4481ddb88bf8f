package estimate_test

import (
	"cmp"
	"math"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// The order of lists before there were groups: by tiers of urgency, inside a tier by a
// chance in steps. Of it stands here what decides among the units that are compared;
// its tiers above and beside them (CO urgent, fuel and analyzer in doubt, no target, no
// reading) are not.

// Tiers from the top.
const (
	tierOutside  = iota + 1 // probably outside its action band now
	tierLeft                // left outside the setting band
	tierUntested            // not tested since its vent or fuel changed
	tierCO                  // CO for attention
	tierAhead               // expected to leave its action band before the planned day
	tierOverdue             // full test overdue
	tierNoCO                // CO of the last visit not read
	tierPlan                // left to plan
)

// tierKey is what a unit was put in order by.
type tierKey struct {
	tier    int
	co      float64 // in steps of 10 ppm, for the tier that it leads
	chance  float64 // in steps of .05: today's in the first tier, else the worst
	side    int
	overdue int32 // days since the planned day of the full test, for its tier
	input   float64
	idle    int32 // days since the last full test
	serial  string
}

// compare is negative where a stood above b.
func (a *tierKey) compare(b *tierKey) int {
	return cmp.Or(
		cmp.Compare(a.tier, b.tier),
		cmp.Compare(b.co, a.co),
		cmp.Compare(b.chance, a.chance),
		cmp.Compare(a.side, b.side),
		cmp.Compare(b.overdue, a.overdue),
		cmp.Compare(b.input, a.input),
		cmp.Compare(b.idle, a.idle),
		cmp.Compare(a.serial, b.serial),
	)
}

// tierOf puts a unit into its tier.
func tierOf(h *judge.History, l *watch.Line, rules watch.Config) tierKey {
	k := tierKey{serial: h.Unit.Serial, input: h.Unit.InputKW, idle: math.MaxInt32, side: 2}
	last := lastFullTest(h, l, rules)
	planned := l.PlannedDay
	if last != day.None {
		k.idle, planned = int32(rules.AsOf-last), last.AddMonths(rules.IntervalMonths)
	}
	today, ahead := decidedChances(l.Forecast)
	switch {
	case today.Out() >= rules.OutProbability:
		k.tier, k.side = tierOutside, sideNumber(watch.SideOf(today))
	case leftOff(l):
		k.tier, k.side = tierLeft, sideNumber(l.Side)
	case untested(l):
		k.tier = tierUntested
	case l.CO.Level == watch.COAttention || l.Ground == watch.COForAttention:
		k.tier, k.co = tierCO, math.Round(l.CO.AirFreePPM/10)
	case ahead.Out() >= rules.OutProbability:
		k.tier, k.side = tierAhead, sideNumber(watch.SideOf(ahead))
	case planned < rules.AsOf:
		k.tier, k.overdue = tierOverdue, int32(rules.AsOf-planned)
	case l.Ground == watch.CONotRead:
		k.tier = tierNoCO
	default:
		k.tier = tierPlan
	}
	chance := l.WorstOutProbability
	if k.tier == tierOutside {
		chance = l.OutProbability
	}
	if !math.IsNaN(chance) {
		k.chance = math.Round(20 * chance)
	}
	return k
}

// decidedChances are the largest of today and until the planned day at the fires where
// analyzer and burner can be told apart.
func decidedChances(f *analysis.Forecast) (today, ahead analysis.Probability) {
	for i := range f.Fires {
		x := &f.Fires[i]
		if x.Suspect != nil && x.Suspect.Verdict != analysis.OutEitherWay {
			continue
		}
		if x.Today.Out() > today.Out() {
			today = x.Today
		}
		for _, p := range []analysis.Probability{x.Today, x.Planned, x.Worst} {
			if p.Out() > ahead.Out() {
				ahead = p
			}
		}
	}
	return today, ahead
}

func sideNumber(s watch.Side) int {
	switch s {
	case watch.Rich:
		return 0
	case watch.Lean:
		return 1
	}
	return 2
}

// leftOff tells whether a fire was left outside its setting band.
func leftOff(l *watch.Line) bool {
	for i := range l.Fires {
		f := &l.Fires[i]
		alone := f.Forecast != nil && f.Forecast.Suspect != nil && f.Forecast.Suspect.Verdict != analysis.OutEitherWay
		if !f.SetNotRecorded && !f.OtherFuel && f.BeyondPoints > 0 && !alone {
			return true
		}
	}
	return false
}

// untested tells whether a fire was not read since its vent or fuel changed.
func untested(l *watch.Line) bool {
	for _, r := range l.Reasons {
		if _, is := r.(watch.UntestedSince); is {
			return true
		}
	}
	return false
}

// lastFullTest is the last visit in the field with an as-left reading at every fire, or
// an as-found one inside the setting band that was not adjusted.
func lastFullTest(h *judge.History, l *watch.Line, rules watch.Config) day.Day {
	tested := map[int]map[judge.Fire]bool{}
	for i := range h.Readings {
		x := &h.Readings[i]
		d := rules.Judge.Deviation(x)
		if h.Visits[x.Visit].Reason == judge.FactoryTest || x.Day > rules.AsOf || math.IsNaN(d) {
			continue
		}
		set := rules.Judge.Setting(&x.Target, x.Fuel)
		kept := x.Condition == judge.AsFound && h.Visits[x.Visit].Adjusted(x.Fire) != judge.Yes && d >= set.Lean && d <= set.Rich
		if x.Condition != judge.AsLeft && !kept {
			continue
		}
		if tested[x.Visit] == nil {
			tested[x.Visit] = map[judge.Fire]bool{}
		}
		tested[x.Visit][x.Fire] = true
	}
	last := day.None
	for visit, fires := range tested {
		all := len(l.Fires) > 0
		for i := range l.Fires {
			all = all && fires[l.Fires[i].Fire]
		}
		if all {
			last = max(last, h.Visits[visit].Day)
		}
	}
	return last
}

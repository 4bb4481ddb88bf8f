package watch

import (
	"math"
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Foot is why a line stands at the foot of the list.
type Foot int

// The reasons.
const (
	NoFoot       Foot = iota // it stands on the list proper
	FootAnswered             // by Line.Answer
	FootIsolated             // nothing to visit until it is put back
)

// LineOf finds a unit's tier, next step, reasons, planned day and marks. The
// judgement is of the history by the rules' Judge. History, judgement and forecast
// are kept, not copied; the forecast is nil where the records alone decide.
func LineOf(h *judge.History, j *judge.Judgement, r Config, f *analysis.Forecast) Line {
	x := &facts{h: h, rules: r, judged: j, fires: fireLines(h, r), forecast: f}
	x.plan = planOf(h, x.fires, r)
	x.unused = openUnusedCO(h, x.fires, r)
	x.unrecorded = unrecorded(x)
	x.answer, x.lapsed = answerInForce(h, x.plan, r)
	for i := range x.fires {
		x.fires[i].Forecast = forecastAt(f, x.fires[i].Fire, x.fires[i].RatePercent)
	}
	l := Line{
		Unit: h.Unit, Plan: x.plan, Fires: x.fires, Forecast: f, judged: j, Unrecorded: x.unrecorded, LastVisit: lastVisit(h, r.AsOf),
		DaysSinceRoutine: -1, AskedSince: day.None, CO: CO{AirFreePPM: math.NaN(), Day: day.None},
		OutProbability: math.NaN(), WorstOutProbability: math.NaN(),
	}
	if x.plan.LastRoutine != day.None {
		l.DaysSinceRoutine = int32(r.AsOf - x.plan.LastRoutine)
	}
	if x.plan.PlannedDay != day.None {
		l.DaysOverdue = int32(r.AsOf - x.plan.PlannedDay)
	}
	if w := worstCO(x.fires); w != nil {
		l.CO, l.COFire = w.CO, FireAt{w.Fire, w.RatePercent}
	}
	takeUnusedCO(&l, x)
	if h.Unit.State == judge.Removed && (h.Unit.StateFrom == day.None || max(l.LastVisit, newestDanger(x.unused)) <= h.Unit.StateFrom) {
		l.Removed = true
	}
	l.classify(x)
	l.Marks = marksOf(x)
	l.atFoot(x)
	rising(&l, x)
	missingCO(&l, x)
	checkFirst(&l, x)
	l.doubted = recordFindings(x)
	l.newPlace = ventOfPlace(h, r.AsOf)
	return l
}

// classify tries the tiers from the top. The second reason is what the line's
// state asks for, else what the next tier that applies has to say; of a unit
// without a reading, what the tiers say that it cannot stand in.
func (l *Line) classify(x *facts) {
	var second Reason
	unread := x.unread()
	for _, e := range tierTable {
		if !x.h.Unit.InRegister && !e.unregistered {
			continue
		}
		f := e.test(x)
		if f.reason == nil {
			continue
		}
		if unread && !e.unread && !f.unread {
			if second == nil && e.tier < ToPlan {
				second = f.reason
			}
			continue
		}
		if l.Tier == 0 {
			l.Tier, l.TierWords, l.Step, l.Side = e.tier, x.rules.words(e.tier), f.step, f.side
			l.Reasons = append(l.Reasons, f.reason)
			continue
		}
		if e.tier < ToPlan && !(l.Tier == ProbablyOutside && e.tier == ExpectedOutside) { // outside now is ahead too
			second = f.reason
			break
		}
	}
	if state := stateReason(l, x); state != nil {
		second = state
	}
	if lapsed := l.lapsed(x); lapsed != nil {
		second = lapsed
	}
	if second != nil {
		l.Reasons = append(l.Reasons, second)
	}
	if x.rules.CommonCause != "" && slices.Contains(fleetwide, l.Tier) {
		l.Step, l.CommonCause = Phone, true
	}
	l.chance(x)
}

// stateReason is what a unit's state adds; a removed unit that was read since
// is a matter for the record.
func stateReason(l *Line, x *facts) Reason {
	u := x.h.Unit
	switch {
	case u.State == judge.Removed && !l.Removed:
		if l.Tier > COUrgentNow {
			l.Step = FixRecord
		}
		return ReadSinceRemoved{}
	case l.Tier == COUrgentNow || l.Tier == ToPlan:
		return nil
	case u.State == judge.OffForTheSeason, u.State == judge.Standby:
		return OutOfUse{State: u.State}
	}
	return nil
}

// chance takes over what the forecast says of the unit, today and at the worst
// until its planned day, and the likelier side of the one that the order goes by.
func (l *Line) chance(x *facts) {
	l.Benefit, _ = x.forecast.Benefit(x.rules.AsOf, l.PlannedDay, x.rules.Visit)
	f, now := worstFire(x.forecast, today)
	if f == nil {
		return
	}
	_, worst := worstFire(x.forecast, ahead)
	l.OutProbability, l.WorstOutProbability = now.Out(), worst.Out()
	if l.Tier != ProbablyOutside {
		now = worst
	}
	if l.Side == NoSide && now.Out() >= x.rules.outProbability() {
		l.Side = SideOf(now)
	}
}

// lastVisit returns the day of the newest visit in the field.
func lastVisit(h *judge.History, asOf day.Day) day.Day {
	last := day.None
	for _, v := range h.Visits {
		if v.Day <= asOf && v.Day > last && v.Reason != judge.FactoryTest && !ofEarlierInstall(h, v.Day) {
			last = v.Day
		}
	}
	return last
}

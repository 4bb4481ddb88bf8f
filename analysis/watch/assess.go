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
	NoFoot        Foot = iota // it stands on the list proper
	FootAnswered              // by Line.Answer
	FootIsolated              // nothing to visit until it is put back
	FootOffSeason             // nothing burns until it is started again
)

// LineOf finds a unit's group, reasons, planned day and marks. The
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
	x.benefit, _ = f.Benefit(r.AsOf, x.plan.PlannedDay, r.Visit)
	l := Line{
		Unit: h.Unit, Plan: x.plan, Benefit: x.benefit, Fires: x.fires, Forecast: f, judged: j,
		Unrecorded: x.unrecorded, LastVisit: lastVisit(h, r.AsOf),
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
	l.GroupWords = r.words(l.Group)
	rising(&l, x)
	missingCO(&l, x)
	checkFirst(&l, x)
	l.doubted = recordFindings(x)
	l.newPlace = ventOfPlace(h, r.AsOf)
	return l
}

// held is a ground that holds of a unit.
type held struct {
	ground Ground
	finding
}

// classify puts a line into the first group that a ground of it asks for, with that
// ground's reason. The second reason is what the line's state asks for, else what the
// next ground has to say.
func (l *Line) classify(x *facts) {
	all, beside := groundsOf(x)
	l.Group = groupFor(all)
	first := slices.IndexFunc(all, func(h held) bool { return h.group == l.Group })
	l.Ground, l.Side = all[first].ground, all[first].side
	l.Reasons = []Reason{all[first].reason}
	l.CommonCause = x.rules.CommonCause != "" && slices.Contains(fleetwide, l.Ground)
	_, booked := bookLine(x)
	l.StillBooked = booked && l.Group == BookSooner && math.Round(x.benefit.Days) < x.rules.BookDays

	second := secondReason(all, first)
	if below, is := second.(BelowLine); is && l.Group < TestOverdue {
		second = below.Of // it is seen to all the same, whatever a visit avoids
	}
	if second == nil {
		second = beside
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
	for i, r := range l.Reasons {
		if below, is := r.(BelowLine); is {
			l.Reasons[i] = below.lookAhead(x)
		}
	}
	l.chance(x)
}

// groundsOf are the grounds that hold of a unit, in the order of the table, which ends with
// one that always does; and of a unit without a reading the first reason that would
// hold if it had been read.
func groundsOf(x *facts) (all []held, beside Reason) {
	unread := x.unread()
	for _, e := range groundTable {
		if !x.h.Unit.InRegister && !e.unregistered {
			continue
		}
		f := e.test(x)
		if f.reason == nil {
			continue
		}
		if unread && !e.unread && !f.unread && e.ground != ToPlan {
			if beside == nil {
				beside = f.reason
			}
			continue
		}
		if x.rules.CommonCause != "" && f.group == BookSooner && slices.Contains(fleetwide, e.ground) {
			f.group = AskFirst
		}
		all = append(all, held{e.ground, f})
	}
	return all, beside
}

// groupFor is the first group that a ground asks for. One that comes after a group
// does not ask where another asks for that or an earlier one.
func groupFor(all []held) Group {
	first := CanWait
	for _, h := range all {
		if h.after == 0 {
			first = min(first, h.group)
		}
	}
	asked := first
	for _, h := range all {
		if h.after != 0 && first > h.after {
			asked = min(asked, h.group)
		}
	}
	return asked
}

// secondReason is the reason of the next ground beside the first that says something
// else: that a burner is out now says that it is ahead, and that a visit avoids enough.
func secondReason(all []held, first int) Reason {
	forecast := []Ground{ProbablyOutside, ExpectedOutside, EnoughAvoided}
	for k, h := range all {
		same := slices.Contains(forecast, h.ground) && slices.Contains(forecast, all[first].ground)
		if k == first || h.ground == ToPlan || same {
			continue
		}
		return h.reason
	}
	return nil
}

// stateReason is what a unit's state adds; a removed unit that was read since
// is a matter for the record.
func stateReason(l *Line, x *facts) Reason {
	u := x.h.Unit
	switch {
	case u.State == judge.Removed && !l.Removed:
		if l.Ground != COUrgentNow {
			l.Group = AskFirst
		}
		return ReadSinceRemoved{}
	case l.Ground == COUrgentNow || l.Ground == ToPlan:
		return nil
	case u.State == judge.OffForTheSeason, u.State == judge.Standby:
		return OutOfUse{State: u.State}
	}
	return nil
}

// chance takes over what the forecast says of the unit, today and at the worst
// until its planned day, and the likelier side of the one that brings it forward.
func (l *Line) chance(x *facts) {
	f, now := worstFire(x.forecast, today)
	if f == nil {
		return
	}
	_, worst := worstFire(x.forecast, ahead)
	l.OutProbability, l.WorstOutProbability = now.Out(), worst.Out()
	if l.Ground == ExpectedOutside || l.Ground == EnoughAvoided {
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

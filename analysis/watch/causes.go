package watch

import (
	"slices"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// The functions of this file are tests of the table of grounds.

// coUrgent: the newest CO on record at any fire is urgent, or one on a record
// that could not be used.
func coUrgent(x *facts) finding {
	f := worstCO(x.fires)
	if f == nil || f.CO.Level != COUrgent {
		return urgentInState(x, x.unusedFinding(COUrgent, x.rules.COUrgentPPM))
	}
	from := x.rules.COUrgentPPM
	if f.CO.NoBand || f.CO.LowRich {
		from = x.rules.COAttentionPPM
	}
	return urgentInState(x, finding{group: GoToday, reason: COFound{Fire: f, FromPPM: from, AsOf: x.rules.AsOf}, side: f.Side})
}

// urgentInState says what the state of a unit makes of an urgent CO.
func urgentInState(x *facts, f finding) finding {
	if f.reason != nil && (x.h.Unit.State == judge.Isolated || x.h.Unit.State == judge.OffForTheSeason) {
		f.group = AskFirst
	}
	return f
}

// fuelInDoubt: what was left at a fire, time after time, fits another fuel
// better than the unit's own; or the newest CO2 is more than its fuel can give,
// or was computed for another fuel.
func fuelInDoubt(x *facts) finding {
	fuel := x.rules.fuel(x.h.Unit.Fuel)
	for i := range x.fires {
		f := &x.fires[i]
		if f.OtherFuel || f.Reading == nil {
			continue
		}
		if excess := f.Reading.CO2Percent - fuel.CO2MaxPercent; fuel.Declared() && excess > x.rules.Judge.OverCO2MaxPoints+rounding {
			return finding{group: AskFirst, reason: OverFuel{Fire: f, Fuel: fuel.Name, CO2MaxPercent: fuel.CO2MaxPercent}}
		}
	}
	for _, d := range x.judged.Findings {
		if d.Kind == judge.FuelLabel && x.stillSo(d) {
			return labelFinding(x, d)
		}
	}
	return otherSetting(x)
}

// labelFinding says that a unit is set as another fuel is set.
func labelFinding(x *facts, d judge.Finding) finding {
	last := &x.h.Readings[d.Readings[len(d.Readings)-1]]
	reason := SetAsOther{Last: last, Readings: len(d.Readings), OtherFuel: d.OtherFuel}
	return finding{group: AskFirst, reason: reason, side: compare(last, last.Target, x.rules.fuel(last.Fuel)).Side}
}

// probablyOutside: the forecast has a fire outside its action band today.
func probablyOutside(x *facts) finding {
	f, c := worstFire(x.forecast, decided(today))
	if f == nil || c.Out() < x.rules.outProbability() {
		return finding{}
	}
	return sooner(x, finding{reason: OutNow{Fire: f, Chance: c}, side: SideOf(c)})
}

// leftOutside: a fire was left, or last found and left so, outside its setting
// band.
func leftOutside(x *facts) finding {
	f := worstLeft(x.fires)
	if f == nil {
		return finding{}
	}
	reason := LeftOff{Fire: f, Doubt: x.found(x.doubtOf(f))}
	for i := range x.fires {
		if o := &x.fires[i]; o != f && !o.SetNotRecorded && o.BeyondPoints > 0 && !o.displayedAlone() {
			reason.Others = append(reason.Others, o)
		}
	}
	if reason.Doubt != nil || f.LeftFar {
		return finding{group: AskFirst, reason: reason, side: f.Side}
	}
	return sooner(x, finding{reason: reason, side: f.Side})
}

// notTestedSince: at some fire nothing was read since the unit moved, or the vent or
// the fuel changed.
func notTestedSince(x *facts) finding {
	if f := untestedAfterMove(x); f.reason != nil {
		return f
	}
	if f := untestedSince(x, currentVent(x), ""); f.reason != nil {
		return f
	}
	return untestedSince(x, currentFuel(x), x.h.Unit.Fuel)
}

// change is the day from which something is as it is now; uncertainFrom is the
// last day on which it was still known to be different, day.None where the day is
// known.
type change struct {
	from, uncertainFrom day.Day
	changed             bool
	moved               *judge.Move // the unit itself, to another place; nil where it stayed
}

// currentVent returns the newest known vent run; a run that is not known is a
// gap in the register, not a change of the vent.
func currentVent(x *facts) change {
	c, known := change{}, 0
	for _, v := range x.h.VentRuns {
		if v.Known && v.From <= x.rules.AsOf {
			c = change{from: v.From, uncertainFrom: v.UncertainFrom, changed: known > 0}
			known++
		}
	}
	return c
}

func currentFuel(x *facts) change {
	c := change{}
	for i, f := range x.h.Fuels {
		if f.From <= x.rules.AsOf {
			c = change{from: f.From, uncertainFrom: f.UncertainFrom, changed: i > 0}
		}
	}
	return c
}

// untestedSince finds the fire whose newest reading is older than a change, of the
// vent run or to a fuel.
func untestedSince(x *facts, c change, fuel string) finding {
	if !c.changed {
		return finding{}
	}
	for i := range x.fires {
		f := &x.fires[i]
		if f.Reading != nil && f.Reading.Day >= c.from {
			continue
		}
		reason := UntestedSince{Fire: f, Moved: c.moved, Fuel: fuel, From: c.from, UncertainFrom: c.uncertainFrom}
		if reason.Perhaps() {
			return finding{group: AskFirst, reason: reason}
		}
		return finding{group: BookSooner, reason: reason}
	}
	return finding{}
}

// coForAttention: the newest CO at a fire is at the attention level, or one on a
// record that could not be used.
func coForAttention(x *facts) finding {
	f := worstCO(x.fires)
	if f == nil || f.CO.Level != COAttention {
		return x.unusedFinding(COAttention, x.rules.COAttentionPPM)
	}
	return finding{group: BookSooner, reason: COFound{Fire: f, FromPPM: x.rules.COAttentionPPM, AsOf: x.rules.AsOf}, side: f.Side}
}

// expectedOutside: the forecast has a fire leave its action band before the
// planned day.
func expectedOutside(x *facts) finding {
	f, c := worstFire(x.forecast, decided(ahead))
	if f == nil || c.Out() < x.rules.outProbability() {
		return finding{}
	}
	return sooner(x, finding{reason: OutAhead{Fire: f, Worst: c}, side: SideOf(c)})
}

// lastUnconfirmed: the last reading of a fire is unconfirmed, and one of the two ways
// to take it is outside.
func lastUnconfirmed(x *facts) finding {
	if x.forecast == nil {
		return finding{}
	}
	for i := range x.forecast.Fires {
		f := &x.forecast.Fires[i]
		if f.Unconfirmed != nil && f.Unconfirmed.LargerOut >= x.rules.outProbability() {
			return finding{group: AskFirst, reason: Unconfirmed{Fire: f}, side: SideOf(f.Today)}
		}
	}
	return finding{}
}

// readAgain: the last reading was made with an analyzer that stands far off those
// before it, and where the unit stands depends on which of them is right.
func readAgain(x *facts) finding {
	for i := range x.fires {
		f := &x.fires[i]
		if f.Forecast == nil || !f.Forecast.Open() || f.Reading == nil {
			continue
		}
		return finding{group: AskFirst, reason: SuspectAnalyzer{Fire: f}}
	}
	return finding{}
}

// overdue reports whether the planned day has passed.
func overdue(x *facts) bool {
	return x.plan.PlannedDay != day.None && x.plan.PlannedDay < x.rules.AsOf
}

// testOverdue: the planned day has passed without a routine visit.
func testOverdue(x *facts) finding {
	if !overdue(x) {
		return finding{}
	}
	reason := Overdue{Plan: x.plan, AsOf: x.rules.AsOf, NotRead: x.rules.NotRead, Since: notCounted(x)}
	reason.NoGas = reason.Since != nil && x.lastVisitWithoutGas() == reason.Since
	return finding{group: TestOverdue, reason: reason}
}

// noTarget: at some fire there is nothing to hold the readings against.
func noTarget(x *facts) finding {
	if !x.h.Unit.InRegister {
		if line := x.rules.Unused[x.h.Unit.Serial].Register; line != "" {
			return finding{group: AskFirst, reason: RegisterLineAside{Origin: line}}
		}
		return finding{group: AskFirst, reason: NotInRegister{}}
	}
	for i := range x.fires {
		f := &x.fires[i]
		switch {
		case !HasTarget(f.Target):
			return untargeted(x, NoTargetDeclared{Unit: &x.h.Unit, Fire: f})
		case !hasBand(*f):
			return untargeted(x, NoBandDeclared{Fire: f})
		}
	}
	if len(x.fires) == 0 {
		return finding{group: AskFirst, reason: NoTargetDeclared{Unit: &x.h.Unit}}
	}
	return finding{}
}

// untargeted asks for the target of one fire; where the others are judged, what they
// show comes first.
func untargeted(x *facts, reason Reason) finding {
	f := finding{group: AskFirst, reason: reason}
	if slices.ContainsFunc(x.fires, hasBand) {
		f.after = BookSooner
	}
	return f
}

// toPlan: nothing in the records brings it forward.
func toPlan(x *facts) finding {
	if x.plan.PlannedDay == day.None {
		return finding{group: AskFirst, reason: NothingDue{PlannedDay: day.None, NotRead: x.rules.NotRead}}
	}
	return finding{group: CanWait, reason: NothingDue{PlannedDay: x.plan.PlannedDay, NotRead: x.rules.NotRead}}
}

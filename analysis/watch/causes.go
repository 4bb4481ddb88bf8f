package watch

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis"
	"fluedrift/model/judge"
)

// The functions of this file are the tests of the tier table, in its order.

// coUrgent: the newest CO on record at any fire is urgent, or one on a record
// that could not be used.
func coUrgent(x *facts) finding {
	f := worstCO(x.fires)
	if f == nil || f.CO.Level != COUrgent {
		return urgentInState(x, x.unusedFinding(COUrgent, x.rules.COUrgentPPM))
	}
	reason := fmt.Sprintf("%s: %s on %s", upper(f.Label()), f.CO.Words, DayWords(f.CO.Day))
	if f.CO.Scarce {
		reason += ", with next to no oxygen left: the burner may be rich of stoichiometric, and a CO2 in band shows nothing"
	} else if f.CO.NoBand {
		reason += fmt.Sprintf(", at low fire of a unit whose setting band nobody knows: rich of it that is urgent from %s ppm", plain(x.rules.COAttentionPPM))
	} else if f.CO.LowRich {
		reason += fmt.Sprintf(", and rich of its setting band: at low fire that is urgent from %s ppm", plain(x.rules.COAttentionPPM))
	} else {
		reason += fmt.Sprintf(", urgent from %s ppm", plain(x.rules.COUrgentPPM))
	}
	reason += ageWords(f.CO.Day, x.rules.AsOf)
	if f.COOlder {
		reason += "; no CO recorded at this fire since"
	}
	return urgentInState(x, finding{step: GoToday, reason: reason + ".", side: f.Side})
}

// urgentInState says what the state of a unit makes of an urgent CO.
func urgentInState(x *facts, f finding) finding {
	if f.reason == "" {
		return f
	}
	said := strings.TrimSuffix(f.reason, ".")
	switch x.h.Unit.State {
	case "isolated":
		f.step, f.reason = Phone, said+"; recorded as isolated: make sure that it stays so until it is seen."
	case "off for the season":
		f.step, f.reason = Phone, said+"; recorded as off for the season: it must be seen before it is started again."
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
			return finding{step: Phone, reason: fmt.Sprintf(
				"%s read %s on %s, more than %s can give (%s %%): wrong in the record or at the analyzer; phone first, then go.",
				upper(f.Label()), GasWords(f.Reading), DayWords(f.Reading.Day), fuel.Name, plain(fuel.CO2MaxPercent))}
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
	reason := fmt.Sprintf("%s: %s up to %s, the last at %s, lie nearer to the target of %s than to the %s of %s:"+
		" wrong in the record, at the analyzer or at the burner; phone first, then go.",
		upper(fireLabel(last.Fire, last.RatePercent)), count(len(d.Readings), "as left"), DayWords(last.Day), GasWords(last), d.OtherFuel, TargetWords(last.Target), last.Fuel)
	return finding{step: Phone, reason: reason, side: compare(last, last.Target, x.rules.fuel(last.Fuel)).Side}
}

// stillSo reports whether a doubt about the fuel is open and concerns today's
// fuel and the newest as left of its fire, those apart whose gas is in doubt.
func (x *facts) stillSo(d judge.Finding) bool {
	last := &x.h.Readings[d.Readings[len(d.Readings)-1]]
	if !d.Open || last.Fuel != x.h.Unit.Fuel || last.Day > x.rules.AsOf {
		return false
	}
	newest := last
	fieldReadings(x.h, x.rules.AsOf, func(r *judge.Reading) {
		if r.Condition == judge.AsLeft && hasGas(r) && !x.inDoubt(r) && sameFire(r.Fire, r.RatePercent, last.Fire, last.RatePercent) {
			newest = r
		}
	})
	return newest == last
}

// probablyOutside: the forecast has a fire outside its action band today.
func probablyOutside(x *facts) finding {
	f, c := worstFire(x.forecast, decided(today))
	if f == nil || c.Out() < x.rules.outProbability() {
		return finding{}
	}
	reason := forecastWords(f, fmt.Sprintf("%s likely out of limits today", percent(c.Out())), c)
	if f.Verify != nil {
		reason += " " + verifyWords(f)
	}
	return finding{step: BringForward, reason: reason, side: sideOf(c)}
}

// forecastWords says where a fire is expected today and how likely it is out of
// limits, which likely says, with the likelier side of that chance.
func forecastWords(f *analysis.FireForecast, likely string, c analysis.Chance) string {
	words := fmt.Sprintf("%s is expected at %s %% CO2 today (%s to %s), target %s: %s",
		upper(fireLabel(f.Fire, f.RatePercent)), number(f.CO2Percent, 1), number(f.LowPercent, 1), number(f.HighPercent, 1),
		gasNumber(f.TargetCO2Percent), likely)
	if side := sideOf(c); side != NoSide {
		return fmt.Sprintf("%s, more likely %s.", words, side)
	}
	return words + "."
}

// worstWords says how likely a fire is out of limits today, and at worst before its
// planned visit.
func worstWords(f *analysis.FireForecast, worst analysis.Chance) string {
	return fmt.Sprintf("%s likely out of limits today, %s at worst before its planned visit (%s)",
		percent(f.Today.Out()), percent(worst.Out()), DayWords(worst.Day))
}

func verifyWords(f *analysis.FireForecast) string {
	v := f.Verify
	return fmt.Sprintf("Its last reading, %s %% CO2 on %s where about %s was to be expected, is unconfirmed: the reading or the burner.",
		number(v.ReadPercent, 1), DayWords(v.Day), number(v.ExpectedPercent, 1))
}

// leftOutside: a fire was left, or last found and left so, outside its setting
// band.
func leftOutside(x *facts) finding {
	f := worstLeft(x.fires)
	if f == nil {
		return finding{}
	}
	out := finding{step: BringForward, reason: leftWords(f), side: f.Side}
	for i := range x.fires {
		if o := &x.fires[i]; o != f && !o.SetNotRecorded && o.BeyondPoints > 0 && !o.displayedAlone() {
			out.reason += fmt.Sprintf(" %s too: %s %s.", upper(o.Label()), number(math.Abs(o.Points), pointDecimals(o)), o.Side)
		}
	}
	if d := x.doubtOf(f); d != nil {
		out.step = Phone
		out.reason += " " + upper(d.Words) + "; ask for the record first."
	} else if f.LeftFar {
		out.step = Phone
		out.reason += " Hardly left so on purpose: ask for the record first, then go."
	}
	return out
}

// notTestedSince: at some fire nothing was read since the unit moved, or the vent or
// the fuel changed.
func notTestedSince(x *facts) finding {
	if f := untestedAfterMove(x); f.reason != "" {
		return f
	}
	if f := untestedSince(x, currentVent(x), "the vent run changed"); f.reason != "" {
		return f
	}
	if f := untestedSince(x, currentFuel(x), "the fuel changed to "+x.h.Unit.Fuel); f.reason != "" {
		return f
	}
	return finding{}
}

// change is the day from which something is as it is now; uncertainFrom is the
// last day on which it was still known to be different, NoDay where the day is
// known.
type change struct {
	from, uncertainFrom int32
	changed             bool
	moved               bool // the unit itself, to another place
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

// untestedSince names the fire whose newest reading is older than a change.
func untestedSince(x *facts, c change, what string) finding {
	if !c.changed {
		return finding{}
	}
	for i := range x.fires {
		f := &x.fires[i]
		if f.Reading != nil && f.Reading.Day >= c.from {
			continue
		}
		last := "never read"
		switch {
		case f.Reading == nil && c.moved:
			last = "not read there"
		case f.Reading != nil:
			last = "last read on " + DayWords(f.Reading.Day)
		}
		if c.uncertainFrom == judge.NoDay {
			return finding{step: BringForward, reason: fmt.Sprintf("Not tested since %s on %s (%s %s).", what, DayWords(c.from), f.Label(), last)}
		}
		known := fmt.Sprintf("between %s and %s", DayWords(c.uncertainFrom), DayWords(c.from))
		if f.Reading != nil && f.Reading.Day > c.uncertainFrom {
			return finding{step: Phone, reason: fmt.Sprintf("May not have been tested since %s, some day %s (%s %s): ask when that was.", what, known, f.Label(), last)}
		}
		return finding{step: BringForward, reason: fmt.Sprintf("Not tested since %s, some day %s (%s %s).", what, known, f.Label(), last)}
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
	reason := fmt.Sprintf("%s: %s on %s, for attention from %s ppm", upper(f.Label()), f.CO.Words, DayWords(f.CO.Day), plain(x.rules.COAttentionPPM))
	if f.COOlder {
		reason += "; no CO recorded at this fire since"
	}
	return finding{step: BringForward, reason: reason + ".", side: f.Side}
}

// expectedOutside: the forecast has a fire leave its action band before the
// planned day, or the last reading is unconfirmed and one of the two ways to
// take it is outside.
func expectedOutside(x *facts) finding {
	if f, c := worstFire(x.forecast, decided(ahead)); f != nil && c.Out() >= x.rules.outProbability() {
		reason := forecastWords(f, worstWords(f, c), c)
		if f.FirstOutside != "" {
			reason += " Expected to leave its limits " + f.FirstOutside + "."
		}
		return finding{step: BringForward, reason: reason, side: sideOf(c)}
	}
	if x.forecast == nil {
		return finding{}
	}
	for i := range x.forecast.Fires {
		f := &x.forecast.Fires[i]
		if f.Verify != nil && f.Verify.LargerOut >= x.rules.outProbability() {
			return finding{step: Phone, reason: upper(fireLabel(f.Fire, f.RatePercent)) + ". " + verifyWords(f), side: sideOf(f.Today)}
		}
	}
	return finding{}
}

// displayedAlone reports whether a fire stands off its target by the display of an
// analyzer that is suspect, and not whichever analyzer is right.
func (l *FireLine) displayedAlone() bool {
	return l.Forecast != nil && l.Forecast.Suspect != nil && l.Forecast.Suspect.Verdict != analysis.OutEitherWay
}

// readAgain: the last reading was made with an analyzer that stands far off those
// before it, and where the unit stands depends on which of them is right.
func readAgain(x *facts) finding {
	for i := range x.fires {
		f := &x.fires[i]
		if f.Forecast == nil || !f.Forecast.Open() || f.Reading == nil {
			continue
		}
		s := f.Forecast.Suspect
		return finding{step: Phone, reason: fmt.Sprintf("%s read %s on %s with analyzer %s, which reads %s points of CO2 %s what read these units before: analyzer or burner, not separable. Have it read with another analyzer before anything is set.",
			upper(f.Label()), GasWords(f.Reading), DayWords(f.Reading.Day), s.Analyzer, number(math.Abs(s.Points), 2), aboveOrBelow(s.Points))}
	}
	return finding{}
}

func aboveOrBelow(points float64) string {
	if points < 0 {
		return "below"
	}
	return "above"
}

// testOverdue: the planned day has passed.
func testOverdue(x *facts) finding {
	if x.plan.PlannedDay == judge.NoDay || x.plan.PlannedDay >= x.rules.AsOf {
		return finding{}
	}
	late := span(x.rules.AsOf - x.plan.PlannedDay)
	reason := fmt.Sprintf("Last full test on %s, planned for %s: %s overdue.", DayWords(x.plan.LastFullTest), DayWords(x.plan.PlannedDay), late)
	if w := x.plan.untested(x.rules); w != "" {
		reason = fmt.Sprintf("%s; it was due by %s: %s overdue.", w, DayWords(x.plan.PlannedDay), late)
	}
	if v := x.lastVisitWithoutGas(); v != nil {
		reason += fmt.Sprintf(" Visited on %s, and no CO2 or O2 was written down.", DayWords(v.Day))
	}
	return finding{step: BringForward, reason: reason}
}

// noTarget: at some fire there is nothing to hold the readings against.
func noTarget(x *facts) finding {
	if !x.h.Unit.InRegister {
		if line := x.rules.Unused[x.h.Unit.Serial].Register; line != "" {
			return finding{step: FixRecord, reason: fmt.Sprintf("Its line of the register, %s, was set aside: only its CO is judged until that line is corrected.", line)}
		}
		return finding{step: FixRecord, reason: "Serial not in the register: only its CO is judged. Correct the serial in the record or add the unit to the register."}
	}
	for i := range x.fires {
		f := &x.fires[i]
		switch {
		case !hasTarget(f.Target):
			return finding{step: FixRecord, reason: fmt.Sprintf("No target declared for %s at %s: only its CO is judged there.",
				declaredFor(&x.h.Unit), f.Label())}
		case !hasBand(*f):
			return finding{step: FixRecord, reason: fmt.Sprintf("Target %s at %s has no setting band: nothing to judge it by but CO.", TargetWords(f.Target), f.Label())}
		}
	}
	if len(x.fires) == 0 {
		return finding{step: FixRecord, reason: noTargetWords(&x.h.Unit)}
	}
	return finding{}
}

// noTargetWords says that a unit has no target at any fire.
func noTargetWords(u *judge.Unit) string { return "No target declared for " + declaredFor(u) + "." }

// declaredFor says what a target would be declared for; a unit without a model
// line or a fuel on record can have none.
func declaredFor(u *judge.Unit) string {
	line, fuel := fmt.Sprintf("model line %q", u.ModelLine), fmt.Sprintf("%q", u.Fuel)
	if u.ModelLine == "" {
		line = "a unit whose model line is not in the register"
	}
	if u.Fuel == "" {
		fuel = "a fuel not in the register"
	}
	return line + " on " + fuel
}

// toPlan: nothing in the records brings it forward.
func toPlan(x *facts) finding {
	if x.plan.PlannedDay == judge.NoDay {
		return finding{step: FixRecord, reason: "Nothing " + x.rules.whereRead() + " brings it forward, but there is no day to plan from: no full test, no install day."}
	}
	return finding{step: LeaveToPlan, reason: fmt.Sprintf("Nothing %s brings it forward; planned for %s.", x.rules.whereRead(), DayWords(x.plan.PlannedDay))}
}

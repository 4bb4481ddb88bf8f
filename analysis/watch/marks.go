package watch

import (
	"math"
	"slices"
	"strings"

	"fluedrift/model/judge"
)

// Marks of a line: what it lacks or rests on.
const (
	MarkNoReading       = "no reading on record"
	MarkNotInRegister   = "not in register"
	MarkRegisterDiffers = "register lines contradict"
	MarkReadSince       = "recorded as removed, read since"
	MarkNoTarget        = "no target"
	MarkNoBand          = "no setting band"
	MarkBandDerived     = "action band derived"
	MarkConfigured      = "target from configuration"
	MarkFuelUnknown     = "CO2max of fuel not declared"
	MarkVentUnknown     = "vent unknown"
	MarkMoved           = "moved, not read since"
	MarkVentDayUnknown  = "vent change day unknown"
	MarkOneFire         = "one fire only"
	MarkAsLeftOnly      = "as left only"
	MarkAsFoundOnly     = "as found only"
	MarkSetNotRecorded  = "set, not recorded"
	MarkNoGas           = "last visit without CO2 and O2"
	MarkNoAnalyzer      = "no analyzer id"
	MarkCOUnused        = "CO on a record that could not be used"
	MarkCOUnreadable    = "CO unreadable"
	MarkCONotRead       = "CO of the last visit not read"
	MarkNoCO            = "CO not recorded"
	MarkCOBasis         = "CO basis unknown"
	MarkCOAsMeasured    = "CO not made air-free"
	MarkCOAnyFuel       = "CO air-free by the highest CO2max"
	MarkFromO2          = "CO2 from O2"
	MarkBeforeInstall   = "before install"
	MarkSerialAgain     = "serial used before"
	MarkFromWet         = "dry gas from wet"
	MarkScientific      = "value in scientific notation"
	MarkAnswerLapsed    = "answer lapsed"
	MarkNeverTested     = "never fully tested"
)

// markTest is a mark with the fact it stands for and, where the mark means that
// something cannot be judged, the sentence of the summary about it. The table
// drives the marks of a line, the summary and the list of marks.
type markTest struct {
	mark     string
	sentence string
	holds    func(*facts) bool
}

var markTable = []markTest{
	{MarkNotInRegister, "their serial is not in the register: only their CO is judged", func(x *facts) bool { return !x.h.Unit.InRegister }},
	{MarkRegisterDiffers, "register lines of one day, or those of two sources on install day or model line, contradict each other: one unit, or two of one serial", func(x *facts) bool { return x.h.Unit.RegisterConflict }},
	{MarkReadSince, "", func(x *facts) bool { return x.h.Unit.State == stateRemoved }},
	{MarkNoReading, "no reading from the field is on record: they have no chance of being out", func(x *facts) bool { return !anyFire(x, func(f *FireLine) bool { return f.read() }) }},
	{MarkNoTarget, "no target is declared for a fire: only CO is judged there", func(x *facts) bool {
		return len(x.fires) == 0 || anyFire(x, func(f *FireLine) bool { return !HasTarget(f.Target) })
	}},
	{MarkNoBand, "a target has no setting band: what was left cannot be judged", func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return HasTarget(f.Target) && !hasBand(*f) })
	}},
	{MarkFuelUnknown, "CO2max of their fuel is not declared: O2 and CO2 are not converted", func(x *facts) bool {
		return x.h.Unit.InRegister && !x.rules.fuel(x.h.Unit.Fuel).Declared()
	}},
	{MarkVentUnknown, "the vent's length is not on record: its part in a deviation cannot be told", func(x *facts) bool { return !ventKnown(x) }},
	{MarkMoved, "nothing was read at a fire since they moved: what was read before says nothing of their setting now", notReadSinceMove},
	{MarkVentDayUnknown, "", func(x *facts) bool { c := currentVent(x); return c.changed && c.uncertainFrom != judge.NoDay }},
	{MarkOneFire, "readings exist at one fire only, where another is to be expected: the other is not judged", oneFireOnly},
	{MarkAsLeftOnly, "only as-left readings are on record: what the burner had drifted to before each visit cannot be told", func(x *facts) bool { return conditions(x, false, true) }},
	{MarkAsFoundOnly, "only as-found readings are on record: what was left cannot be told", func(x *facts) bool { return conditions(x, true, false) }},
	{MarkSetNotRecorded, "a fire was adjusted and what was left is not recorded", func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.SetNotRecorded })
	}},
	{MarkNoGas, "their last visit wrote down neither CO2 nor O2: whether the burner was set, and to what, is not known", func(x *facts) bool { return x.lastVisitWithoutGas() != nil }},
	{MarkNoAnalyzer, "no analyzer id stands by the newest readings: an analyzer that reads wrong cannot be told from a burner", noAnalyzer},
	{MarkCOUnused, "CO for attention or more stands on a record of theirs that could not be used: correct it first", func(x *facts) bool { return worstUnused(x.unused) != nil }},
	{MarkCOUnreadable, "CO on a record of theirs cannot be read: correct it", func(x *facts) bool {
		return slices.ContainsFunc(x.unused, func(u UnusedCO) bool { return u.unreadable() })
	}},
	{MarkCONotRead, "their last visit recorded no CO at a fire it read, or nothing at all: its CO is not known", func(x *facts) bool { _, _, missing := x.lastVisitWithoutCO(); return missing }},
	{MarkNoCO, "no CO is on record at a fire that was read", func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.read() && f.CO.Level == COUnknown && !f.COLeast && !f.COSettled })
	}},
	{MarkCOBasis, "the basis of CO is not known: it is taken as measured and converted", func(x *facts) bool { return newestCO(x, "unknown") }},
	{MarkCOAsMeasured, "CO could not be made air-free: it may be higher than shown", func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.COLeast })
	}},
	{MarkCOAnyFuel, "the fuel behind a CO read with CO2 alone is not known: the highest CO2max of all fuels makes it air-free, and it is no higher than shown", func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.CO.AnyFuel })
	}},
	{MarkFromO2, "", func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.Reading != nil && math.IsNaN(f.Reading.CO2Percent) })
	}},
	{MarkBandDerived, "", func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool {
			return hasBand(*f) && math.IsNaN(f.Target.ActRich) && math.IsNaN(f.Target.ActLean)
		})
	}},
	{MarkConfigured, "", func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.Target.Origin == "configuration" })
	}},
	{MarkBeforeInstall, "", func(x *facts) bool {
		return slices.ContainsFunc(x.h.Readings, func(r judge.Reading) bool { return strings.Contains(r.Marks, "before-install") })
	}},
	{MarkSerialAgain, "", func(x *facts) bool {
		return slices.ContainsFunc(x.h.Readings, func(r judge.Reading) bool { return strings.Contains(r.Marks, judge.EarlierInstall) })
	}},
	{MarkFromWet, "", func(x *facts) bool { return newestMarked(x, ":from-wet") }},
	{MarkScientific, "", func(x *facts) bool { return newestMarked(x, ":scientific-notation") }},
	{MarkAnswerLapsed, "an answer has lapsed without a visit since: they stand on the list proper again", func(x *facts) bool { return x.lapsed != nil }},
	{MarkNeverTested, "no full test is on record: their planned day counts from the install day", func(x *facts) bool { return x.plan.NeverTested }},
}

// newestMarked reports whether the newest reading of a fire was accepted with a
// mark of that kind.
func newestMarked(x *facts, kind string) bool {
	return anyFire(x, func(f *FireLine) bool { return f.Reading != nil && strings.Contains(f.Reading.Marks, kind) })
}

// States of a unit on the register that change what is asked.
const (
	stateRemoved  = "removed"
	stateIsolated = "isolated"
	stateOff      = "off for the season"
	stateStandby  = "standby"
)

// marksOf returns the marks of a unit in the order of the table, then those of
// the forecast.
func marksOf(x *facts) []string {
	var marks []string
	for _, m := range markTable {
		if m.holds(x) {
			marks = append(marks, m.mark)
		}
	}
	marks = append(marks, findingMarks(x)...)
	if x.forecast == nil {
		return marks
	}
	extra := slices.Clone(x.forecast.Marks)
	for _, f := range x.forecast.Fires {
		extra = append(extra, f.Marks...)
	}
	for _, m := range extra {
		if !slices.Contains(marks, m) {
			marks = append(marks, m)
		}
	}
	return marks
}

// read reports whether anything was read at a fire in the field.
func (f *FireLine) read() bool {
	return f.Reading != nil || f.CO.Level != COUnknown || f.COSettled
}

func anyFire(x *facts, holds func(*FireLine) bool) bool {
	for i := range x.fires {
		if holds(&x.fires[i]) {
			return true
		}
	}
	return false
}

// ventKnown reports whether a vent run of known length is in force on the as-of
// day.
func ventKnown(x *facts) bool {
	known := false
	for _, v := range x.h.VentRuns {
		if v.From <= x.rules.AsOf {
			known = v.Known && !math.IsNaN(v.LengthM)
		}
	}
	return known
}

// oneFireOnly reports whether a unit was read at one fire where its firing or
// its targets speak of more.
func oneFireOnly(x *facts) bool {
	if len(x.fires) != 1 || !x.fires[0].read() || x.fires[0].Fire == judge.Single {
		return false
	}
	if x.h.Unit.Firing == "on-off" {
		return false
	}
	if x.h.Unit.Firing != "" {
		return true
	}
	return slices.ContainsFunc(x.h.Targets, func(t judge.FireTarget) bool { return t.Fire != x.fires[0].Fire })
}

// conditions reports whether as-found and as-left readings exist exactly as
// asked, over all fires.
func conditions(x *facts, found, left bool) bool {
	var haveFound, haveLeft bool
	for _, f := range x.fires {
		haveFound = haveFound || f.asFound > 0
		haveLeft = haveLeft || f.asLeft > 0
	}
	return (found || left) && haveFound == found && haveLeft == left
}

// noAnalyzer reports whether the newest readings name no analyzer.
func noAnalyzer(x *facts) bool {
	any := false
	for _, f := range x.fires {
		if f.Reading == nil {
			continue
		}
		if f.Reading.Analyzer != "" {
			return false
		}
		any = true
	}
	return any
}

// newestCO reports whether the newest CO of a fire has a basis.
func newestCO(x *facts, basis string) bool {
	return anyFire(x, func(f *FireLine) bool { return f.CO.Level != COUnknown && f.CO.Basis == basis })
}

package watch

import (
	"math"
	"slices"
	"strings"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Mark is something that a line lacks or rests on.
type Mark struct {
	analysis.Mark
	Finding judge.Kind // of MarkFinding
}

// Kinds of marks beside those of a forecast.
const (
	MarkNoReading       analysis.MarkKind = "no-reading"
	MarkNotInRegister   analysis.MarkKind = "not-in-register"
	MarkRegisterDiffers analysis.MarkKind = "register-differs"
	MarkReadSince       analysis.MarkKind = "read-since"
	MarkNoTarget        analysis.MarkKind = "no-target"
	MarkNoBand          analysis.MarkKind = "no-band"
	MarkBandDerived     analysis.MarkKind = "band-derived"
	MarkConfigured      analysis.MarkKind = "configured"
	MarkFuelUnknown     analysis.MarkKind = "fuel-unknown"
	MarkVentUnknown     analysis.MarkKind = "vent-unknown"
	MarkMoved           analysis.MarkKind = "moved"
	MarkVentDayUnknown  analysis.MarkKind = "vent-day-unknown"
	MarkOneFire         analysis.MarkKind = "one-fire"
	MarkAsLeftOnly      analysis.MarkKind = "as-left-only"
	MarkAsFoundOnly     analysis.MarkKind = "as-found-only"
	MarkSetNotRecorded                    = analysis.MarkSetNotRecorded
	MarkNoGas           analysis.MarkKind = "no-gas"
	MarkNoAnalyzer      analysis.MarkKind = "no-analyzer"
	MarkCOUnused        analysis.MarkKind = "co-unused"
	MarkCOUnreadable    analysis.MarkKind = "co-unreadable"
	MarkCONotRead       analysis.MarkKind = "co-not-read"
	MarkNoCO            analysis.MarkKind = "no-co"
	MarkCOBasis         analysis.MarkKind = "co-basis"
	MarkCOAsMeasured    analysis.MarkKind = "co-as-measured"
	MarkCOAnyFuel       analysis.MarkKind = "co-any-fuel"
	MarkFromO2          analysis.MarkKind = "from-o2"
	MarkBeforeInstall   analysis.MarkKind = "before-install"
	MarkSerialAgain     analysis.MarkKind = "serial-again"
	MarkFromWet         analysis.MarkKind = "from-wet"
	MarkScientific      analysis.MarkKind = "scientific"
	MarkAnswerLapsed    analysis.MarkKind = "answer-lapsed"
	MarkNoRoutine       analysis.MarkKind = "no-routine"
	MarkUnrecorded      analysis.MarkKind = "unrecorded" // of the last routine visit: Line.Unrecorded
	MarkFinding         analysis.MarkKind = "finding"    // of the newest readings: Mark.Finding
)

// markTest is a kind of marks with the fact it stands for. The table drives the marks
// of a line and the order of the summary.
type markTest struct {
	mark  analysis.MarkKind
	holds func(*facts) bool
}

var markTable = []markTest{
	{MarkNotInRegister, func(x *facts) bool { return !x.h.Unit.InRegister }},
	{MarkRegisterDiffers, func(x *facts) bool { return x.h.Unit.RegisterConflict }},
	{MarkReadSince, func(x *facts) bool { return x.h.Unit.State == judge.Removed }},
	{MarkNoReading, func(x *facts) bool { return !anyFire(x, func(f *FireLine) bool { return f.read() }) }},
	{MarkNoTarget, func(x *facts) bool {
		return len(x.fires) == 0 || anyFire(x, func(f *FireLine) bool { return !HasTarget(f.Target) })
	}},
	{MarkNoBand, func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return HasTarget(f.Target) && !hasBand(*f) })
	}},
	{MarkFuelUnknown, func(x *facts) bool {
		return x.h.Unit.InRegister && !x.rules.fuel(x.h.Unit.Fuel).Declared()
	}},
	{MarkVentUnknown, func(x *facts) bool { return !ventKnown(x) }},
	{MarkMoved, notReadSinceMove},
	{MarkVentDayUnknown, func(x *facts) bool { c := currentVent(x); return c.changed && c.uncertainFrom != day.None }},
	{MarkOneFire, oneFireOnly},
	{MarkAsLeftOnly, func(x *facts) bool { return conditions(x, false, true) }},
	{MarkAsFoundOnly, func(x *facts) bool { return conditions(x, true, false) }},
	{MarkSetNotRecorded, func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.SetNotRecorded })
	}},
	{MarkNoGas, func(x *facts) bool { return x.lastVisitWithoutGas() != nil }},
	{MarkNoAnalyzer, noAnalyzer},
	{MarkCOUnused, func(x *facts) bool { return worstUnused(x.unused) != nil }},
	{MarkCOUnreadable, func(x *facts) bool {
		return slices.ContainsFunc(x.unused, func(u UnusedCO) bool { return u.Unreadable() })
	}},
	{MarkCONotRead, func(x *facts) bool { _, _, missing := x.lastVisitWithoutCO(); return missing }},
	{MarkNoCO, func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.read() && f.CO.Level == COUnknown && !f.COLeast && !f.COSettled })
	}},
	{MarkCOBasis, func(x *facts) bool { return newestCO(x, "unknown") }},
	{MarkCOAsMeasured, func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.COLeast })
	}},
	{MarkCOAnyFuel, func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.CO.AnyFuel })
	}},
	{MarkFromO2, func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.Reading != nil && math.IsNaN(f.Reading.CO2Percent) })
	}},
	{MarkBandDerived, func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool {
			return hasBand(*f) && math.IsNaN(f.Target.ActRich) && math.IsNaN(f.Target.ActLean)
		})
	}},
	{MarkConfigured, func(x *facts) bool {
		return anyFire(x, func(f *FireLine) bool { return f.Target.Origin == "configuration" })
	}},
	{MarkBeforeInstall, func(x *facts) bool {
		return slices.ContainsFunc(x.h.Readings, func(r judge.Reading) bool { return strings.Contains(r.Marks, "before-install") })
	}},
	{MarkSerialAgain, func(x *facts) bool {
		return slices.ContainsFunc(x.h.Readings, func(r judge.Reading) bool { return strings.Contains(r.Marks, judge.EarlierInstall) })
	}},
	{MarkFromWet, func(x *facts) bool { return newestMarked(x, ":from-wet") }},
	{MarkScientific, func(x *facts) bool { return newestMarked(x, ":scientific-notation") }},
	{MarkAnswerLapsed, func(x *facts) bool { return x.lapsed != nil }},
	{MarkNoRoutine, func(x *facts) bool { return x.plan.NoRoutine }},
	{MarkUnrecorded, func(x *facts) bool { return len(x.unrecorded) > 0 }},
}

// newestMarked reports whether the newest reading of a fire was accepted with a
// mark of that kind.
func newestMarked(x *facts, kind string) bool {
	return anyFire(x, func(f *FireLine) bool { return f.Reading != nil && strings.Contains(f.Reading.Marks, kind) })
}

// marksOf returns the marks of a unit in the order of the table, then those of its
// newest readings' findings and of the forecast.
func marksOf(x *facts) []Mark {
	var marks []Mark
	for _, m := range markTable {
		if m.holds(x) {
			marks = append(marks, Mark{Mark: analysis.Mark{Kind: m.mark}})
		}
	}
	marks = append(marks, findingMarks(x)...)
	if x.forecast == nil {
		return marks
	}
	for _, f := range x.forecast.Fires {
		for _, m := range f.Marks {
			if mark := (Mark{Mark: m}); !slices.Contains(marks, mark) {
				marks = append(marks, mark)
			}
		}
	}
	return marks
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

package demo

import (
	"fluedrift/model/judge"
	"math"
)

// exportedFrom returns from when a change between the two register exports is
// known, and since when it is uncertain: its recorded day; else the only visit
// with the given reason in between; else the day of the later export, uncertain
// from the earlier one.
func (f *Fleet) exportedFrom(recorded int32, reason string, entries []*entry) (from, uncertain int32, pinned bool) {
	days := f.registerDays()
	if recorded != noDay {
		return recorded, noDay, false
	}
	visits := 0
	for _, e := range entries {
		if e.v.reason == reason && e.v.day > days[0] && e.v.day <= days[1] {
			visits++
			from = e.v.day
		}
	}
	if visits == 1 {
		return from, noDay, true
	}
	return days[1], days[0], false
}

// ventRuns are a unit's vent runs as the register shows them.
func (f *Fleet) ventRuns(u *unit, entries []*entry) []judge.VentRun {
	var out []judge.VentRun
	for i := range u.runs {
		v := &u.runs[i]
		x := judge.VentRun{From: noDay, Until: noDay, UncertainFrom: noDay, Known: true,
			DiameterM: v.diameterIn * metresPerInch, LengthM: v.recordedFt * metresPerFoot, RiseM: v.riseFt * metresPerFoot,
			Elbows90: v.elbows90, Elbows45: v.elbows45, Terminal: v.terminal, Material: v.material, AirFrom: v.airFrom,
			IntakeDiameterM: math.NaN(), IntakeLengthM: math.NaN(), IntakeElbows90: -1, IntakeElbows45: -1, CommonVent: u.commonVentOn(max(v.from, u.installed))}
		if v.airFrom == "own run" {
			x.IntakeDiameterM, x.IntakeLengthM, x.IntakeElbows90, x.IntakeElbows45 = v.intakeIn*metresPerInch, v.intakeFt*metresPerFoot, v.intake90, v.intake45
		}
		if i > 0 {
			x.From, x.UncertainFrom, x.Pinned = f.exportedFrom(v.recordedFrom, "vent altered", entries)
			out[i-1].Until = x.From
		}
		out = append(out, x)
	}
	return out
}

// fuelPeriods are a unit's fuels as the register shows them.
func (f *Fleet) fuelPeriods(u *unit, entries []*entry) []judge.FuelPeriod {
	var out []judge.FuelPeriod
	for i := range u.fuels {
		x := judge.FuelPeriod{From: noDay, Until: noDay, UncertainFrom: noDay, Fuel: u.labelOf(u.fuels[i].fuel)}
		if i > 0 {
			x.From, x.UncertainFrom, x.Pinned = f.exportedFrom(u.fuels[i].recordedFrom, "fuel conversion", entries)
			out[i-1].Until = x.From
		}
		out = append(out, x)
	}
	return out
}

// runAt returns the run of a day and whether it might be the next one.
func runAt(runs []judge.VentRun, day int32) (int, bool) {
	for i := len(runs) - 1; i > 0; i-- {
		if day >= runs[i].From {
			return i, false
		}
		if runs[i].UncertainFrom != noDay && day > runs[i].UncertainFrom {
			return i - 1, true
		}
	}
	return 0, false
}

// fuelAt returns the fuel of a day and whether it might be the next one.
func fuelAt(fuels []judge.FuelPeriod, day int32) (string, bool) {
	for i := len(fuels) - 1; i > 0; i-- {
		if day >= fuels[i].From {
			return fuels[i].Fuel, false
		}
		if fuels[i].UncertainFrom != noDay && day > fuels[i].UncertainFrom {
			return fuels[i-1].Fuel, true
		}
	}
	return fuels[0].Fuel, false
}

// modelLineName is the name of the model line export.
func (f *Fleet) modelLineName() string { return "model_lines_" + iso(f.registerDays()[1]) + ".csv" }

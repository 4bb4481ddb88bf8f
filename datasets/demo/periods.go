package demo

import (
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// ExportedFrom returns from when a change between the two register exports is
// known, and since when it is uncertain: its recorded day; else the only visit
// with the given reason in between; else the day of the later export, uncertain
// from the earlier one.
func (reg *registry) ExportedFrom(recorded day.Day, reason judge.Reason, entries []*Entry) (from, uncertain day.Day, pinned bool) {
	days := reg.RegisterDays()
	if recorded != day.None {
		return recorded, day.None, false
	}
	visits := 0
	for _, e := range entries {
		if e.Visit.Reason == reason && e.Visit.Day > days[0] && e.Visit.Day <= days[1] {
			visits++
			from = e.Visit.Day
		}
	}
	if visits == 1 {
		return from, day.None, true
	}
	return days[1], days[0], false
}

// FuelPeriods are a unit's fuels as the register shows them.
func (reg *registry) FuelPeriods(u *Unit, entries []*Entry) []judge.FuelPeriod {
	var out []judge.FuelPeriod
	for i := range u.fuels {
		x := judge.FuelPeriod{From: day.None, Until: day.None, UncertainFrom: day.None, Fuel: u.labelOf(u.fuels[i].fuel)}
		if i > 0 {
			x.From, x.UncertainFrom, x.Pinned = reg.ExportedFrom(u.fuels[i].recordedFrom, judge.FuelConversion, entries)
			out[i-1].Until = x.From
		}
		out = append(out, x)
	}
	return out
}

// FuelAt returns the fuel of a day and whether it might be the next one.
func FuelAt(fuels []judge.FuelPeriod, d day.Day) (string, bool) {
	for i := len(fuels) - 1; i > 0; i-- {
		if d >= fuels[i].From {
			return fuels[i].Fuel, false
		}
		if fuels[i].UncertainFrom != day.None && d > fuels[i].UncertainFrom {
			return fuels[i-1].Fuel, true
		}
	}
	return fuels[0].Fuel, false
}

// ModelLineFile is the name of the model line export.
func (reg *registry) ModelLineFile() string {
	return "model_lines_" + iso(reg.RegisterDays()[1]) + ".csv"
}

package hindsight

import (
	"slices"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// clip returns a history without what a register states of days after a day: the
// first export of a register stands for the days before it too, and may tell of
// states, vents and fuels that came later. Targets are looked up anew where the
// fuel was another one.
func clip(h *judge.History, d day.Day, targetOf judge.LineTargets) *judge.History {
	out := *h
	if u := &out.Unit; u.StateFrom != day.None && u.StateFrom > d {
		u.State, u.StateFrom = judge.InService, day.None
	}
	out.VentRuns = slices.Clone(h.VentRuns)
	out.VentRuns = slices.DeleteFunc(out.VentRuns, func(r judge.VentRun) bool { return r.From != day.None && r.From > d })
	if n := len(out.VentRuns); n > 0 && out.VentRuns[n-1].Until > d {
		out.VentRuns[n-1].Until = day.None
	}
	out.Fuels = slices.Clone(h.Fuels)
	out.Fuels = slices.DeleteFunc(out.Fuels, func(p judge.FuelPeriod) bool { return p.From != day.None && p.From > d })
	if n := len(out.Fuels); n > 0 {
		if out.Fuels[n-1].Until > d {
			out.Fuels[n-1].Until = day.None
		}
		if fuel := out.Fuels[n-1].Fuel; fuel != out.Unit.Fuel {
			out.Unit.Fuel, out.Targets = fuel, targetsOn(h, fuel, d, targetOf)
		}
	}
	return &out
}

// targetsOn are the targets of another fuel at the fires of a unit.
func targetsOn(h *judge.History, fuel string, day day.Day, targetOf judge.LineTargets) (out []judge.FireTarget) {
	if targetOf == nil {
		return nil
	}
	for _, t := range h.Targets {
		if asked := targetOf(h.Unit.ModelLine, t.Fire, fuel, day); asked.Declared() {
			out = append(out, judge.FireTarget{Fire: t.Fire, Target: asked})
		}
	}
	return out
}

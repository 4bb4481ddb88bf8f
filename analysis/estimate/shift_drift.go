package estimate

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// driftBetween is what a fit expects a unit to drift from a reading on one vent run
// to a later one on another, points. It goes by the vent before and after the change,
// and so would be taken for the shift of the change if it stayed in. A day of change
// that is not known is taken in the middle of its days.
func (u *covariates) driftBetween(fit *drift.Fit, before, after int) float64 {
	of := func(column string) float64 {
		if c, ok := fit.Coefficient(column); ok && !math.IsNaN(c.Value) {
			return c.Value
		}
		return 0
	}
	x, y := &u.h.Readings[before], &u.h.Readings[after]
	old, new := &u.h.VentRuns[x.VentRun], &u.h.VentRuns[y.VentRun]
	from, to, changed := years(x.Day), years(y.Day), years(new.From)
	if new.UncertainFrom != day.None {
		changed = (changed + years(new.UncertainFrom)) / 2
	}
	changed = math.Min(math.Max(changed, from), to)
	dt := to - from
	points := of(fuelColumn(u.cols.fuel.class(y.Fuel))) * dt
	rate := func(run *judge.VentRun) float64 {
		k := u.stratumOn(run)
		return of(timeColumn(k)) + of(u.b.vents.column(k))*u.b.vents.measure(u.h, run)
	}
	points += rate(old)*(changed-from) + rate(new)*(to-changed)
	if installed := u.h.Unit.Installed; installed != day.None {
		points += of(colAge) * dt * (from - years(installed) - u.cols.middle + dt/2)
	} else {
		points += of(colAgeUnknown) * dt
	}
	if u.h.Visits[x.Visit].Adjusted(u.fire) == judge.Yes {
		points += of(drift.Settling) * math.Min(dt, 1)
	}
	return points
}

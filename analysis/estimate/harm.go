package estimate

import (
	"math"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Days on which harm is expected: every two weeks for three months, then each month.
// Sums over them differ from those over every day by .2 days in 19 of 20 units.
const (
	harmStepDays   = 14
	harmNearDays   = 98
	harmLeastMonth = 12 // how far the harm of a setting counts: to the next service
)

// harmDays are the days on which a unit's harm is expected, the as-of day first and
// the last one at or after the planned day.
func (b *builder) harmDays(planned day.Day) []day.Day {
	from := b.rules.AsOf
	var days []day.Day
	for d := day.Day(0); d <= harmNearDays; d += harmStepDays {
		days = append(days, from+d)
	}
	for m := 1; m <= horizonMonths; m++ {
		d := from.MonthsOn(m)
		if d <= from+harmNearDays {
			continue
		}
		days = append(days, d)
		if m >= harmLeastMonth && d >= planned {
			break
		}
	}
	return days
}

// harm adds to a forecast how badly the unit will stand without a visit and with one
// on the as-of day, and where in its setting band such a visit had best leave it.
func (b *builder) harm(out *analysis.FireForecast, u *unitSeries, o *drift.Predictive, band judge.Band) {
	days := b.harmDays(out.Planned.Day)
	points := u.points(days, band)
	visited := o.Visited(points[0])
	after := make([]drift.Mixture, len(days))
	for i := range points {
		after[i] = visited.Mixture(points[i])
	}
	out.Aim = b.aim(u, after, days, band)
	for i := range points {
		out.Harm = append(out.Harm, analysis.HarmPoint{
			Day:     days[i],
			Without: o.Mixture(points[i]).Harm(band.Lean, band.Rich),
			Visited: after[i].Moved(out.Aim.Points).Harm(band.Lean, band.Rich),
		})
	}
}

// aimStep is how finely the setting band is searched, points of CO2: finer than any
// display shows.
const aimStep = 0.05

// sayAimDays is how many days out of limits a year an aim off the target has to avoid
// for it to be suggested.
const sayAimDays = 10

// aim searches the declared setting band for where a burner has to be left to do least
// harm until its next service, given its distribution on days to come if it is left at
// the target. Where the gain is small, or how the burner is controlled is not known, it
// is the target.
func (b *builder) aim(u *unitSeries, after []drift.Mixture, days []day.Day, band judge.Band) analysis.Aim {
	set := b.rules.Judge.Setting(&u.target, u.h.Unit.Fuel)
	if math.IsNaN(set.Lean+set.Rich) || u.h.Unit.Control == "" {
		return analysis.Aim{}
	}
	width := (band.Rich - band.Lean) / 2
	harm := func(x float64) (value, out float64) {
		for i := 1; i < len(days) && days[i-1] < days[0]+365; i++ {
			h := after[i].Moved(x).Harm(band.Lean, band.Rich)
			span := float64(days[i] - days[i-1])
			value, out = value+span*(h.Out()+h.Beyond()/width), out+span*h.Out()
		}
		return value, out
	}
	least, atTarget := harm(0)
	best := analysis.Aim{}
	for k := math.Ceil(set.Lean/aimStep - hair); k*aimStep <= set.Rich+hair; k++ {
		if v, out := harm(k * aimStep); v < least {
			least, best = v, analysis.Aim{Points: k * aimStep, GainDays: atTarget - out}
		}
	}
	if best.GainDays < sayAimDays {
		return analysis.Aim{}
	}
	return best
}

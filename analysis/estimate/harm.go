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

// harmDay is a day on which harm is expected, with the distribution of the unit's
// deviation if nobody comes.
type harmDay struct {
	point   drift.Point
	day     day.Day
	without drift.Mixture
}

// harmDays are the days on which a unit's harm is expected, the as-of day first and the
// last one at or after the planned day. What is forecast of months already is used again.
func (l *lookahead) harmDays(planned day.Day) (days []harmDay) {
	if l.harm != nil {
		return l.harm
	}
	from := l.months[0]
	near := from + harmNearDays
	days = append(make([]harmDay, 0, harmNearDays/harmStepDays+harmLeastMonth), harmDay{*l.point(0), from, l.mixture(0)})
	for d := from + harmStepDays; d <= near; d += harmStepDays {
		point := l.u.point(d, l.band)
		days = append(days, harmDay{point, d, l.o.Mixture(point)})
	}
	for m, d := range l.months {
		if d > near {
			days = append(days, harmDay{*l.point(m), d, l.mixture(m)})
		}
		if m >= harmLeastMonth && d >= planned {
			break
		}
	}
	l.harm = days
	return days
}

// harm adds to a forecast how badly the unit will stand without a visit and with one
// on the as-of day, and where in its setting band such a visit had best leave it.
func (b *builder) harm(out *analysis.FireForecast, l *lookahead) {
	days := l.harmDays(out.Planned.Day)
	visited := l.o.Visited(days[0].point)
	after := make([]drift.Mixture, len(days))
	for i := range days {
		after[i] = visited.Mixture(days[i].point)
	}
	aim := b.aim(l, after, days, out.HalfWidth())
	if aim.GainDays >= sayAimDays {
		out.Aim = aim
	}
	for i := range days {
		out.Harm = append(out.Harm, analysis.HarmPoint{
			Day:     days[i].day,
			Without: days[i].without.Harm(l.band.Lean, l.band.Rich),
			Visited: after[i].HarmMoved(aim.Points, l.band.Lean, l.band.Rich),
		})
	}
}

// aimStep is how finely the setting band is searched, points of CO2: finer than any
// display shows.
const aimStep = 0.05

// sayAimDays is how many days out of limits a year an aim off the target has to avoid
// for it to be suggested. One that avoids fewer still counts in what a visit avoids: a key
// that counted it from here on would jump from one week to the next.
const sayAimDays = 10

// aim searches the declared setting band for where a burner has to be left to do least
// harm until its next service, given its distribution on days to come if it is left at
// the target. Width is half that of the action band. Where how the burner is controlled
// is not known, it is the target.
func (b *builder) aim(l *lookahead, after []drift.Mixture, days []harmDay, width float64) analysis.Aim {
	u := l.u
	set := b.rules.Judge.Setting(&u.target, u.h.Unit.Fuel)
	if math.IsNaN(set.Lean+set.Rich) || u.h.Unit.Control == judge.ControlUnknown {
		return analysis.Aim{}
	}
	harm := func(x float64) (value, out float64) {
		for i := 1; i < len(days) && days[i-1].day < days[0].day+365; i++ {
			h := after[i].HarmMoved(x, l.band.Lean, l.band.Rich)
			span := float64(days[i].day - days[i-1].day)
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
	best.GainDays = math.Max(best.GainDays, 0)
	return best
}

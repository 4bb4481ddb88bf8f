package drift

import (
	"math"
	"slices"
)

// A forecast is compared with what came of earlier ones (prequential: Dawid 1984,
// J. R. Statist. Soc. A 147:278; a map from what was said to what happened: Platt
// 1999; both from memory). The map is of the expected state and not of its
// probability, so that mean, interval and chance stay one distribution. It scales
// all means of a horizon and uncertainty alike, which keeps their order.

// Recalibration is what a fit's forecasts of readings that were made since ask of its
// next ones. The zero value changes nothing.
type Recalibration struct {
	// Draw and Later say by how much the expected state is drawn to its target: what is
	// left of it is 1/(1 + (Draw + Later ln(years)) v), v being its variance over that
	// of the population. The less surely a state is known, the more it is drawn; one
	// that was just read is not.
	Draw, Later float64
	From, To    float64 // years ahead that past forecasts reach; beyond, as at their end
	Readings    int     // past readings behind it; 0: too few
}

// Priors on both numbers, and how little is left or added of a state by them.
const (
	drawSD    = 0.4
	laterSD   = 0.4
	leastLeft = -0.4 // of (Draw + Later ln(years)) v
)

// left is the part of an expected state that is left, some years ahead.
func (c *Recalibration) left(variance, spread, years float64) float64 {
	if c.Readings == 0 {
		return 1
	}
	draw := c.Draw + c.Later*math.Log(min(max(years, c.From), c.To))
	return 1 / (1 + max(draw*variance/(spread*spread), leastLeft))
}

// learn compares past forecasts with the readings that were made since.
func learn(fit *Fit, units []int, days []Point) Recalibration {
	return learnFrom(pasts(fit, units, days), fit.Held.Spread)
}

// learnFrom takes what makes the outcomes (rich, lean, neither) likeliest, with a
// prior on no change. Under minHeldOut readings nothing is learned.
func learnFrom(all []past, spread float64) Recalibration {
	if len(all) < minHeldOut {
		return Recalibration{}
	}
	years := make([]float64, len(all))
	for i := range all {
		years[i] = all[i].components[0].years
	}
	slices.Sort(years)
	none := Recalibration{From: sortedQuantile(years, 0.05), To: sortedQuantile(years, 0.95), Readings: len(all)}
	with := func(x []float64) Recalibration {
		c := none
		c.Draw, c.Later = x[0], x[1]
		return c
	}
	s := newSimplex(func(x []float64) float64 {
		c, sum := with(x), square(x[0]/drawSD)/2+square(x[1]/laterSD)/2
		for i := range all {
			sum -= all[i].logLikelihood(&c, spread)
		}
		return sum
	}, []float64{0, 0}, 0.1, mostTries)
	unchanged := s.points[slices.IndexFunc(s.points, func(v vertex) bool { return v.x[0] == 0 && v.x[1] == 0 })].f
	s.run(0.003, 1e-4)
	best := s.points[0]
	sure := max(0, 1-gainByChance/max(unchanged-best.f, gainByChance))
	return with([]float64{sure * best.x[0], sure * best.x[1]})
}

// gainByChance is the log likelihood that two numbers gain on the average where there
// is nothing to learn. By its part in what was gained both are drawn to no change, as
// means are by James and Stein (1961, from memory).
const gainByChance = 1

// mostTries ends a search that does not converge.
const mostTries = 200

// surprise is the chance of an outcome that nothing foresaw, a wrong entry say: so much
// each may count.
const surprise = 0.005

// logLikelihood is that of the outcome of a past reading, had its forecast been
// recalibrated.
func (x *past) logLikelihood(c *Recalibration, spread float64) float64 {
	rich, lean := 0.0, 0.0
	for i := range x.components {
		g := &x.components[i]
		drawn := g.state * (c.left(g.variance, spread, g.years) - 1)
		rich += g.weight * beyondEnd(g.rich+drawn, g.sd)
		lean += g.weight * beyondEnd(g.lean-drawn, g.sd)
	}
	of := func(p float64) float64 { return math.Log(surprise + (1-3*surprise)*max(p, 0)) }
	return x.rich*of(rich) + x.lean*of(lean) + (1-x.rich-x.lean)*of(1-rich-lean)
}

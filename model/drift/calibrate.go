package drift

import (
	"math"
	"slices"
)

// TypicalSpread is the standard deviation of what burners are found at about their
// target, points, until a fleet's own readings tell: a prior, from memory of what
// service records of commercial boilers look like.
const TypicalSpread = 0.25

// priorReadings is how many as-found readings that prior is worth.
const priorReadings = 8

// Population is what burners of the fleet are found at: what is known of any one of
// them before its own readings are looked at.
type Population struct {
	Mean     float64 // middle of the deviations, points
	Spread   float64 // their standard deviation, points; 0: not looked at
	Readings int     // as-found readings behind it
}

// Calibration holds forecasts to the population. The zero value changes nothing.
type Calibration struct {
	Population
	// Damp is the part of the standard deviation that coefficients, biases and air
	// add to a state which is taken back, from 0 to 1: priors that are wider than
	// the fleet shows.
	Damp float64
	// Pull is how far the rest is drawn towards the population's mean, from 0 to 1. A
	// unit last read far from it is not.
	Pull float64
	// Assumed says that drift was not measured here: what the priors add to the
	// states is most of their variance, and differs from unit to unit by more than a
	// cap leaves apart.
	Assumed bool
	// Past is what past forecasts ask for, where drift was measured.
	Past Recalibration
}

// Calibrate holds the forecasts of some units on a day each, by their numbers, to
// what the fleet's burners are found at, and keeps that for all forecasts of the
// fit. No state is less certain than the population. Where priors had a part in
// the coefficients, the states of the fleet together, E(mean^2 + variance) over the
// units, scatter no more than the population does: first the variance that the
// priors add is damped, then what is left is pulled. So the mean chance of a small
// fleet is that of burners as they are found, and the order of its units stays what
// their readings and the physics make it.
func (fit *Fit) Calibrate(units []int, days []Point) {
	c := Calibration{Population: fit.fleet.population()}
	if fit.assumes() && len(units) > 0 {
		fit.Held, c.Assumed = Calibration{}, true
		noise := fit.Sigma * fit.Sigma // the population is of readings, and states have none
		c.Damp, c.Pull = fit.scatter(units, days, &c).reduced(math.Sqrt(math.Max(c.Spread*c.Spread-noise, noise)))
	}
	fit.Held = c
	if !c.Assumed {
		fit.Held.Past = learn(fit, units, days)
	}
}

// assumes reports whether priors had a part in the coefficients.
func (fit *Fit) assumes() bool {
	how := fit.How
	if how == HeldBeta && fit.options.Hold != nil {
		how = fit.options.Hold.How
	}
	return how == Defaults || how == WithPriors || fit.fleet.counts.Differences < MinFree
}

// population looks at the as-found readings that stand. Its spread is that of their
// middle four fifths, so that a few typing errors do not count, drawn towards
// TypicalSpread by priorReadings. What their displays hide of where they were found
// belongs to it.
func (f *Fleet) population() Population {
	var y []float64
	hidden := 0.0
	for u := range f.in.Series {
		for r := f.start[u]; r < f.start[u+1]; r++ {
			x := &f.in.Series[u].Visits[f.vis[r]].Readings[f.idx[r]]
			if !f.gone[r] && x.Use == ForFit && x.Kind == AsFound {
				y = append(y, f.y[r])
				hidden += (f.w[r] - 1) * TypicalSigma * TypicalSigma
			}
		}
	}
	out := Population{Readings: len(y), Spread: TypicalSpread}
	if len(y) < 2 {
		return out
	}
	slices.Sort(y)
	own := float64(len(y)) / float64(len(y)+priorReadings)
	s := (sortedQuantile(y, 0.9) - sortedQuantile(y, 0.1)) / (2 * z80)
	out.Spread = math.Sqrt(own*(s*s+hidden/float64(len(y))) + (1-own)*TypicalSpread*TypicalSpread)
	out.Mean = own * sortedQuantile(y, 0.5)
	return out
}

// z80 holds 80 % of a standard normal distribution on both sides of its mean.
const z80 = 1.2815515655446004

// sortedQuantile interpolates between sorted values.
func sortedQuantile(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}

// scatter is the mean square of the states of some units: what the units themselves
// add, and the variance that coefficients, biases and air add.
type scatter struct{ own, assumed float64 }

func (fit *Fit) scatter(units []int, days []Point, c *Calibration) (s scatter) {
	p, all := fit.Predictor(), 0.0
	for i, u := range units {
		o := p.Predictive(u)
		for k := range o.parts {
			d, w := p.onDay(u, &o.parts[k], &days[i]), o.parts[k].weight
			if math.IsNaN(d.mean) || c.apart(&d) {
				continue
			}
			all += w
			s.own += w * (d.mean*d.mean + d.own)
			s.assumed += w * (d.variance - d.own)
		}
	}
	if all > 0 {
		s.own, s.assumed = s.own/all, s.assumed/all
	}
	return s
}

// farOff is by how many spreads a last reading has to lie off for its unit to be no
// draw from the population.
const farOff = 3

// apart reports whether a unit was last read far from what the fleet is found at: it
// speaks for itself, and is not pulled.
func (c *Calibration) apart(d *dayState) bool {
	read := d.parts.Last + d.parts.Analyzer
	return math.Abs(read-c.Mean) > farOff*c.Spread
}

// reduced returns by how much to damp the assumed part, and to pull what is left,
// until the scatter is that of a standard deviation.
func (s scatter) reduced(sd float64) (damp, pull float64) {
	wanted := sd * sd
	switch {
	case s.own+s.assumed <= wanted:
		return 0, 0
	case s.own <= wanted:
		return 1 - math.Sqrt((wanted-s.own)/s.assumed), 0
	}
	return 1, 1 - math.Sqrt(wanted/s.own)
}

// hold applies the calibration to a state just made, before a reading of it is.
func (c *Calibration) hold(d *dayState) {
	if c.Spread == 0 || math.IsNaN(d.mean) {
		return
	}
	keep, left := 1-c.Damp, 1-c.Pull
	if c.apart(d) {
		left = 1
	}
	variance := (d.own + keep*keep*(d.variance-d.own)) * left * left
	kept := c.kept(variance)
	d.scale = left * math.Sqrt(kept)
	variance *= kept
	d.parts.Fleet = (1 - left) * (c.Mean - d.mean)
	d.variance, d.moved = variance, d.scale*d.scale*d.moved
	d.mean += d.parts.Fleet
	if !c.apart(d) {
		drawn := d.mean * (c.Past.left(variance, c.Spread, d.ahead) - 1)
		d.parts.Fleet, d.mean = d.parts.Fleet+drawn, d.mean+drawn
	}
}

// kept is the share of a variance that the spread of the population leaves, which is
// never exceeded. Where drift was not measured many states reach it, and a hard limit
// would make them alike: there the larger variance stays the larger one.
func (c *Calibration) kept(variance float64) float64 {
	over := variance / (c.Spread * c.Spread)
	if c.Assumed {
		return 1 / math.Hypot(1, over)
	}
	return math.Min(1, 1/over)
}

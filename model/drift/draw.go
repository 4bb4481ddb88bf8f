package drift

import "math"

// Draws are joint draws of all coefficients and biases of a fit: what the units
// have in common and err in together.
type Draws struct {
	n   int
	off []float64 // n a coefficient or bias: departures from the estimate, biases first
}

// Shared are standard normal numbers, one a draw, for what several draws of a day
// have in common: by how many standard deviations the day's level covariates lie
// off what is expected (one weather for all units and fires in it), and the
// unit's unknown covariates off what was imputed (one vent for all its fires; nil where
// nothing was).
type Shared struct{ Level, Imputed []float64 }

// Draw draws the true deviation of a unit on a day once for each joint draw, into
// out: the common part moves with it, the unit's own part and the choice of what
// the record leaves open come from normal.
func (d *Draws) Draw(o *Predictive, point *Point, shared Shared, normal func() float64, out []float64) {
	type component struct {
		weight, mean, sd, imputedSD, levelSD float64
		common                               []float64 // by draw
	}
	q, levelVar, levelSD, held := len(o.p.fit.b), o.p.levelVar(point), o.p.levelSD(point), &o.p.fit.Held
	states := make([]component, 0, len(o.parts))
	for i := range o.parts {
		b := &o.parts[i]
		one := o.p.onDay(o.Unit, b, point)
		apart := math.Max(one.own, one.variance-levelVar-one.imputedSD*one.imputedSD-o.p.quadratic(b.cov, o.p.g)) // from what units share
		held.hold(&one)
		assumed := one.scale * (1 - held.Damp)
		s := component{mean: one.mean, imputedSD: assumed * one.imputedSD, levelSD: assumed * levelSD, common: make([]float64, d.n)}
		own := one.scale * one.scale * math.Max(0, one.own+(1-held.Damp)*(1-held.Damp)*(apart-one.own))
		for k, g := range o.p.g {
			if g == 0 {
				continue
			}
			at := q + k
			if k >= len(o.p.fit.beta) {
				at = int(b.cols[k-len(o.p.fit.beta)])
			}
			axpy(s.common, assumed*g, d.off[at*d.n:(at+1)*d.n])
		}
		for _, n := range o.p.fit.moves.spread(nil, b.weight, one.mean, own, math.Min(one.moved, own)) {
			s.weight, s.sd = n.Weight, n.SD
			states = append(states, s)
		}
	}
	for k := range out {
		if len(states) == 0 || k >= d.n {
			out[k] = math.NaN()
			continue
		}
		choice, pick, luck := normal(), 0, 0.0
		if len(states) > 1 {
			luck = phi(choice)
		}
		for pick+1 < len(states) && luck >= states[pick].weight {
			luck -= states[pick].weight
			pick++
		}
		s := &states[pick]
		out[k] = s.mean + s.sd*normal() + s.common[k] + s.levelSD*shared.Level[k]
		if s.imputedSD != 0 {
			out[k] += s.imputedSD * shared.Imputed[k]
		}
	}
}

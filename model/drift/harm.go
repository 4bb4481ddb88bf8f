package drift

import "math"

// Harm is how badly a unit stands on a day: how likely it is outside its action band,
// and by how much it is expected to be, on either side.
type Harm struct {
	Rich, Lean             float64 // probability of being above the band, below it
	RichBeyond, LeanBeyond float64 // expected points beyond that side, counting 0 while inside
}

// Out is the probability of being outside on either side.
func (h Harm) Out() float64 { return h.Rich + h.Lean }

// Beyond is the expected points outside the band, whichever the side.
func (h Harm) Beyond() float64 { return h.RichBeyond + h.LeanBeyond }

// Harm returns the chance of a value beyond lo and hi, and the points expected beyond
// them. A side that is NaN has none: both its figures are 0.
func (m Mixture) Harm(lo, hi float64) (h Harm) { return m.HarmMoved(0, lo, hi) }

// HarmMoved does so of the distribution moved by so many points.
func (m Mixture) HarmMoved(points, lo, hi float64) (h Harm) {
	for _, n := range m {
		n.Mean += points
		if !math.IsNaN(hi) {
			p, beyond := n.beyond(n.Mean - hi)
			h.Rich, h.RichBeyond = h.Rich+p, h.RichBeyond+beyond
		}
		if !math.IsNaN(lo) {
			p, beyond := n.beyond(lo - n.Mean)
			h.Lean, h.LeanBeyond = h.Lean+p, h.LeanBeyond+beyond
		}
	}
	return h
}

// beyond is the chance of lying past a bound that the mean is over by so many points,
// and the mean excess over it, E max(x, 0) of x normal about over: s phi(z) + over
// Phi(z) with z = over / s (the expected shortfall of a normal distribution, from
// memory; checked by quadrature).
func (n Normal) beyond(over float64) (chance, excess float64) {
	p := phi(over / n.SD)
	excess = n.SD*n.SD*density(over, n.SD*n.SD) + over*p
	return n.Weight * p, n.Weight * math.Max(excess, 0)
}

// Mixture returns the distribution of the unit's deviation on a day.
func (o *Predictive) Mixture(point Point) Mixture {
	m := make(Mixture, 0, len(o.parts)*o.p.fit.moves.kinds())
	for i := range o.parts {
		d := o.p.onDay(o.Unit, &o.parts[i], &point)
		if math.IsNaN(d.mean) {
			continue
		}
		o.p.fit.Held.hold(&d)
		m = o.p.fit.moves.spread(m, o.parts[i].weight, d.mean, d.variance, d.moved)
	}
	return m
}

// Visited returns what the unit's distribution becomes if somebody sets it to its
// target on a day, in the weather expected of that day: it then drifts on at its own
// rate, and settles as after any adjustment. The setting errs as settings on record do,
// and by the bias of an analyzer that nobody knows yet. Whoever sets a burner watches
// the display until it holds still, so that the noise of a single reading is not in it.
func (o *Predictive) Visited(on Point) *Predictive {
	v := Visit{T: on.T, Analyzer: -1, Period: -1, Level: on.Level}
	set := o.p.history(o.Unit).settingState(&v, 1)
	set.w += o.p.levelVar(&on)/(o.p.fit.Sigma*o.p.fit.Sigma) - 1
	return &Predictive{Unit: o.Unit, p: o.p, LastVisit: -1, LastReading: -1, parts: []base{o.p.base(o.Unit, set)}}
}

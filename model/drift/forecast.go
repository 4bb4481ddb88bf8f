package drift

import (
	"math"
	"slices"
)

// extrapolationYears is the horizon beyond which a forecast is marked: the age
// effect is quadratic.
const extrapolationYears = 3

// dayState is the forecast from one conditioning state.
type dayState struct {
	parts                   Parts
	mean, variance          float64
	moved                   float64 // of the variance, what the unit may have done since
	readingMean, readingVar float64
	unknown                 bool
	own                     float64 // of the variance: all but what coefficients, biases and air add
	scale                   float64 // of all departures from the mean, by the calibration
	shared                  float64 // of the variance, the level of the area
	ahead                   float64 // years since what it is reckoned from
	imputedSD               float64 // of what had to be imputed, with the sign a rate above the imputed one gives
}

// A forecast is universal kriging (Matheron 1969, from memory): the best linear
// unbiased prediction of the unit's level on a day, coefficients estimated from the
// fleet. Where the record leaves open from which state the unit started, each
// possibility is forecast and they are mixed by their probabilities; a mixture's
// probability is the sum of its parts', while its mean and spread may describe no part.

// At forecasts the unit on a day.
func (o *Predictive) At(point Point) Forecast {
	out := Forecast{T: point.T, Marks: o.Marks}
	out.States, out.Shown = make(Mixture, 0, len(o.parts)), make(Mixture, 0, len(o.parts))
	for i := range o.parts {
		b := &o.parts[i]
		d := o.p.onDay(o.Unit, b, &point)
		o.p.fit.Held.hold(&d)
		o.p.reading(&d, b, &point)
		out.States = o.p.fit.moves.spread(out.States, b.weight, d.mean, d.variance, d.moved)
		out.Shown = o.p.fit.moves.spread(out.Shown, b.weight, d.readingMean, d.readingVar, d.moved)
		out.Parts.add(b.weight, d.parts)
		if d.unknown {
			out.Marks |= CovariateUnknown
		}
		out.Ahead = math.Max(out.Ahead, point.T-b.t)
	}
	if out.Ahead > extrapolationYears {
		out.Marks |= Extrapolated
	}
	out.State, out.Reading = out.States.Estimate(), out.Shown.Estimate()
	out.PRich, out.PLean, out.POut = out.States.Outside(point.Lo, point.Hi)
	out.POutKept, out.POutWithout = o.ifUnconfirmed(&out, &point, keptReading), o.ifUnconfirmed(&out, &point, typedWrong)
	return out
}

// ifUnconfirmed is the probability of being outside if an unconfirmed last reading is
// decided one way, NaN without one.
func (o *Predictive) ifUnconfirmed(f *Forecast, point *Point, side confirmation) float64 {
	sum, weight, p := 0.0, 0.0, math.NaN()
	each := len(f.States) / max(len(o.parts), 1)
	for i := range o.parts {
		if o.parts[i].confirmed == side {
			_, _, p = f.States[i*each:(i+1)*each].alone().Outside(point.Lo, point.Hi)
			sum, weight = sum+o.parts[i].weight*p, weight+o.parts[i].weight
		}
	}
	if weight == 0 {
		return p
	}
	return sum / weight
}

// POut returns only the probability of being outside the band on a day.
func (o *Predictive) POut(point Point) float64 {
	p, none := 0.0, true
	for i := range o.parts {
		d := o.p.onDay(o.Unit, &o.parts[i], &point)
		o.p.fit.Held.hold(&d)
		m := o.p.fit.moves.spread(nil, 1, d.mean, d.variance, d.moved)
		if _, _, out := m.Outside(point.Lo, point.Hi); !math.IsNaN(out) {
			p, none = p+o.parts[i].weight*out, false
		}
	}
	if none {
		return math.NaN()
	}
	return p
}

// alone gives a single state the whole weight.
func (m Mixture) alone() Mixture {
	out, total := slices.Clone(m), 0.0
	for _, n := range m {
		total += n.Weight
	}
	for i := range out {
		out[i].Weight /= total
	}
	return out
}

// Outside returns the probability above hi (rich), below lo (lean) and of
// either. A side that is NaN has none; without both there is no probability.
// For a recorded value shown in steps of r give lo - r/2 and hi + r/2.
func (m Mixture) Outside(lo, hi float64) (rich, lean, out float64) {
	rich, lean = math.NaN(), math.NaN()
	if len(m) == 0 {
		return rich, lean, rich
	}
	if !math.IsNaN(hi) {
		rich = m.Above(hi)
	}
	if !math.IsNaN(lo) {
		lean = m.Below(lo)
	}
	switch {
	case math.IsNaN(rich):
		return rich, lean, lean
	case math.IsNaN(lean):
		return rich, lean, rich
	}
	return rich, lean, rich + lean
}

// onDay forecasts from one conditioning state: universal kriging given theta. With
// c = -w_L on the difference that ends at that state plus tau^2 D h,
//
//	mean = y_L - b_a(L) + x*'beta + c'P r
//	var  = sigma^2 (w_L + q D + tau^2 D^2 - c'P c) + g'C g
//
// The base of the state holds the products that do not depend on the day (c is linear
// in D), so that a path of sixty months costs sixty dot products. What the unit may have
// done since (moved) is kept apart: it alone grows with the horizon, and jumps of
// failing parts spread that part and not the error of instruments.
func (p *Predictor) onDay(u int, b *base, point *Point) dayState {
	fit := p.fit
	f := fit.fleet
	d := point.T - b.t
	if !(d >= 0) {
		nan := math.NaN()
		return dayState{mean: nan, variance: nan}
	}
	extra, unknown := p.between(u, b, point)
	th, s2 := fit.Theta, fit.Sigma*fit.Sigma
	pull := th.Tau * th.Tau * d // weight of h in c = e + tau^2 D h
	out := dayState{unknown: unknown, imputedSD: extra, scale: 1, ahead: d}
	out.parts = Parts{Last: b.y, Smoothing: b.er, Slope: pull * b.hr}
	for k, col := range f.used {
		switch inc := fit.beta[k] * p.x[col]; {
		case f.cols[col].Instrument:
			out.parts.Analyzer += inc
		case col < len(f.in.Design.Level):
			out.parts.Season += inc
		default:
			out.parts.Drift += inc
		}
	}
	np := len(f.used)
	p.g = p.g[:0]
	for i := range b.xe {
		g := -b.minus[i] - b.xe[i] - pull*b.xh[i]
		if i < np {
			g += p.x[f.used[i]]
		} else {
			out.parts.Analyzer -= b.minus[i] * fit.b[b.cols[i-np]]
		}
		p.g = append(p.g, g)
	}
	out.mean = out.parts.Sum()
	own := b.w + th.Q*th.Q*d + pull*d - (b.ee + 2*pull*b.eh + pull*pull*b.hh)
	out.shared = fit.shared.since(d)
	out.own = s2*own + out.shared
	out.moved = s2 * math.Max(0, th.Q*th.Q*d+pull*d-pull*pull*b.hh)
	out.variance = out.own + p.quadratic(b.cov, p.g) + extra*extra + p.levelVar(point) + p.heldVar(false)
	return out
}

// reading adds what a reading shows on top of the state just made: noise, and the
// bias of its analyzer, known or not.
func (p *Predictor) reading(out *dayState, b *base, point *Point) {
	fit := p.fit
	th, s2 := fit.Theta, fit.Sigma*fit.Sigma
	out.readingMean, out.readingVar = out.mean, out.variance+s2-out.shared // the noise found holds it already
	if math.IsNaN(out.mean) {
		return
	}
	if !point.Made {
		p.nextInstrument(out, b)
	}
	var known []int32
	if point.Analyzer >= 0 {
		known = append(known, int32(point.Analyzer))
	} else {
		out.readingVar += s2 * th.B1 * th.B1
	}
	if point.Period >= 0 {
		known = append(known, int32(point.Period+fit.fleet.in.Analyzers))
	} else {
		out.readingVar += s2 * th.B2 * th.B2
	}
	q, np := len(fit.b), len(fit.beta)
	for _, a := range known {
		out.readingMean += fit.b[a]
		for _, c := range known {
			out.readingVar += fit.cov.at(int(a), int(c))
		}
		for i, g := range p.g {
			at := q + i
			if i >= np {
				at = int(b.cols[i-np])
			}
			out.readingVar += 2 * g * fit.cov.at(int(a), at)
		}
	}
}

// Mean m and variance v of a product of the age a and its slope g, independent: the
// reading moves by g a, of mean g m and variance g^2 v + Var(g)(m^2 + v), and its error
// goes along with what the slope's error does to the state (2 m Cov(g, state)).

// nextInstrument adds what is expected of the instrument of a reading that nobody
// has made: the fleet's mean of each instrument column, and its variance.
func (p *Predictor) nextInstrument(out *dayState, b *base) {
	fit := p.fit
	f := fit.fleet
	n := len(p.g)
	for k, col := range f.used {
		if !f.cols[col].Instrument {
			continue
		}
		m, v := f.next[col].mean/f.scale[col], f.next[col].variance/(f.scale[col]*f.scale[col])
		row := b.cov[k*n : (k+1)*n]
		out.readingMean += fit.beta[k] * m
		out.readingVar += (fit.beta[k]*fit.beta[k] + row[k]) * v
		for i, g := range p.g {
			out.readingVar += 2 * m * row[i] * g
		}
		for j, other := range f.used {
			if f.cols[other].Instrument {
				out.readingVar += m * row[j] * f.next[other].mean / f.scale[other]
			}
		}
	}
	out.readingVar += p.heldVar(true) - p.heldVar(false)
	out.readingVar = math.Max(out.readingVar, 0)
}

// quadratic is g'C g.
func (p *Predictor) quadratic(c, g []float64) float64 {
	n, total := len(g), 0.0
	p.filled = p.filled[:0]
	for i, v := range g {
		if v != 0 {
			p.filled = append(p.filled, i)
		}
	}
	for _, i := range p.filled {
		row, sum := c[i*n:(i+1)*n], 0.0
		for _, j := range p.filled {
			sum += row[j] * g[j]
		}
		total += g[i] * sum
	}
	return total
}

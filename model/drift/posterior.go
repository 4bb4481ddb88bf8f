package drift

import "math"

// posterior is what a fit knows of its coefficients and biases together.
type posterior struct {
	fleet *Fleet
	beta  []float64 // scaled, used columns
	b     []float64 // analyzers then periods
	cov   *joint
}

// ReadsOn returns how much an analyzer read too high on a day, points: its
// constant bias, that of the calibration period, and the instrument columns of
// that day (level nil: as just calibrated), with the posterior standard deviation
// of the sum. The parts are told apart less well than their sum, so their
// deviations do not add as if they were independent. Bias columns are those of
// Input; -1 leaves one out, and both give NaN.
func (p *posterior) ReadsOn(analyzer, period int, level []float64) (value, sd float64) {
	if analyzer < 0 && period < 0 {
		return math.NaN(), math.NaN()
	}
	value, sd = p.contrast(p.readsTerms(analyzer, period, level, 1, nil))
	for _, k := range p.fleet.widen {
		if p.fleet.cols[k].Instrument && k < len(level) {
			sd = math.Hypot(sd, p.fleet.cols[k].Prior.SD*level[k])
		}
	}
	return value, sd
}

// Line is a bias that grows with the time since a calibration: Value there, and
// Slope a year, with the posterior covariance of both.
type Line struct {
	Value, Slope       float64 // points, points a year
	Var, Cov, SlopeVar float64
}

// At is the bias some years after the calibration, with its standard deviation.
func (l Line) At(years float64) (value, sd float64) {
	return l.Value + l.Slope*years, math.Sqrt(math.Max(0, l.Var+2*l.Cov*years+l.SlopeVar*years*years))
}

// ReadsAlong returns ReadsOn as a line over one instrument column, the others 0.
func (p *posterior) ReadsAlong(analyzer, period int, column string) Line {
	at := func(x float64) (float64, float64) {
		level := make([]float64, len(p.fleet.in.Design.Level))
		for k := range level {
			if c := &p.fleet.cols[k]; c.Name == column && c.Instrument {
				level[k] = x
			}
		}
		return p.ReadsOn(analyzer, period, level)
	}
	value, sd := at(0)
	one, sd1 := at(1)
	_, sd2 := at(2)
	slopeVar := math.Max(0, (sd2*sd2-2*sd1*sd1+sd*sd)/2)
	return Line{Value: value, Slope: one - value, Var: sd * sd, Cov: (sd1*sd1 - sd*sd - slopeVar) / 2, SlopeVar: slopeVar}
}

// term is a weight on one element of (b, beta).
type term struct {
	at     int
	weight float64
}

// readsTerms adds the terms of a bias on a day, times a weight, to others.
func (p *posterior) readsTerms(analyzer, period int, level []float64, weight float64, to []term) []term {
	f := p.fleet
	if analyzer >= 0 {
		to = append(to, term{analyzer, weight})
	}
	if period >= 0 {
		to = append(to, term{f.in.Analyzers + period, weight})
	}
	for k, x := range f.instrumentRow(level) {
		if x != 0 {
			to = append(to, term{len(p.b) + k, weight * x})
		}
	}
	return to
}

// contrast is a linear combination of biases and coefficients with its posterior
// standard deviation.
func (p *posterior) contrast(terms []term) (value, sd float64) {
	q, variance := len(p.b), 0.0
	for _, a := range terms {
		if a.at < q {
			value += a.weight * p.b[a.at]
		} else {
			value += a.weight * p.beta[a.at-q]
		}
		for _, c := range terms {
			variance += a.weight * c.weight * p.cov.at(a.at, c.at)
		}
	}
	return value, math.Sqrt(math.Max(variance, 0))
}

// Combined returns the sum of a fit's coefficients times the given weights, by
// name, less the constant bias of an analyzer (-1: none), with its posterior
// standard deviation. A weight is in the units of its covariate. ok is false where
// a weight other than 0 falls on a column that is not in the fit.
func (p *posterior) Combined(weights map[string]float64, analyzer int) (value, sd float64, ok bool) {
	f, q := p.fleet, len(p.b)
	var at []int
	var g []float64
	for k, col := range f.used {
		if w := weights[f.cols[col].Name]; w != 0 {
			at, g = append(at, q+k), append(g, w/f.scale[col])
			value += g[len(g)-1] * p.beta[k]
		}
	}
	asked := 0
	for _, w := range weights {
		if w != 0 {
			asked++
		}
	}
	if len(g) != asked {
		return math.NaN(), math.NaN(), false
	}
	if analyzer >= 0 {
		at, g = append(at, analyzer), append(g, -1)
		value -= p.b[analyzer]
	}
	variance := 0.0
	for i, a := range at {
		for j, b := range at {
			variance += g[i] * g[j] * p.cov.at(a, b)
		}
	}
	return value, math.Sqrt(math.Max(variance, 0)), true
}

// Draws makes n joint draws from standard normal numbers.
func (p *posterior) Draws(n int, normal func() float64) *Draws {
	return &Draws{n, p.cov.draws(n, normal)}
}

// rest is d - X beta - Z b of the difference of two readings.
func (p *posterior) rest(i, j int32) float64 {
	f := p.fleet
	r := f.y[j] - f.y[i]
	for k, col := range f.used {
		r -= p.beta[k] * (f.f[int(j)*f.stride+col] - f.f[int(i)*f.stride+col])
	}
	bias := func(i int32) float64 {
		b := 0.0
		if a := f.an[i]; a >= 0 {
			b += p.b[a]
		}
		if a := f.per[i]; a >= 0 {
			b += p.b[int(a)+f.in.Analyzers]
		}
		return b
	}
	return r - bias(j) + bias(i)
}

package drift

import "math"

// ReadsOn returns how much an analyzer read too high on a day, points: its
// constant bias, that of the calibration period, and the instrument columns of
// that day (level nil: as just calibrated), with the posterior standard deviation
// of the sum. The parts are told apart less well than their sum, so their
// deviations do not add as if they were independent. Bias columns are those of
// Input; -1 leaves one out, and both give NaN.
func (fit *Fit) ReadsOn(analyzer, period int, level []float64) (value, sd float64) {
	if analyzer < 0 && period < 0 {
		return math.NaN(), math.NaN()
	}
	value, sd = fit.contrast(fit.readsTerms(analyzer, period, level, 1, nil))
	for _, k := range fit.fleet.widen {
		if fit.fleet.cols[k].Instrument && k < len(level) {
			sd = math.Hypot(sd, fit.fleet.cols[k].Prior.SD*level[k])
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
func (fit *Fit) ReadsAlong(analyzer, period int, column string) Line {
	at := func(x float64) (float64, float64) {
		level := make([]float64, len(fit.fleet.in.Design.Level))
		for k := range level {
			if c := &fit.fleet.cols[k]; c.Name == column && c.Instrument {
				level[k] = x
			}
		}
		return fit.ReadsOn(analyzer, period, level)
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
func (fit *Fit) readsTerms(analyzer, period int, level []float64, weight float64, to []term) []term {
	f := fit.fleet
	if analyzer >= 0 {
		to = append(to, term{analyzer, weight})
	}
	if period >= 0 {
		to = append(to, term{f.in.Analyzers + period, weight})
	}
	for k, x := range f.instrumentRow(level) {
		if x != 0 {
			to = append(to, term{len(fit.b) + k, weight * x})
		}
	}
	return to
}

// contrast is a linear combination of biases and coefficients with its posterior
// standard deviation.
func (fit *Fit) contrast(terms []term) (value, sd float64) {
	q, variance := len(fit.b), 0.0
	for _, a := range terms {
		if a.at < q {
			value += a.weight * fit.b[a.at]
		} else {
			value += a.weight * fit.beta[a.at-q]
		}
		for _, c := range terms {
			variance += a.weight * c.weight * fit.cov.at(a.at, c.at)
		}
	}
	return value, math.Sqrt(math.Max(variance, 0))
}

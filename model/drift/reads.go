package drift

import "math"

// Reads returns how much an analyzer read too high within a calibration period,
// points: its constant bias and that of the period together, with the posterior
// standard deviation of their sum (the two are told apart less well than
// their sum, so the deviations do not add as if they were independent). Columns
// are those of Input; -1 leaves one out, and both give NaN.
func (fit *Fit) Reads(analyzer, period int) (value, sd float64) {
	var cols []int
	if analyzer >= 0 {
		cols = append(cols, analyzer)
	}
	if period >= 0 {
		cols = append(cols, fit.fleet.in.Analyzers+period)
	}
	if len(cols) == 0 {
		return math.NaN(), math.NaN()
	}
	variance := 0.0
	for _, a := range cols {
		value += fit.b[a]
		for _, c := range cols {
			variance += fit.cov.at(a, c)
		}
	}
	return value, math.Sqrt(math.Max(variance, 0))
}

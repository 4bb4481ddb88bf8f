package drift

import "math"

// Combined returns the sum of a fit's coefficients times the given weights, by
// name, less the constant bias of an analyzer (-1: none), with its posterior
// standard deviation. A weight is in the units of its covariate. ok is false where
// a weight other than 0 falls on a column that is not in the fit.
func (fit *Fit) Combined(weights map[string]float64, analyzer int) (value, sd float64, ok bool) {
	f, q := fit.fleet, len(fit.b)
	var at []int
	var g []float64
	for k, col := range f.used {
		if w := weights[f.cols[col].Name]; w != 0 {
			at, g = append(at, q+k), append(g, w/f.scale[col])
			value += g[len(g)-1] * fit.beta[k]
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
		value -= fit.b[analyzer]
	}
	variance := 0.0
	for i, a := range at {
		for j, b := range at {
			variance += g[i] * g[j] * fit.cov.at(a, b)
		}
	}
	return value, math.Sqrt(math.Max(variance, 0)), true
}

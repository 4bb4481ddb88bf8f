package drift

import (
	"math"
	"slices"
)

// imputeFleet is the median and the variance between units of each rate in the
// latest runs, for series that bring no imputation of their own.
func imputeFleet(series []Series, comps []int) Imputation {
	n := len(comps)
	g := Imputation{make([]float64, n), make([]float64, n)}
	var known []float64
	for k := range n {
		if comps[k] < 0 {
			continue
		}
		known = known[:0]
		for u := range series {
			runs := series[u].Runs
			if rate := runs[len(runs)-1].Rate[k]; !math.IsNaN(rate) {
				known = append(known, rate)
			}
		}
		g.Rate[k], g.Var[k] = Middle(known)
	}
	return g
}

// Middle returns the median and the variance of values, which it sorts; 0, 0
// where there are none: what stands for a value that is not known, and how far
// the truth may lie from it.
func Middle(x []float64) (median, variance float64) {
	if len(x) == 0 {
		return 0, 0
	}
	slices.Sort(x)
	median = (x[(len(x)-1)/2] + x[len(x)/2]) / 2
	if len(x) == 1 {
		return median, 0
	}
	var sum, sq float64
	for _, v := range x {
		sum += v
	}
	mean := sum / float64(len(x))
	for _, v := range x {
		sq += (v - mean) * (v - mean)
	}
	return median, sq / float64(len(x)-1)
}

// completedBy puts in what another imputation has and the unit's own lacks.
func (g Imputation) completedBy(fleet Imputation) Imputation {
	if g.Rate == nil {
		g.Rate = fleet.Rate
	}
	if g.Var == nil {
		g.Var = fleet.Var
	}
	return g
}

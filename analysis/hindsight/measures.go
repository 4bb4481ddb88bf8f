package hindsight

import "math"

// LeastForArea is how many looks, units by origin, an area under the curve needs.
// Of fewer the pairs are so few that resampling them gives an interval of no width
// around 1, which says more than is known; the number is our own choice.
const LeastForArea = 50

// none stands for a figure that is not given.
var none = Figure{math.NaN(), math.NaN(), math.NaN()}

// auc is the chance that one found outside stood above one found inside, ties
// half: the rank statistic of Mann and Whitney. NaN without one of either kind.
// Order is ascending in the values.
func auc(value, y, weight []float64, order []int) float64 {
	below, above, inside, outside := 0.0, 0.0, 0.0, 0.0
	for at := 0; at < len(order); {
		in, off := 0.0, 0.0
		end := at
		for ; end < len(order) && value[order[end]] == value[order[at]]; end++ {
			i := order[end]
			in, off = in+of(weight, i)*(1-y[i]), off+of(weight, i)*y[i]
		}
		above += off * (below + in/2)
		below, inside, outside = below+in, inside+in, outside+off
		at = end
	}
	return above / (inside * outside)
}

// precision is the share found outside among the first of a list: the given
// weight of it from the top; ties at its end count in proportion.
func precision(value, y, weight []float64, order []int, first float64) float64 {
	hits, left := 0.0, first
	for at := len(order) - 1; at >= 0 && left > 0; {
		n, off := 0.0, 0.0
		end := at
		for ; end >= 0 && value[order[end]] == value[order[at]]; end-- {
			n, off = n+of(weight, order[end]), off+of(weight, order[end])*y[order[end]]
		}
		if n > 0 {
			take := math.Min(n, left)
			hits, left = hits+off*take/n, left-take
		}
		at = end
	}
	return hits / (first - left)
}

// netBenefit is the net benefit a unit of visiting all whose probability reaches
// a threshold: outside ones found, less those visited for nothing at the odds of
// the threshold, over all (Vickers and Elkin 2006, Med Decis Making 26:565).
func netBenefit(visit func(i int) bool, y, weight []float64, threshold float64) float64 {
	good, idle, n := 0.0, 0.0, 0.0
	for i := range y {
		w := of(weight, i)
		n += w
		if visit(i) {
			good, idle = good+w*y[i], idle+w*(1-y[i])
		}
	}
	return (good - idle*threshold/(1-threshold)) / n
}

// thresholds are those net benefit is given at: 0.2 to 0.6.
func thresholds() []float64 {
	return []float64{0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.55, 0.60}
}

// of is a weight, one where there are none.
func of(weight []float64, i int) float64 {
	if weight == nil {
		return 1
	}
	return weight[i]
}

// mean is the weighted mean of y.
func mean(y, weight []float64) float64 {
	sum, n := 0.0, 0.0
	for i := range y {
		sum, n = sum+of(weight, i)*y[i], n+of(weight, i)
	}
	return sum / n
}

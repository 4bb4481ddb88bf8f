package hindsight

import (
	"math"
	"slices"
)

// Isotonic is a non-decreasing fit of outcomes to probabilities, by pooling
// adjacent violators: the calibration curve without bins. Equal probabilities are
// one point. (Dimitriadis, Gneiting and Jordan 2021, PNAS 118(8) e2016191118.)
type Isotonic struct {
	From, To []float64 // ends of each block's probabilities, ascending
	Share    []float64 // outcomes in it
	Weight   []float64
}

// fit pools. Weights nil: all one. Order is the ascending order of p, nil to sort
// here. Cases of weight 0 count for nothing.
func fit(p, y, weight []float64, order []int) Isotonic {
	if order == nil {
		order = ascending(p)
	}
	var f Isotonic
	for _, i := range order {
		w := 1.0
		if weight != nil {
			w = weight[i]
		}
		if w == 0 {
			continue
		}
		last := len(f.To) - 1
		if last >= 0 && f.To[last] == p[i] && f.From[last] == p[i] {
			f.Share[last] = (f.Share[last]*f.Weight[last] + w*y[i]) / (f.Weight[last] + w)
			f.Weight[last] += w
			continue
		}
		f.pool()
		f.From, f.To, f.Share, f.Weight = append(f.From, p[i]), append(f.To, p[i]), append(f.Share, y[i]), append(f.Weight, w)
	}
	f.pool()
	return f
}

// pool merges the last block into those before it while it is not above them. A
// block of one probability is pooled only once it is complete.
func (f *Isotonic) pool() {
	for k := len(f.To) - 1; k > 0 && f.Share[k] <= f.Share[k-1]; k-- {
		w := f.Weight[k-1] + f.Weight[k]
		f.Share[k-1] = (f.Share[k-1]*f.Weight[k-1] + f.Share[k]*f.Weight[k]) / w
		f.Weight[k-1], f.To[k-1] = w, f.To[k]
		f.From, f.To, f.Share, f.Weight = f.From[:k], f.To[:k], f.Share[:k], f.Weight[:k]
	}
}

// at reads the curve: within a block its share, between two on the straight line.
func (f Isotonic) at(p float64) float64 {
	n := len(f.To)
	if n == 0 || math.IsNaN(p) {
		return math.NaN()
	}
	k, _ := slices.BinarySearch(f.To, p) // first block that ends at p or beyond
	switch {
	case k == n:
		return f.Share[n-1]
	case p >= f.From[k] || k == 0:
		return f.Share[k]
	}
	t := (p - f.To[k-1]) / (f.From[k] - f.To[k-1])
	return f.Share[k-1] + t*(f.Share[k]-f.Share[k-1])
}

// Brier is the mean squared error of probabilities and its parts:
// Mean = Miscalibration - Discrimination + Uncertainty, exactly.
type Brier struct{ Mean, Miscalibration, Discrimination, Uncertainty float64 }

// brierOf takes the error apart by the isotonic fit.
func brierOf(p, y, weight []float64, order []int) Brier {
	f := fit(p, y, weight, order)
	var sum, n, hits float64
	for i := range p {
		w := 1.0
		if weight != nil {
			w = weight[i]
		}
		sum, n, hits = sum+w*(p[i]-y[i])*(p[i]-y[i]), n+w, hits+w*y[i]
	}
	calibrated := 0.0
	for k, s := range f.Share {
		calibrated += f.Weight[k] * s * (1 - s)
	}
	base := hits / n
	b := Brier{Mean: sum / n, Uncertainty: base * (1 - base)}
	b.Miscalibration, b.Discrimination = b.Mean-calibrated/n, b.Uncertainty-calibrated/n
	return b
}

// ascending returns the indices of p from the smallest; ties keep their order.
func ascending(p []float64) []int {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case p[a] < p[b]:
			return -1
		case p[a] > p[b]:
			return 1
		}
		return 0
	})
	return order
}

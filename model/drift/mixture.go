package drift

import "math"

// Normal is one state of a mixture.
type Normal struct{ Weight, Mean, SD float64 }

// Mixture is a distribution of a deviation, points: normal states whose weights
// add up to 1. It is one state unless the record leaves open what was done.
type Mixture []Normal

// Below returns the probability of a value below y.
func (m Mixture) Below(y float64) float64 {
	p := 0.0
	for _, n := range m {
		p += n.Weight * phi((y-n.Mean)/n.SD)
	}
	return p
}

// Above returns the probability of a value above y, exact far out.
func (m Mixture) Above(y float64) float64 {
	p := 0.0
	for _, n := range m {
		p += n.Weight * phi((n.Mean-y)/n.SD)
	}
	return p
}

// Moved returns the distribution moved by so many points.
func (m Mixture) Moved(points float64) Mixture {
	out := make(Mixture, len(m))
	for i, n := range m {
		n.Mean += points
		out[i] = n
	}
	return out
}

// Mean returns the expected value.
func (m Mixture) Mean() float64 {
	sum := 0.0
	for _, n := range m {
		sum += n.Weight * n.Mean
	}
	return sum
}

// SD returns the standard deviation.
func (m Mixture) SD() float64 {
	mean, sum := m.Mean(), 0.0
	for _, n := range m {
		d := n.Mean - mean
		sum += n.Weight * (n.SD*n.SD + d*d)
	}
	return math.Sqrt(sum)
}

// Quantile returns the value below which the share p lies, 0 < p < 1.
func (m Mixture) Quantile(p float64) float64 { return m.quantile(p, -math.Sqrt2*math.Erfcinv(2*p)) }

// quantile bisects where there is more than one state; z is the standard normal
// quantile of p.
func (m Mixture) quantile(p, z float64) float64 {
	if len(m) == 1 {
		return m[0].Mean + z*m[0].SD
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, n := range m {
		x := n.Mean + z*n.SD
		lo, hi = math.Min(lo, x), math.Max(hi, x)
	}
	for range 60 {
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			break
		}
		if m.Below(mid) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}

// Estimate is a deviation with its caveats: expected value, standard deviation
// and 90 % interval, points.
type Estimate struct{ Mean, SD, Low, High float64 }

// Estimate returns the distribution in brief, NaN where there is none.
func (m Mixture) Estimate() Estimate {
	if len(m) == 0 {
		nan := math.NaN()
		return Estimate{nan, nan, nan, nan}
	}
	return Estimate{m.Mean(), m.SD(), m.quantile(0.05, -z90), m.quantile(0.95, z90)}
}

// phi is the standard normal distribution function.
func phi(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// density is the normal density of x about 0.
func density(x, variance float64) float64 {
	return math.Exp(-x*x/(2*variance)) / math.Sqrt(2*math.Pi*variance)
}

package drift

import "math"

// Slope returns the unit's own drift rate beside that of its covariates, points
// a year, and its standard deviation given the coefficients and biases.
func (p *Predictor) Slope(u int) (v, sd float64) {
	k, fit := p.k, p.fit
	k.unit(u)
	k.absorb()
	h := k.p + 1
	tau2 := k.th.Tau * k.th.Tau
	v = tau2 * k.residual(h, fit)
	return v, fit.Sigma * math.Sqrt(tau2*math.Max(0, 1-tau2*k.g[h*k.c+h]))
}

// at returns C'P C at two columns, once absorbed.
func (k *kernel) at(a, b int) float64 { return k.g[max(a, b)*k.c+min(a, b)] }

// residual returns column a times P r, r = d - X beta - Z b.
func (k *kernel) residual(a int, fit *Fit) float64 {
	sum := k.at(a, k.p)
	for c, x := range k.xs {
		sum -= k.at(a, c) * fit.beta[x]
	}
	for z, col := range k.cols {
		sum -= k.at(a, k.p+2+z) * fit.b[col]
	}
	return sum
}

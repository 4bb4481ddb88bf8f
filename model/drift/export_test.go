package drift

import "math"

// sqrtQ is how much units wander, points a square-root year.
func (fit *Fit) sqrtQ() float64 { return fit.Theta.Q * fit.Sigma }

// tauSD is the standard deviation of the unit slopes, points a year.
func (fit *Fit) tauSD() float64 { return fit.Theta.Tau * fit.Sigma }

// sharesOf returns what technicians did about readings far out.
func (f *Fleet) sharesOf() Shares { return f.technicians.shares }

// correlation returns the correlation of two coefficients, NaN where one is not
// in the fit.
func (p *posterior) correlation(a, b string) float64 {
	i, j, q := -1, -1, len(p.b)
	for k, col := range p.fleet.used {
		if p.fleet.cols[col].Name == a {
			i = q + k
		}
		if p.fleet.cols[col].Name == b {
			j = q + k
		}
	}
	if i < 0 || j < 0 {
		return math.NaN()
	}
	return p.cov.at(i, j) / math.Sqrt(p.cov.at(i, i)*p.cov.at(j, j))
}

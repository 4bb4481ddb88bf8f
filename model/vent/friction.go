package vent

import "math"

// Friction factors are Darcy's: dp = f L/D rho v^2/2. relative is the wall's
// roughness over the diameter.

// churchill returns the friction factor over all regimes by one continuous
// formula (Churchill 1977), which is what the package uses:
//
//	f = 8 ((8/Re)^12 + (A + B)^-1.5)^(1/12)
//	A = (2.457 ln(1/((7/Re)^0.9 + 0.27 relative)))^16   B = (37530/Re)^16
//
// Where flow is turbulent it stays within 3.1 % of Colebrook-White. NaN unless
// Re is positive.
func churchill(re, relative float64) float64 {
	if !(re > 0) {
		return math.NaN()
	}
	a := math.Pow(2.457*math.Log(1/(math.Pow(7/re, 0.9)+0.27*relative)), 16)
	b := math.Pow(37530/re, 16)
	return 8 * math.Pow(math.Pow(8/re, 12)+math.Pow(a+b, -1.5), 1.0/12)
}

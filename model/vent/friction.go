package vent

import "math"

// Friction factors are Darcy's: dp = f L/D rho v^2/2. relative is the wall's
// roughness over the diameter.

// Churchill returns the friction factor over all regimes by one continuous
// formula (Churchill 1977), which is what the package uses:
//
//	f = 8 ((8/Re)^12 + (A + B)^-1.5)^(1/12)
//	A = (2.457 ln(1/((7/Re)^0.9 + 0.27 relative)))^16   B = (37530/Re)^16
//
// Where flow is turbulent it stays within 3.1 % of Colebrook-White. NaN unless
// Re is positive.
func Churchill(re, relative float64) float64 {
	if !(re > 0) {
		return math.NaN()
	}
	a := math.Pow(2.457*math.Log(1/(math.Pow(7/re, 0.9)+0.27*relative)), 16)
	b := math.Pow(37530/re, 16)
	return 8 * math.Pow(math.Pow(8/re, 12)+math.Pow(a+b, -1.5), 1.0/12)
}

// ColebrookWhite returns the turbulent friction factor (Colebrook 1939):
//
//	1/sqrt(f) = -2 log10(relative/3.7 + 2.51/(Re sqrt(f)))
//
// solved by Newton's method. NaN below Re 4000, where the equation does not
// hold.
func ColebrookWhite(re, relative float64) float64 {
	if !(re >= 4000) {
		return math.NaN()
	}
	x := 1 / math.Sqrt(Haaland(re, relative)) // x = 1/sqrt(f)
	for range 20 {
		inner := relative/3.7 + 2.51*x/re
		g := x + 2*math.Log10(inner)
		step := g / (1 + 2/math.Ln10*2.51/re/inner)
		x -= step
		if math.Abs(step) < 1e-15*x {
			break
		}
	}
	return 1 / (x * x)
}

// Haaland returns the explicit turbulent form of 1983, within 2 % of
// Colebrook-White.
func Haaland(re, relative float64) float64 {
	x := -1.8 * math.Log10(math.Pow(relative/3.7, 1.11)+6.9/re)
	return 1 / (x * x)
}

// SwameeJain returns the explicit turbulent form of 1976.
func SwameeJain(re, relative float64) float64 {
	x := math.Log10(relative/3.7 + 5.74/math.Pow(re, 0.9))
	return 0.25 / (x * x)
}

// Laminar returns 64/Re, the friction factor below Re 2300.
func Laminar(re float64) float64 { return 64 / re }

// Ends of the stretch where flow is neither laminar nor turbulent for certain.
const (
	laminarBelow   = 2300
	turbulentAbove = 4000
)

// Regime names the flow at a Reynolds number: laminar, between or turbulent;
// "" where it is not known.
func Regime(re float64) string {
	switch {
	case re < laminarBelow:
		return "laminar"
	case re <= turbulentAbove:
		return "between"
	case re > turbulentAbove:
		return "turbulent"
	}
	return ""
}

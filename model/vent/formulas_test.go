package vent

import "math"

// The formulas of this file stand in published documents. Nothing the program
// computes needs them; the tests compare its own formulas with them.

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

// PublishedK returns a loss coefficient as printed; NaN for a name the table
// does not hold.
func PublishedK(name string) float64 {
	if k, ok := published[name]; ok {
		return k
	}
	return math.NaN()
}

// BendK returns the loss coefficient of a smooth bend by Rennels and Hudson
// (Pipe Flow; formula read in an open-source library), f the friction factor,
// a the angle in rad, r/d the radius over the diameter:
//
//	f a r/d + (0.10 + 2.4 f) sin(a/2) + 6.6 f (sqrt(sin(a/2)) + sin(a/2))/(r/d)^(4 a/pi)
func BendK(friction, angleDeg, radiusOverDiameter float64) float64 {
	a := angleDeg * math.Pi / 180
	s := math.Sin(a / 2)
	return friction*a*radiusOverDiameter + (0.10+2.4*friction)*s +
		6.6*friction*(math.Sqrt(s)+s)/math.Pow(radiusOverDiameter, 4*a/math.Pi)
}

// AirDensity returns the density of the same atmosphere in kg/m3.
func AirDensity(altitudeM float64) float64 {
	return PressurePa(altitudeM) * airMolarMassG / 1000 / (standardR * standardK(altitudeM))
}

// ShortPressurePa returns the pressure by the ASHRAE Fundamentals' short form
// 101325 (1 - 2.25577e-5 Z)^5.2559. Its altitude is geopotential, so it lies up
// to 20 Pa below PressurePa at 4000 m.
func ShortPressurePa(geopotentialM float64) float64 {
	return seaLevelPa * math.Pow(1-2.25577e-5*geopotentialM, 5.2559)
}

// Draft returns the pressure by which a column of flue gas is lighter than the
// air outdoors, Pa: (rho_outdoor - rho_flue) g H. Negative for a run that goes
// down or a flue colder than the air. Outdoor air counts as dry.
func Draft(riseM, outdoorTempC float64, flue Stream) float64 {
	outdoor := density(flue.PressurePa, outdoorTempC, airMolarMassG)
	return (outdoor - flue.densityKgM3()) * gravity * riseM
}

// DraftOfAir returns the draft of hot air in place of flue gas, from the
// density of the air outdoors: rho_o H g (1 - To/Tm).
func DraftOfAir(riseM, outdoorDensityKgM3, outdoorTempC, meanTempC float64) float64 {
	return outdoorDensityKgM3 * riseM * gravity * (1 - (outdoorTempC+kelvinZeroC)/(meanTempC+kelvinZeroC))
}

// DraftCoefficient returns g M/R of air, by which draft is B H (1/To - 1/Tm)
// times that, K/m. The ASHRAE handbook prints 0.03413; the constants of the US
// Standard Atmosphere 1976 give 0.03416.
func DraftCoefficient() float64 { return gravity * airMolarMassG / 1000 / standardR }

// HandbookDraftInWC returns the ASHRAE handbook's draft of air in inches of
// water from inches of mercury, feet and degrees Rankine:
// 0.2554 B H (1/To - 1/Tm) (chimney chapter, read in a secondary guide). It is
// a check of Draft.
func HandbookDraftInWC(barometerInHg, riseFt, outdoorR, meanR float64) float64 {
	return 0.2554 * barometerInHg * riseFt * (1/outdoorR - 1/meanR)
}

// EquivalentLength returns the straight length that takes as much pressure as
// a loss coefficient: K D/f, m.
func EquivalentLength(k, diameterM, friction float64) float64 { return k * diameterM / friction }

// LengthM returns the straight length of all sections.
func (r Run) LengthM() float64 {
	return r.sum(func(s Section) float64 { return s.LengthM })
}

// RiseM returns the rise from the first section to the last.
func (r Run) RiseM() float64 {
	return r.sum(func(s Section) float64 { return s.RiseM })
}

// sum adds up over the sections; NaN for a run without any.
func (r Run) sum(of func(Section) float64) float64 {
	if len(r.Sections) == 0 {
		return math.NaN()
	}
	total := 0.0
	for _, s := range r.Sections {
		total += of(s)
	}
	return total
}

// HandbookFluePerGrossKg returns the mass of flue gas per MJ of gross input by
// the short formula of the ASHRAE handbook's chimney chapter, lb per 1000 Btu =
// a (b + c/CO2) with 0.705, 0.159, 10.72 for natural gas and 0.706, 0.144,
// 12.61 for liquefied petroleum gas (constants from memory). It reads 0.6 and
// 2.5 % below the mass balance at usual settings, and serves as a check of it.
// NaN for another fuel or a CO2 that is not positive.
func HandbookFluePerGrossKg(fuel string, co2Percent float64) float64 {
	k, ok := map[string][3]float64{"natural gas": {0.705, 0.159, 10.72}, "propane": {0.706, 0.144, 12.61}}[fuel]
	if !ok || !(co2Percent > 0) {
		return math.NaN()
	}
	const kgPerLb, mjPer1000Btu = 0.45359237, 1.05505585262
	return k[0] * (k[1] + k[2]/co2Percent) * kgPerLb / mjPer1000Btu
}

package combustion

import "math"

// The formulas of this file stand in published documents. Nothing the program
// computes needs them; the tests compare its own formulas with them.

// COMgPerM3 returns a share of CO as a mass in a volume of gas at a stated
// temperature and pressure: mg per m3. Practice differs in the reference (0 and
// 25 degC are both in use), so it is an argument and has no default. NaN for a
// negative CO.
func COMgPerM3(coPPM, referenceTempC, referencePressurePa float64) float64 {
	if !(coPPM >= 0) {
		return math.NaN()
	}
	molPerM3 := referencePressurePa / (gasConstant * (referenceTempC + kelvinZeroC))
	return coPPM * molecules["carbon monoxide"].molarMassG() * molPerM3 / 1000
}

// CORatio returns CO over CO2, both by volume: dilution leaves it unchanged.
// Field practice takes up to 0.004 for satisfactory (read on secondary pages).
// NaN when CO is negative or CO2 not positive.
func CORatio(coPPM, co2Percent float64) float64 {
	if !(coPPM >= 0) || !(co2Percent > 0) {
		return math.NaN()
	}
	return coPPM / 1e4 / co2Percent
}

// DryMolarMass3 returns the mass of a mol of dry flue gas in g from an
// analysis in percent: 0.44 CO2 + 0.32 O2 + 0.28 (N2 + CO), 40 CFR 60 Appendix
// A, Method 3 (equation from memory).
func DryMolarMass3(co2Percent, o2Percent, n2AndCOPercent float64) float64 {
	return 0.44*co2Percent + 0.32*o2Percent + 0.28*n2AndCOPercent
}

// DefaultDryMolarMassG may be assigned without measurement for natural gas,
// coal and oil: 40 CFR 60 Appendix A, Method 3, section 1.3(3) (read in
// transcription).
const DefaultDryMolarMassG = 30.0

// ExcessAir3B returns excess air in percent from a dry analysis by the
// equation of 40 CFR 60 Appendix A, Method 3B (equation from memory, its
// constant 0.264 = 20.9/79.1): it needs no fuel, takes CO into account, and is
// exact for fuels free of nitrogen. All arguments are in percent, CO included.
// NaN where the analysis is not one of lambda >= 1.
func ExcessAir3B(o2Percent, coPercent, n2Percent float64) float64 {
	free := o2Percent - 0.5*coPercent
	rest := 0.264*n2Percent - free
	if !(coPercent >= 0) || !(free >= 0) || !(rest > 0) {
		return math.NaN()
	}
	return 100 * free / rest
}

// WithHydrogen returns a gas with a share of hydrogen in percent by volume and
// the rest the gas itself. An error for a share outside 0 to 100.
func WithHydrogen(g Gas, percent float64) (Gas, error) {
	hydrogen := Gas{Name: "hydrogen", Parts: []Part{{"hydrogen", 100}}}
	return blend(g.Name+" with hydrogen", g, hydrogen, percent)
}

// FixedFanByAirTemp returns the factor of a fan at constant speed (constant
// volume of air) with gas at constant temperature: warmer air is thinner.
func FixedFanByAirTemp(beforeC, afterC float64) float64 {
	return (beforeC + kelvinZeroC) / (afterC + kelvinZeroC)
}

// RatioControlByAirTemp returns the factor of a pneumatic one-to-one control
// (the same pressure difference over air and gas) with gas at constant
// temperature. Where gas and air warm together it is 1.
func RatioControlByAirTemp(beforeC, afterC float64) float64 {
	return math.Sqrt(FixedFanByAirTemp(beforeC, afterC))
}

// FixedFanByPressure returns the factor of a fan at constant speed with gas
// through an orifice at constant gauge pressure, by ambient pressure. A ratio
// control does not move to first order.
func FixedFanByPressure(beforePa, afterPa float64) float64 { return math.Sqrt(afterPa / beforePa) }

// RatioControlByOffset returns the factor that an offset of the gas governor
// makes at a pressure difference: sqrt(dp/(dp + offset)). It shows at low fire
// first, where the difference is small.
func RatioControlByOffset(differencePa, offsetPa float64) float64 {
	return math.Sqrt(differencePa / (differencePa + offsetPa))
}

// ByHumidAir returns the factor that water vapour in the air makes: it takes
// the place of oxygen.
func ByHumidAir(vapourPa, pressurePa float64) float64 { return 1 - vapourPa/pressurePa }

// ByGas returns the factor when one gas takes another's place behind the same
// restriction: the air each needs over the root of its density, before over
// after. Close to the inverse ratio of the Wobbe indices.
func ByGas(before, after Stoichiometry) float64 {
	need := func(s Stoichiometry) float64 { return s.AirMol / math.Sqrt(s.Formula.molarMassG()) }
	return need(before) / need(after)
}

// ExcessAirPercent returns 100 (lambda - 1); NaN below lambda 1.
func ExcessAirPercent(lambda float64) float64 {
	if !(lambda >= 1) {
		return math.NaN()
	}
	return 100 * (lambda - 1)
}

// MagnusPressurePa returns the saturation pressure over water by the short
// formula 611.2 exp(17.62 t/(243.12 + t)) of WMO-No. 8 (2008), Annex 4.B, the
// only one of the two that goes below 0 degC: outdoor air. NaN outside its
// range, -45 to 60 degC.
func MagnusPressurePa(tempC float64) float64 {
	if !inRange(tempC, -45, 60) {
		return math.NaN()
	}
	return 611.2 * math.Exp(17.62*tempC/(243.12+tempC))
}

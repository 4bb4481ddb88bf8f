package combustion

import "math"

// COMgPerM3 returns a share of CO as a mass in a volume of gas at a stated
// temperature and pressure: mg per m3. Practice differs in the reference (0 and
// 25 degC are both in use), so it is an argument and has no default. NaN for a
// negative CO.
func COMgPerM3(coPPM, referenceTempC, referencePressurePa float64) float64 {
	if !(coPPM >= 0) {
		return math.NaN()
	}
	molPerM3 := referencePressurePa / (gasConstant * (referenceTempC + kelvinZeroC))
	return coPPM * molecules["carbon monoxide"].MolarMassG() * molPerM3 / 1000
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

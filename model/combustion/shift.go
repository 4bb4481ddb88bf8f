package combustion

import "math"

// The functions of this file say by what factor lambda moves when something
// about a burner moves, from first principles: flow through a restriction goes
// with the root of pressure difference over density. Temperatures are degC;
// the answer is lambda after over lambda before. They are what a burner would
// do by itself, not a forecast of one.

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

// FixedFanByResistance returns the factor when the resistance of the whole air
// and flue path changes by a factor, the fan's pressure being flat.
func FixedFanByResistance(factor float64) float64 { return 1 / math.Sqrt(factor) }

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
	need := func(s Stoichiometry) float64 { return s.AirMol / math.Sqrt(s.Formula.MolarMassG()) }
	return need(before) / need(after)
}

// Sensitivity returns d ln CO2 / d ln lambda at a lambda: by how many percent
// CO2 falls when lambda rises by one. NaN below lambda 1.
func (s Stoichiometry) Sensitivity(lambda float64) float64 {
	if !(lambda >= 1) {
		return math.NaN()
	}
	return -lambda * s.AirMol / (s.DryMol + (lambda-1)*s.AirMol)
}

// CO2After returns the CO2 that a burner set at one CO2 shows when its lambda
// is multiplied by a factor; NaN where that leaves lambda below 1.
func (s Stoichiometry) CO2After(co2Percent, factor float64) float64 {
	return s.CO2FromLambda(s.LambdaFromCO2(co2Percent) * factor)
}

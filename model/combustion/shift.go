package combustion

import "math"

// FixedFanByResistance returns the factor by which lambda moves when the
// resistance of the whole air and flue path changes by a factor, the fan's
// pressure being flat: flow goes with the root of pressure over resistance. It
// is what a burner would do by itself, not a forecast of one.
func FixedFanByResistance(factor float64) float64 { return 1 / math.Sqrt(factor) }

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

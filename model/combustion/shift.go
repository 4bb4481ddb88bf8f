package combustion

import "math"

// FixedFanByResistance returns the factor by which lambda moves when the
// resistance of the whole air and flue path changes by a factor, the fan's
// pressure being flat: flow goes with the root of pressure over resistance. It
// is what a burner would do by itself, not a forecast of one.
func FixedFanByResistance(factor float64) float64 { return 1 / math.Sqrt(factor) }

// CO2After returns the CO2 that a burner set at one CO2 shows when its lambda
// is multiplied by a factor; NaN where that leaves lambda below 1.
func (s Stoichiometry) CO2After(co2Percent, factor float64) float64 {
	return s.CO2FromLambda(s.LambdaFromCO2(co2Percent) * factor)
}

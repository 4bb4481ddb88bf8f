package vent

import "math"

// Constants of the US Standard Atmosphere 1976 up to 11 km.
const (
	earthRadiusM  = 6356766
	seaLevelPa    = 101325
	seaLevelK     = 288.15
	lapseKPerM    = 0.0065
	standardR     = 8.31432 // J/(mol K), the standard's own gas constant
	pressurePower = gravity * airMolarMassG / 1000 / (standardR * lapseKPerM)
)

// PressurePa returns the pressure of the US Standard Atmosphere 1976 at a
// geometric altitude: height above sea level as a map gives it, turned into
// the geopotential altitude the standard is written in. NaN outside -500 to
// 11000 m.
func PressurePa(altitudeM float64) float64 {
	return seaLevelPa * math.Pow(standardK(altitudeM)/seaLevelK, pressurePower)
}

// standardK returns the temperature of the same atmosphere.
func standardK(altitudeM float64) float64 {
	if !(altitudeM >= -500 && altitudeM <= 11000) {
		return math.NaN()
	}
	return seaLevelK - lapseKPerM*earthRadiusM*altitudeM/(earthRadiusM+altitudeM)
}

package vent

// Draft returns the pressure by which a column of flue gas is lighter than the
// air outdoors, Pa: (rho_outdoor - rho_flue) g H. Negative for a run that goes
// down or a flue colder than the air. Outdoor air counts as dry.
func Draft(riseM, outdoorTempC float64, flue Stream) float64 {
	outdoor := Density(flue.PressurePa, outdoorTempC, airMolarMassG)
	return (outdoor - flue.DensityKgM3()) * gravity * riseM
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

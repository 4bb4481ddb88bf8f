// Package combustion holds the chemistry of a gas burner's flue: what a fuel
// needs in air, what it leaves in flue gas, and how CO2, O2, lambda and CO
// hang together.
//
// There are two ways in. A Fuel is a name with one declared CO2max; it is what
// records are converted with, because an analyzer shows CO2 computed from O2
// with such a number. A Gas is a composition; its Stoichiometry gives air,
// flue gas and CO2max from the atoms, and lambda, which a CO2max alone cannot.
//
// Percentages are by volume of dry gas, CO is in ppm by volume of dry gas.
// Everything holds for lambda >= 1 (at least the air the fuel needs) and next
// to no CO: the same CO2 occurs once on either side of stoichiometric, and
// nothing here can tell which. Outside its range a function returns NaN; a
// NaN argument gives NaN.
//
// Dry air is taken to hold 20.9, 20.95 or 21 % of oxygen depending on who
// writes. CO2max moves by about 0.03 points for each 0.05, so the convention
// is an argument everywhere and has no default.
package combustion

import (
	"fmt"
	"math"
)

// AirO2 is the oxygen that dry air is taken to hold, in percent by volume.
type AirO2 float64

// The conventions in use.
const (
	AirO2Field     AirO2 = 20.9  // 40 CFR 60 Appendix A, Methods 3B and 19; most field analyzers (common practice)
	AirO2Physical  AirO2 = 20.95 // dry air as physics has it
	AirO2Ordinance AirO2 = 21    // 1. BImSchV Annex 2; 40 CFR 60.284
)

// check returns an error for a convention nobody uses (below 20.8 or above
// 21.1 %), such as a fraction in place of a percentage.
func (a AirO2) check() error {
	if a >= 20.8 && a <= 21.1 {
		return nil
	}
	return fmt.Errorf("oxygen of dry air %g %% is outside 20.8 to 21.1 %%: use 20.9, 20.95 or 21", float64(a))
}

// fraction returns the oxygen of dry air in mol per mol.
func (a AirO2) fraction() float64 { return float64(a) / 100 }

// fo returns (air - O2)/CO2, the factor by which a pair of O2 and CO2 readings
// betrays its fuel. Dilution of the sample with air leaves it unchanged.
// NaN when CO2 is not positive or O2 lies outside 0 to the air's.
//
// Source: 40 CFR 60 Appendix A, Method 3B (definition).
func fo(co2Percent, o2Percent float64, air AirO2) float64 {
	if !(co2Percent > 0) || !inRange(o2Percent, 0, float64(air)) {
		return math.NaN()
	}
	return (float64(air) - o2Percent) / co2Percent
}

// COAtO2 returns the CO a sample would show had it been diluted to the
// reference O2: CO (air - ref)/(air - O2). A reference of 0 gives CO
// air-free. NaN when CO is negative, or either O2 lies outside 0 to below the
// air's.
//
// Sources: 40 CFR 62.14650(f) equation 1 (air 20.9); 1. BImSchV Annex 2 No. 2.2
// (air 21).
func COAtO2(coPPM, o2Percent, referenceO2Percent float64, air AirO2) float64 {
	a := float64(air)
	if !(coPPM >= 0) || !(o2Percent >= 0 && o2Percent < a) || !(referenceO2Percent >= 0 && referenceO2Percent < a) {
		return math.NaN()
	}
	return coPPM * (a - referenceO2Percent) / (a - o2Percent)
}

// inRange reports lo <= v <= hi; false for NaN.
func inRange(v, lo, hi float64) bool { return v >= lo && v <= hi }

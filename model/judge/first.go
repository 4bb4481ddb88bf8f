package judge

import "slices"

// FireBoth is the fire of a Situation in which high and low are out alike.
const FireBoth Fire = "both"

// COGrade is the grade of the newest CO on record.
type COGrade uint8

// Grades of CO. Every axis of a Situation has a value for what is not known, so that
// the table of first checks speaks for every unit.
const (
	CONotRecorded COGrade = iota
	COBelowAttention
	COForAttention
	COIsUrgent
)

// AirChange compares the combustion air with that of the day the burner was last set.
type AirChange uint8

// Changes of combustion air.
const (
	AirAlike AirChange = iota // or not known
	AirWarmer
	AirColder
)

// AnalyzerState is what is known of the analyzer of a reading.
type AnalyzerState uint8

// States of an analyzer.
const (
	AnalyzerNotKnown AnalyzerState = iota
	AnalyzerInOrder
	AnalyzerOverdue // for calibration
	AnalyzerDoubted // it stands off at other units too
)

// GasChange compares the gas pressure with the unit's own before.
type GasChange uint8

// Changes of gas pressure.
const (
	GasNotRecorded GasChange = iota
	GasAlike
	GasLower
	GasHigher
)

// Situation is what is known about a unit before somebody goes: the axes of
// the table of first checks.
type Situation struct {
	Side        Side    // of the setting band
	Fire        Fire    // High, Low, Single or FireBoth: where it is out, or was read
	Control     Control // of the burner
	CO          COGrade
	Air         AirChange
	Analyzer    AnalyzerState
	GasPressure GasChange
}

// Check is one thing to look at first: a row of the table of first checks.
type Check uint8

// Checks, in the order of the table.
const (
	TakeOutOfService    Check = iota + 1 // out of service first, then what keeps air out
	WhatTakesAir                         // rich with CO: what takes the air away
	BurnerHead                           // lean with CO: burner head and flame
	FlameAndSurfaces                     // CO with a CO2 that says nothing: flame, burner surface, heat exchanger
	SecondAnalyzer                       // read again with a second analyzer
	ZeroAnalyzer                         // zero the analyzer and compare it with a calibrated one
	ReadCO                               // read CO
	GasPressureUp                        // rich with more gas pressure: pressures and regulator
	GasPressureDown                      // lean with less gas pressure: pressures, regulator, filter, pipe
	AirSideFirst                         // rich in spite of less gas pressure: the air side
	AirBesideBurner                      // lean in spite of more gas pressure: air from elsewhere, gas orifice
	WarmerAirAtSetting                   // rich in warmer air, where nothing follows it
	ColderAirAtSetting                   // lean in colder air, where nothing follows it
	WarmerAirUnderRatio                  // rich in warmer air under ratio control
	ColderAirUnderRatio                  // lean in colder air under ratio control
	ValveZeroOffset                      // ratio control at low fire: zero offset of the gas valve
	SignalLine                           // ratio control, rich: signal line, flue gas drawn in
	SupplyAtFullInput                    // ratio control, lean: supply pressure at full input, ratio screw, orifice
	LinkageSlack                         // linkage at low fire: slack and stops
	LinkedAirPath                        // linkage, rich: fan, filter, damper
	LinkedGasPath                        // linkage, lean: fixing, gas filter, regulator
	TrimReadsHigh                        // oxygen trim, rich: compare its oxygen
	TrimReadsLow                         // oxygen trim, lean: compare its oxygen, leaking air
	FixedFanAirPath                      // fixed air, rich: dirt in the air path, fan speed
	FixedFanGasPath                      // fixed air, lean: gas path, air path opened
	DraftAndOpenings                     // natural draft, rich: draft, vent, openings
	DraftHoodSample                      // natural draft, lean: manifold pressure, place of the probe
	PointsOfCurve                        // multi-point control: points of the curve, actuators
	UnknownControlAir                    // control not known, rich: what keeps air out
	UnknownControlGas                    // control not known, lean: gas pressure, leaking sample
	WorseWhenWarm                        // rich in colder air: larger than it looks
	WorseWhenCold                        // lean in warmer air: larger than it looks
	NoteAnalyzer                         // write down the analyzer
	NoteGasPressure                      // measure the gas pressure
	NothingStandsOut                     // inside its band, and nothing else to say
	FindTarget                           // find the target
	ReadAgain                            // read again after some minutes
)

// MostChecks is how many checks a situation is given.
const MostChecks = 3

// CheckFirst returns what to look at first in a situation, one to three checks
// in order. They are a place to begin for a licensed technician with the
// appliance's own instructions at hand, and no diagnosis.
func CheckFirst(s Situation) []Check {
	var checks []Check
	for i := range checkTable {
		if row := &checkTable[i]; len(checks) < MostChecks && row.fits(s) {
			checks = append(checks, row.check)
		}
	}
	return checks
}

// checkRow is a row of the table: the values of each axis it holds for, none
// meaning any.
type checkRow struct {
	check     Check
	sides     []Side
	fires     []Fire
	controls  []Control
	cos       []COGrade
	airs      []AirChange
	analyzers []AnalyzerState
	gas       []GasChange
}

// fits reports whether a row holds for a situation.
func (row *checkRow) fits(s Situation) bool {
	return holds(row.sides, s.Side) && holds(row.fires, s.Fire) && holds(row.controls, s.Control) && holds(row.cos, s.CO) &&
		holds(row.airs, s.Air) && holds(row.analyzers, s.Analyzer) && holds(row.gas, s.GasPressure)
}

// holds reports whether an axis of a row holds for a value.
func holds[T comparable](axis []T, value T) bool {
	return len(axis) == 0 || slices.Contains(axis, value)
}

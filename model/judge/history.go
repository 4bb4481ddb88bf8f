// Package judge takes a unit's ordered history and says what each reading is
// good for: used, marked, or left out of the fit, with the finding that led to
// it. A judgement takes a reading out of the fit; it never takes a unit off a
// list. The package knows no database, no file and no clock.
//
// The history is plain values in canonical units (m, kW, degC, Pa, % by volume
// dry, ppm). A missing number is NaN, a missing text is "", a missing day is
// day.None. Days count from 1970-01-01.
package judge

import (
	"math"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
)

// Target is what a unit's instructions ask for at one fire, and the bands
// about it. It is declared in CO2 or in O2 (the other is NaN). A band side is a
// positive number of points of the declared gas; NaN where none is declared.
type Target struct {
	CO2Percent, O2Percent float64
	SetRich, SetLean      float64 // setting band: what must be left
	ActRich, ActLean      float64 // action band: what justifies an early visit
	LongestRunM           float64 // longest vent run the model line allows, m
	FanPa                 float64 // pressure the fan has for the air and flue path, Pa
	Origin                string  // where it was declared; "" where there is none
}

// Declared reports whether there is a target at all.
func (t Target) Declared() bool { return t.Origin != "" }

// LineTargets gives what a model line asks for at a fire on a fuel and day; a
// Target without Origin where nothing is declared.
type LineTargets func(line string, fire Fire, fuel string, day day.Day) Target

// Unit is one boiler with the attributes in force on the as-of day.
type Unit struct {
	Key                            int32
	Serial, Source, Site, Area     string
	ModelLine, Firing              string
	Control                        Control
	Fuel, Plant                    string
	State                          State
	InputKW                        float64
	Installed, StateFrom, FirstDay day.Day
	RemovedDay                     day.Day // taken out then and installed again since; day.None: never
	AltitudeM                      float64
	LatitudeDeg, LongitudeDeg      float64
	InRegister                     bool
	RegisterConflict               bool   // register lines of one day, or the registers of two sources, contradict each other
	Carry                          string // JSON object of columns that travel to the lists
	Marks                          string
}

// BeforeRemoval reports whether a day lies before the unit was taken out to be
// installed again: nothing of that time speaks for how it stands now.
func (u *Unit) BeforeRemoval(d day.Day) bool { return u.RemovedDay != day.None && d <= u.RemovedDay }

// Visit is a day's work at a unit.
type Visit struct {
	ID                        string
	Day                       day.Day
	Minute                    int16 // minute of the day, -1 unknown
	Reason                    Reason
	Technician, Analyzer      string
	AdjustedHigh, AdjustedLow string // yes | no | ""
	Parts, NotReached         string
	OutdoorTempC              float64
	Source                    string // source group
	Origin                    string // file:line
}

// Reading is one set of gas values at one fire and condition, in the context
// of its day.
type Reading struct {
	Visit                               int // index into History.Visits
	Day                                 day.Day
	Minute                              int16 // -1 unknown
	Fire                                Fire
	Condition, Recorded                 Condition
	RatePercent                         float64
	CO2Percent, O2Percent               float64
	COPPM                               float64
	COBasis                             string
	COReferenceO2Percent                float64
	COLimit                             string // below | above | ""
	FlueTempC, AirTempC                 float64
	AirTempAt                           string
	MinutesFiring                       float64
	SupplyPa, ManifoldPa                float64
	FanSpeedRPM, FlameSignalUA, DraftPa float64
	CO2Decimals, O2Decimals             int8 // decimals as exported, -1 unknown
	Analyzer                            string
	Calibrated                          day.Day // latest calibration on or before the day
	Fuel                                string
	FuelUncertain                       bool
	VentRun                             int // index into History.VentRuns, -1 none
	VentUncertain                       bool
	Target                              Target
	Origin                              string // file:line
	Marks                               string
}

// VentRun is the vent and combustion-air configuration of a unit from a day on
// (half-open). Unknown is a level of its own: NaN lengths, -1 counts, "" words.
type VentRun struct {
	From, Until, UncertainFrom     day.Day
	Known                          bool
	Pinned                         bool // the day of change was taken from a visit's reason
	DiameterM, LengthM, RiseM      float64
	Elbows90, Elbows45             int
	Terminal, Material, AirFrom    string
	IntakeDiameterM, IntakeLengthM float64
	IntakeElbows90, IntakeElbows45 int
	CommonVent                     string
}

// Move is the coming of a unit to another place: its setting and its vent run start
// anew there, and its altitude and area are others. It came on Day where After is
// day.None, else on some day after After and no later than Day.
type Move struct {
	Day, After                 day.Day
	FromSite, ToSite, FromArea string
	FromAltitudeM              float64 // NaN unknown
	Origin                     string  // file:line that first states the new place
}

// Before reports whether a day surely lies before the move.
func (m *Move) Before(d day.Day) bool {
	if m.After != day.None {
		return d <= m.After
	}
	return d < m.Day
}

// FuelPeriod is the fuel of a unit from a day on (half-open).
type FuelPeriod struct {
	From, Until, UncertainFrom day.Day
	Pinned                     bool
	Fuel                       string
}

// FireTarget is the target in force on the as-of day at one fire.
type FireTarget struct {
	Fire   Fire
	Target Target
}

// Answer is what a person answered about a listed unit.
type Answer struct {
	Day, Until day.Day
	Answer     string
}

// UnusedCO is a CO that stands on a record of the unit which could not be used:
// its line is set aside, or another contradicts it. Nothing else of the line is
// known for sure.
type UnusedCO struct {
	Day                  day.Day // day.None where it cannot be read
	LatestDay            day.Day // no later than this; day.None where even that is not known
	Fire                 Fire
	Condition            Condition
	Text                 string  // the cell as written, where it could not be read as the column declares
	COPPM                float64 // as recorded; NaN: over range without a number, or not readable
	COLimit              string  // below | above | ""
	COBasis              string
	COReferenceO2Percent float64
	O2Percent            float64
	Reason               string // why the line is not used
	Origin               string // file:line
}

// Readable reports whether the record says how much CO there was at least.
func (u *UnusedCO) Readable() bool { return u.COPPM >= 0 || u.COLimit == Above }

// AtLeastPPM returns the CO free of excess air that the record states at least:
// by its basis, by its O2 where a burner was at work (O2 below mostO2Percent),
// else as recorded, because CO air-free is never less than measured. NaN where
// nothing is known: not readable, only an upper limit, or over range without a
// number.
func (u *UnusedCO) AtLeastPPM(air combustion.AirO2, mostO2Percent float64) float64 {
	if !(u.COPPM >= 0) || u.COLimit == Below {
		return math.NaN()
	}
	free := math.NaN()
	switch {
	case u.COBasis == AirFree:
	case u.COBasis == AtReference:
		free = combustion.COAtO2(u.COPPM, u.COReferenceO2Percent, 0, air)
	case u.O2Percent < mostO2Percent:
		free = combustion.COAtO2(u.COPPM, u.O2Percent, 0, air)
	}
	if free >= u.COPPM {
		return free
	}
	return u.COPPM
}

// History is everything known about one unit on the as-of day. Visits are
// ordered by day, time and key; readings by day, time, visit, fire and the
// order in which they were taken.
type History struct {
	Unit     Unit
	Visits   []Visit
	Readings []Reading
	Moves    []Move // by day
	VentRuns []VentRun
	Fuels    []FuelPeriod
	Targets  []FireTarget
	Answers  []Answer
	UnusedCO []UnusedCO // in order of file and line
}

package demo

import (
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Effects are the planted effects of one burner control at one fire. CO2 is in
// points (% by volume dry), z is the vent covariate (VentCovariate): equivalent
// length over the longest run the model line allows, or in a world VentByFan the
// loss of vent and intake over the pressure the fan has.
type Effects struct {
	RatePerYear     float64 // drift at z = 0 and age 0, points a year
	VentRatePerYear float64 // drift per unit of z, points a year
	AgeRatePerYear  float64 // growth of the drift with age, points a year per year
	Settling        float64 // points drifted in the first year after an adjustment, evenly
	PerKelvin       float64 // points per kelvin of combustion air
	VentLevel       float64 // points by which one unit of z moves the setting
}

// ControlEffects are the effects of one burner control. A unit with one fire
// follows High.
type ControlEffects struct{ High, Low Effects }

// Gases says which gas is recorded.
type Gases int

// What the records hold.
const (
	AsOffices Gases = iota // each office its own way: both, CO2 only, O2 only
	OnlyCO2                // CO2 everywhere
	OnlyO2                 // the same CO2 values, written as O2 with four decimals
)

// Fans says which model lines declare the pressure their fan has.
type Fans int

// Whose instructions name a fan's pressure.
const (
	FansOfSome Fans = iota // some makers', not quite half of the units
	FansOfAll
	FansOfNone
)

// TypedVentFt is the vent length typed in where nobody measured, ft.
const TypedVentFt = 10

// LevelStep is a day from which all units of an area burn another gas quality:
// their true CO2 moves by the given points and stays there.
type LevelStep struct {
	Area      string // as in the register; "*" for all
	Day       day.Day
	CO2Points float64
}

// World is everything about the fleet that can be turned: sizes of effects and
// noise, how people record, and how often each fault occurs. Shares are of
// units, visits or readings as each field says; 0 switches a thing off.
type World struct {
	Effects map[judge.Control]ControlEffects // by burner control

	// True state, CO2 points.
	NoiseSD       float64 // of one reading
	WanderSD      float64 // of the Brownian part after one year
	SlopeSD       float64 // of a unit's own slope, points a year
	FireShare     float64 // correlation of a unit's slopes at high and low fire
	AnalyzerSD    float64 // constant part of an analyzer's bias
	CalibrationSD float64 // part that is new with each calibration
	SetSD         float64 // how closely a technician sets the display
	ClimateMeanC  float64 // outdoor temperature: yearly mean
	ClimateSwingC float64 // half the way from January to July
	WeatherSD     float64 // of a day about the season, K
	SiteClimateSD float64 // of a site about the climate, K
	JumpsPerYear  float64 // failing parts a unit and year: the setting jumps by 0.3 to 1.0 points
	JumpCallOut   float64 // share of jumps somebody notices within a month
	COHighShare   float64 // units whose burner makes CO in the last two years
	NoiseSpread   float64 // how analyzers differ in noise (log sd)
	LowNoise      float64 // noise at low fire, times that at high fire; 0: the same
	Saturates     float64 // years of age in which drift dies down (e-fold); 0: never
	LevelSteps    []LevelStep
	RoomAir       bool // some units take air from the room
	VentByFan     bool // effects of the vent go with its loss over the fan's pressure; with FansOfAll
	FactoryTests  bool // new units have a test on the factory's bench and short run on record

	// How people work and record.
	Cell            bool    // bias sits on an O2 cell; CO2 follows from it by the fuel selected
	Display         bool    // analyzers show one decimal
	CallOutsPerYear float64 // call-outs a year at a unit more than 0.3 points off
	MissedShare     float64 // annual visits that never happen
	AsFoundMissing  float64
	AsLeftMissing   float64 // of visits with an adjustment
	FlagMissing     float64 // adjusted not recorded
	AnalyzerMissing float64
	AdjustShare     float64 // adjusted when further off than the technician minds
	Habits          bool    // technicians set high, mind little, never write as found
	AsFoundLow      float64 // points by which as found reads low
	SecondTries     float64 // settings at the first office measured, and set again
	SelectiveShare  float64 // technicians who write as found only where it is bad
	FarMissing      float64 // as founds further off than 0.3 points that are not written down
	DisplayStep     float64 // steps in which CO2 is shown, %; 0: as Display says
	AirMissing      float64 // visits without the temperature of the air
	Autumn          bool    // all annual visits in autumn
	OneContractor   float64 // visits done by one technician with one analyzer
	Swapped         bool    // two technicians of each area carry each other's analyzer for half a year, unrecorded

	// What changes between register exports (shares of units).
	ReroutedShare, ConvertedShare, MovedShare float64

	// What the records hold.
	Gases             Gases
	Fans              Fans
	OneFire           bool    // low fire never tested
	AsLeftOnly        bool    // as found never recorded
	NoAnalyzers       bool    // no analyzer ids
	VentLengthMissing float64 // units without a vent length in the register
	VentErrorSD       float64 // error of recorded lengths (log)
	VentTyped         float64 // units whose length nobody measured and TypedVentFt was typed in

	Faults Faults
}

// Faults are the shares in which records are spoilt.
type Faults struct {
	Damaged      float64 // visits with an unreadable line
	Doubles      float64 // visits exported twice under one id
	LikelyDouble float64 // visits entered twice under two ids
	Corrections  float64 // visits corrected by a later export
	Copied       float64 // visits whose as found repeats the previous record
	Typing       float64 // readings with a gas value typed wrong
	TypingLast   float64 // units whose last as found is typed wrong
	LetterCase   float64 // visits with the serial in other letters
	StraySerial  float64 // visits under a serial that is in no register
	WrongLabel   float64 // units registered with the other fuel
	WrongSetting float64 // visits with the analyzer set to the other fuel
	LeftOutside  float64 // visits that end outside the setting band
	SwappedGases float64 // visits with O2 and CO2 in each other's column, or one typed as the other
	SwappedFires float64 // visits with high and low fire exchanged
	DegF         float64 // visits with degF where the office writes degC
	RoomProbe    float64 // visits with the air taken in the room
	Early        float64 // visits at which a fire was read before the unit was warm
	NoModelLine  float64 // units registered without a model line
	Register     float64 // units whose line in the earlier register export is damaged or doubled
	Answers      float64 // answers with a word nobody agreed on
	Interleaved  bool    // files with blank, repeated header and footer lines
}

// plantedEffects are the effects of both worlds. Signs and ranges follow from
// first principles (air and gas through fixed restrictions: a fan of fixed
// speed gains about 0.033 points per kelvin and gets rich with resistance,
// ratio control gives at most half of the first and hardly any of the second,
// and its offset drifts at low fire first); the sizes are invented.
func plantedEffects() map[judge.Control]ControlEffects {
	return map[judge.Control]ControlEffects{
		judge.ControlRatio: {
			High: Effects{
				RatePerYear: -0.040, VentRatePerYear: 0.015, AgeRatePerYear: 0.002, Settling: 0.04, PerKelvin: 0.010,
				VentLevel: 0.05,
			},
			Low: Effects{
				RatePerYear: -0.085, VentRatePerYear: 0.060, AgeRatePerYear: 0.002, Settling: 0.04, PerKelvin: 0.014,
				VentLevel: 0.15,
			},
		},
		judge.ControlFixedAir: {
			High: Effects{
				RatePerYear: 0.020, VentRatePerYear: 0.200, AgeRatePerYear: 0.003, Settling: 0.04, PerKelvin: 0.033,
				VentLevel: 0.50,
			},
			Low: Effects{
				RatePerYear: 0.015, VentRatePerYear: 0.170, AgeRatePerYear: 0.003, Settling: 0.04, PerKelvin: 0.031,
				VentLevel: 0.40,
			},
		},
		judge.ControlLinkage: {
			High: Effects{
				RatePerYear: 0.050, VentRatePerYear: 0.100, AgeRatePerYear: 0.003, Settling: 0.04, PerKelvin: 0.030,
				VentLevel: 0.35,
			},
			Low: Effects{
				RatePerYear: 0.060, VentRatePerYear: 0.100, AgeRatePerYear: 0.003, Settling: 0.04, PerKelvin: 0.028,
				VentLevel: 0.35,
			},
		},
		judge.ControlOxygenTrim: {
			High: Effects{
				RatePerYear: 0.004, VentRatePerYear: 0.010, AgeRatePerYear: 0.001, Settling: 0.01, PerKelvin: 0.004,
				VentLevel: 0.05,
			},
			Low: Effects{
				RatePerYear: 0.004, VentRatePerYear: 0.010, AgeRatePerYear: 0.001, Settling: 0.01, PerKelvin: 0.004,
				VentLevel: 0.05,
			},
		},
	}
}

// Plain is the world the drift model assumes, and nothing else: linear effects,
// independent normal noise, flags always recorded, no display step, no
// call-outs, no faults, and vents told apart by length: no line declares a fan's
// pressure. As founds and as lefts are missing at random.
func Plain() World {
	return World{
		Effects: plantedEffects(),
		NoiseSD: 0.06, WanderSD: 0.07, SlopeSD: 0.07, FireShare: 0.6,
		AnalyzerSD: 0.05, CalibrationSD: 0.05, SetSD: 0.04,
		ClimateMeanC: 10, ClimateSwingC: 10, WeatherSD: 4,
		MissedShare: 0.2, AsFoundMissing: 0.2, AsLeftMissing: 0.1, AdjustShare: 0.9,
		Fans: FansOfNone,
	}
}

// Default is the world of the demo: Plain, and what people and records do to it.
func Default() World {
	w := Plain()
	w.SiteClimateSD, w.RoomAir, w.FactoryTests = 1, true, true
	w.JumpsPerYear, w.JumpCallOut, w.COHighShare = 0.02, 0.4, 0.03
	w.Cell, w.Display, w.Habits = true, true, true
	w.CallOutsPerYear = 0.4
	w.FlagMissing, w.AnalyzerMissing, w.SecondTries = 0.04, 0.04, 0.03
	w.ReroutedShare, w.ConvertedShare, w.MovedShare = 0.06, 0.02, 0.02
	w.VentLengthMissing, w.Fans = 0.3, FansOfSome
	w.Faults = Faults{
		Damaged: 0.012, Doubles: 0.004, LikelyDouble: 0.003, Corrections: 0.006,
		Copied: 0.012, Typing: 0.004, TypingLast: 0.008,
		LetterCase: 0.006, StraySerial: 0.0008,
		WrongLabel: 0.03, WrongSetting: 0.003, LeftOutside: 0.004,
		SwappedGases: 0.002, SwappedFires: 0.003, DegF: 0.003, RoomProbe: 0.01, Early: 0.003,
		NoModelLine: 0.004, Register: 0.012, Answers: 0.15,
		Interleaved: true,
	}
	return w
}

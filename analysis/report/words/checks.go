package words

import (
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// checkWords are the checks in two sentences: what to do, and why that comes first.
// Every one is common practice; no source prints such a table. Quantities in braces are
// written in the units of the reader.
var checkWords = map[judge.Check]struct{ do, why string }{
	judge.TakeOutOfService: {
		"Have the unit taken out of service as its instructions say, then look at intake, vent and heat exchanger for anything " +
			"that keeps air out.",
		"CO at this level is a danger before it is a setting; adjusting comes after the cause is found.",
	},
	judge.WhatTakesAir: {
		"Look for what takes the air away: intake, filter, fan wheel, heat exchanger, vent and its end.",
		"Rich with CO up is a lack of air until shown otherwise; turning down the gas would hide it.",
	},
	judge.BurnerHead: {
		"Look at the burner head and the flame: lifting, cracks, something wet or cold in its way.",
		"CO on the lean side comes from a flame that is chilled or blown off, not from a lack of air.",
	},
	judge.FlameAndSurfaces: {
		"Look at the flame, the burner surface and the heat exchanger.",
		"CO without a CO2 that explains it comes from poor mixing or from a flame that touches metal.",
	},
	judge.SecondAnalyzer: {
		"Repeat the reading with a second analyzer before adjusting anything.",
		"The same analyzer reads differently at other units too: the burner may not have moved.",
	},
	judge.ZeroAnalyzer: {
		"Zero the analyzer in fresh air and compare it with a calibrated one before adjusting anything.",
		"Its calibration is overdue, and a burner set with it keeps its error.",
	},
	judge.ReadCO: {
		"Read CO at this fire before adjusting anything.",
		"Without CO nobody can tell whether it has enough air.",
	},
	judge.GasPressureUp: {
		"Measure supply and manifold pressure while firing and look at the regulator.",
		"The gas pressure on record went up, and more gas with the same air is rich.",
	},
	judge.GasPressureDown: {
		"Measure supply and manifold pressure while firing, with the site's other appliances on: regulator, filter, pipe.",
		"The gas pressure on record went down, and less gas with the same air is lean.",
	},
	judge.AirSideFirst: {
		"Look at the air side first: by the gas pressure it is not the gas.",
		"With less gas pressure it ought to be lean; it is rich, so more air is missing than it seems.",
	},
	judge.AirBesideBurner: {
		"Look for air that enters beside the burner or the sample, and at the gas orifice.",
		"With more gas pressure it ought to be rich; it is lean, so air comes from elsewhere or the gas path is closing.",
	},
	judge.WarmerAirAtSetting: {
		"Compare the combustion-air temperature with that of the day it was set.",
		"Warmer air is thinner: {10 K} make about a third of a point of CO2 with a fan at fixed speed, and adjusting it now makes " +
			"it lean in winter.",
	},
	judge.ColderAirAtSetting: {
		"Compare the combustion-air temperature with that of the day it was set.",
		"Colder air is denser: {10 K} make about a third of a point of CO2 with a fan at fixed speed, and adjusting it now makes " +
			"it rich in summer.",
	},
	judge.WarmerAirUnderRatio: {
		"Compare air and gas temperature with those of the day it was set.",
		"Under ratio control {10 K} of warmer air with gas as cold as before make about a sixth of a point of CO2.",
	},
	judge.ColderAirUnderRatio: {
		"Compare air and gas temperature with those of the day it was set.",
		"Under ratio control {10 K} of colder air with gas as warm as before make about a sixth of a point of CO2.",
	},
	judge.ValveZeroOffset: {
		"Check the zero offset of the gas valve at low fire, and its signal line.",
		"An offset of {a few Pa} shows at low fire first, where the pressure difference is small.",
	},
	judge.SignalLine: {
		"Check the signal line between air and gas valve, then whether flue gas is drawn into the intake.",
		"A ratio control follows a closing air path, so rich at high fire means a wrong signal, recirculation or another gas.",
	},
	judge.SupplyAtFullInput: {
		"Check that the supply pressure holds at full input, then the ratio screw's mark and the gas orifice.",
		"A ratio control goes lean at high fire when the gas cannot follow the air.",
	},
	judge.LinkageSlack: {
		"Look for slack in the linkage and at the stops of damper and gas valve near low fire.",
		"A little play is a large part of the opening at low fire.",
	},
	judge.LinkedAirPath: {
		"Look at fan wheel, air filter and damper, then at the linkage's fixing.",
		"With linked valves the gas stays as it is when the air path closes, so dirt makes it rich.",
	},
	judge.LinkedGasPath: {
		"Look at the linkage's fixing and the gas filter and regulator.",
		"With linked valves, lean means that a link moved or less gas comes; more air seldom comes by itself.",
	},
	judge.TrimReadsHigh: {
		"Compare the trim's oxygen with the analyzer's, and see whether the trim is at its limit.",
		"A trim that reads too much oxygen takes air away; at its limit it can no longer give any.",
	},
	judge.TrimReadsLow: {
		"Compare the trim's oxygen with the analyzer's, and look for air leaking in before its probe.",
		"A trim that reads too little oxygen, or gave up, leaves the burner with the lean curve underneath.",
	},
	judge.FixedFanAirPath: {
		"Look at intake, filter, fan wheel, heat exchanger and vent for dirt, and at the fan's speed.",
		"With a fixed fan nothing makes up for a closing air path: it goes rich.",
	},
	judge.FixedFanGasPath: {
		"Look at gas filter, orifice and manifold pressure, and for an air path opened since: panel, gasket, vent joint.",
		"With a fixed fan, lean means less gas or an easier path for the air.",
	},
	judge.DraftAndOpenings: {
		"Look at the draft, the vent's passage and the room's air openings with doors shut and exhaust fans on.",
		"Without a fan, only draft and openings bring the air.",
	},
	judge.DraftHoodSample: {
		"Look at the manifold pressure and orifices, and where the probe sits against the draft hood.",
		"Air drawn in at the hood dilutes the sample: it looks lean and is not.",
	},
	judge.PointsOfCurve: {
		"Compare the points of the curve with those of the last setting, and the actuators' positions with their zero.",
		"An actuator that lost its zero moves every point; if only one point is off, that point was adjusted.",
	},
	judge.UnknownControlAir: {
		"Find out what controls the air, then look at intake, filter, fan and vent for what keeps air out.",
		"Without the control on record, a closing air path is the likeliest cause on the rich side.",
	},
	judge.UnknownControlGas: {
		"Find out what controls the air, then look at the gas pressure and for air leaking into the sample.",
		"Without the control on record, less gas or a diluted sample is the likeliest cause on the lean side.",
	},
	judge.WorseWhenWarm: {
		"Expect the fault to be larger than it looks when the air gets warm again.",
		"Colder air by itself makes it lean: something else took more air away.",
	},
	judge.WorseWhenCold: {
		"Expect the fault to be larger than it looks when the air gets cold again.",
		"Warmer air by itself makes it rich: something else took more gas away or let air in.",
	},
	judge.NoteAnalyzer: {
		"Write down which analyzer is used, and when it was calibrated.",
		"Without it, nobody can tell a wrong analyzer from a wrong burner.",
	},
	judge.NoteGasPressure: {
		"Measure and write down the gas pressure while firing.",
		"It is the quickest thing to measure, and it is not on record.",
	},
	judge.NothingStandsOut: {
		"Nothing stands out: take the readings in the usual order, as found before adjusting anything.",
		"By its records it is inside its band.",
	},
	judge.FindTarget: {
		"Find the appliance's own target for this fuel and fire before adjusting anything.",
		"Without a target, or without a value to compare with it, nobody can tell which way it is off.",
	},
	judge.ReadAgain: {
		"Take the reading again after some minutes at this fire, with the probe in the middle of the flue.",
		"Many a deviation is only a reading taken too early, or at the edge of the flue.",
	},
}

// Checks puts the first checks in a row.
func Checks(l *watch.Line) string { return strings.Join(look(l), " ") }

// look says what to look at first.
func look(l *watch.Line) (lines []string) {
	for _, c := range l.CheckFirst {
		lines = append(lines, checkWords[c].do)
	}
	return lines
}

// LookWhy says what to look at first, and why.
func LookWhy(in units.Set, l *watch.Line) (lines []string) {
	for _, c := range l.CheckFirst {
		lines = append(lines, checkWords[c].do+" "+checkWhy(in, c))
	}
	return lines
}

// fewPascals is a small pressure, by the unit of pressures.
var fewPascals = map[string]string{
	"Pa": "a few Pa", "mbar": "a few hundredths of a mbar", "in w.c.": "a few hundredths of an inch w.c.",
}

// checkWhy is why a check comes first, in the units of the reader.
func checkWhy(in units.Set, c judge.Check) string {
	const stepK = 10
	return strings.NewReplacer("{10 K}", in.WarmerOf(stepK), "{a few Pa}", fewPascals[in.UnitOf(units.Pressure)]).
		Replace(checkWords[c].why)
}

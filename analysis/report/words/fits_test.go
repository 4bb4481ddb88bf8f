package words

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/study"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/vent"
)

// Every kind of note that a fit leaves has its sentence, with its numbers in their places.
func TestNotesOfFits(t *testing.T) {
	const widePriors = "ratios fixed, wide priors on the coefficients"
	oct := day.Of(2021, time.October, 9)
	follows := drift.ColumnOut{Column: "vent", Why: drift.Follows{From: []string{"time", "age"}}}
	asFounds := func(c estimate.AsFoundCheck) estimate.Note { return estimate.AsFoundsChecked{AsFoundCheck: c} }
	stepIn := func(s estimate.StepSuspected) estimate.Note { return estimate.StepNoted{StepSuspected: s} }
	requireNotes(t, map[string]estimate.Note{
		`"vent" is not in the fit: it follows from time, age`: of(follows),
		"instruments and units cannot be told apart on these records (years since calibration): intervals allow for ±0.05 points a year": of(
			drift.Inseparable{Column: "years since calibration", Unit: "points a year", SD: 0.05}),
		"not fitted: fewer differences than coefficients": of(drift.NotFitted{Err: drift.ErrTooFew}),
		"most displays hide more than the noise of a reading: that is taken to be 0.065 points, " + widePriors: of(
			drift.DisplaysHideNoise{NoisePoints: 0.065}),
		"35 differences: " + widePriors + ", no variances reported":                            of(drift.FewDifferences{Differences: 35}),
		"7 differences: nothing was fitted; coefficients and noise are defaults, not measured": of(drift.NothingFitted{Differences: 7}),
		"units of one area change level together, by about ±0.12 points from year to year, as with another gas: forecasts allow for it": of(
			drift.AreasMoveTogether{SDPoints: 0.123}),
		"analyzer bias not estimable: no two analyzers were used on one setting": of(drift.AnalyzersNotCompared{}),
		"bias by calibration period not estimable: no two periods were compared": of(drift.PeriodsNotCompared{}),
		"analyzer sd taken, not measured: 3 analyzers in 29 comparisons":         of(drift.FewAnalyzers{Analyzers: 3, Comparisons: 29}),
		"z of settling after adjustment -3.1, of a difference of as-found readings -1.2": asFounds(
			estimate.AsFoundCheck{SettlingZ: -3.1, AsFoundZ: -1.2}),
		"as-found readings seem to be low by 0.12 points; check the settling time (z of settling after adjustment 0.1, of a " +
			"difference of as-found readings -5.0)": asFounds(
			estimate.AsFoundCheck{SettlingZ: 0.1, AsFoundZ: -5, AsFoundPoints: -0.12, Used: true}),
		"a step of level is suspected in North 1 about 2021-10-09: -0.25 points (z -6.1)": stepIn(
			estimate.StepSuspected{Area: "North 1", Day: oct, Points: -0.25, Z: -6.1, Kept: 0.6}),
		"a step of level is suspected in all areas about 2021-10-09: +0.20 points (z 9.0); a change of analyzers or of their " +
			"calibration could explain it as well": stepIn(
			estimate.StepSuspected{Area: "*", Day: oct, Points: 0.2, Z: 9, Kept: 0.2}),
		"low fire: wandering and unit slope not detected in these records: forecasts leave it out, and far ahead their intervals " +
			"may be too narrow": estimate.NotDetected{
			Fire: "low", Parts: []drift.Part{drift.Wandering, drift.UnitSlope},
		},
		"high fire: fitted at the night's ratios, the noise of a reading is 0.0651 points and not 0.0700 as in the night: the rules " +
			"or the program differ": estimate.OtherNoise{
			Fire: "high", Points: 0.0651, StoredPoints: 0.07,
		},
	})
}

// So has every kind of note on what the records are worth.
func TestNotesOfRecords(t *testing.T) {
	const unusable = "the order of its units holds, its drift rates are not usable"
	comparedBy := func(c estimate.VentChoice) estimate.Note { return estimate.VentsCompared{Choice: &c} }
	typed := estimate.SuspectedVent{TypedVent: estimate.TypedVent{LengthM: 6, Units: 60}, Known: 200}
	requireNotes(t, map[string]estimate.Note{
		"north shows CO2 in steps of 0.2 points (40 readings)":                   coarse(0.2),
		"north shows CO2 in steps of 0.5 points (40 readings): " + unusable:      coarse(0.5),
		"north shows CO2 in whole percents (40 readings): " + unusable:           coarse(1),
		"as-found readings are recorded selectively: drift rates are not usable": estimate.RecordedSelectively{},
		"vents are not compared: no unit has a length and a longest run, or a loss and a fan's pressure, on record": comparedBy(
			estimate.VentChoice{Measure: vent.NoMeasure}),
		"vents are compared by length as a share of the longest run: of 10 units, 2 have their loss and their fan's " +
			"pressure on record (half are needed), and 7 their length and the longest run": comparedBy(
			estimate.VentChoice{Measure: vent.ShareOfRun, Units: 10, OfFan: 2, OfRun: 7}),
		"vent length 6 m stands for 60 of 200 units: suspected default, treated as missing": typed,
		"vent effects: recorded lengths are taken to have an error of 20 % (85 % of the spread between units is real)": estimate.LengthsInError{
			ErrorSD: 0.2, Rho: 0.85,
		},
		"2 of 9 technicians record as-found readings selectively: coefficients are from the others' readings": estimate.SelectiveTechnicians{
			Flagged: 2, Technicians: 9,
		},
		"12 % of visits are call-outs: units were visited because they were off, so the estimate of wandering is too small and that " +
			"of the air's effect slightly too large": estimate.ManyCallOuts{Share: 0.12},
	})
	typed.LengthM = 12.192 // 40 ft of 0.3048 m
	require.Equal(t, []string{"vent length 40 ft stands for 60 of 200 units: suspected default, treated as missing"},
		NotesIn(units.System(units.US), []estimate.Note{typed}))
}

// So has every kind of note on what the readings were taken with.
func TestNotesOfInstruments(t *testing.T) {
	const common = "analyzer A1 made 31 % of the newest readings"
	meter := &estimate.Analyzer{Name: "A1", NoiseRatio: 2.34, Readings: 31, CurrentShare: 0.314}
	known := drift.Bias{Value: 0.051, SD: 0.024, Component: 0}
	oct := day.Of(2021, time.October, 9)
	requireNotes(t, map[string]estimate.Note{
		"analyzers form 2 groups that were never compared with each other: a bias says nothing across groups": estimate.GroupsOfAnalyzers{
			Groups: 2,
		},
		"4 analyzers are not recorded; their technicians stand in for them": estimate.StandIns{Analyzers: 4},
		"analyzer A1: noise variance 2.3 times the others' (31 readings)":   estimate.NoisyAnalyzer{Analyzer: meter},
		common + ": its bias is +0.05 ± 0.02, and a common shift of this size would move all these units": estimate.CommonAnalyzer{
			Analyzer: meter, Bias: known,
		},
		common + ", and no comparison says whether it reads right: a common shift would move all these units": estimate.CommonAnalyzer{
			Analyzer: meter, Bias: drift.Bias{Component: -1},
		},
		"3 calibration certificates state how analyzers read at the end of a period": estimate.CertificatesUsed{Certificates: 3},
		"analyzer A1: the error of -0.30 points found at the end of the period since 2021-10-09 contradicts its " +
			"readings and is not used": estimate.CertificateRefused{
			Analyzer: "A1", Period: estimate.Period{Calibrated: oct}, FoundErrorPoints: -0.3,
		},
		"high fire: analyzers seem to change by 0.31 points from one calibration to the next, more than instruments do: the recorded " +
			"calibrations are not used, and biases are by calendar year": estimate.WildPeriods{
			Fire: "high", SDPoints: 0.31,
		},
		"low fire: instruments and units cannot be told apart on these records: an analyzer that reads lower from calibration to " +
			"calibration looks like units that drift. Intervals allow for ±0.05 points a year.": estimate.AgeingHeld{
			Fire: "low", SDPoints: 0.05,
		},
		"high fire: analyzer A1 reads 0.60 points of CO2 below what read its units before, since October 2021: one of the instruments " +
			"is off, or 12 units moved at once. Read 9 units again with another analyzer.": estimate.AnalyzerStep{
			Fire: "high", Analyzer: "A1", DifferencePoints: -0.6, Since: oct, Links: 12, Open: 9,
		},
		"high fire: analyzer A1 reads 0.40 points of CO2 above what read its units after, since October 2021: one of the instruments " +
			"is off, or 2 units moved at once.": estimate.AnalyzerStep{
			Fire: "high", Analyzer: "A1", DifferencePoints: 0.4, After: true, Since: oct, Links: 2,
		},
		"low fire: without ageing between calibrations, analyzers would have to read 0.02 points less each year: they age, or " +
			"calibrations do not put them right": estimate.CalibrationTrend{
			Fire: "low", Points: -0.02,
		},
	})
}

func requireNotes(t *testing.T, notes map[string]estimate.Note) {
	t.Helper()
	for said, n := range notes {
		require.Equal(t, said, Note(n))
	}
}

func of(n drift.Note) estimate.Note { return estimate.OfFit{Note: n} }

func coarse(step float64) estimate.Note {
	return estimate.CoarseSource{Source: &estimate.Source{Name: "north", Readings: 40, StepPoints: step}}
}

// How fits end, in one plain line each.
func TestEndings(t *testing.T) {
	search := func(e drift.Ending) estimate.Ended {
		return estimate.AtOnce{Fit: drift.Ended{How: drift.Estimated, Search: &e}}
	}
	fell := func(why drift.Fallback) estimate.Ended { return search(drift.Ending{Fallback: why}) }
	tooFew := drift.TooFewToSearch{Differences: 299, Units: 49}
	inTwo := estimate.InTwo{First: drift.Ended{Differences: 500}, Then: drift.Ended{How: drift.HeldBeta, Differences: 700}}
	shifts := estimate.OfShifts{Shifts: 87, AnalyzerRatio: 1.23}
	for said, e := range map[string]estimate.Ended{
		"fixed ratios, 210 differences":                 estimate.AtOnce{Fit: drift.Ended{How: drift.WithPriors, Differences: 210}},
		"nothing fitted, 0 differences":                 estimate.AtOnce{Fit: drift.Ended{How: drift.Defaults}},
		"ratios estimated, 120 evaluations, 1 restarts": search(drift.Ending{Evaluations: 120, Restarts: 1}),
		"ratios estimated, 9 evaluations, 0 restarts, on 200 units; not detected: wandering, unit slope; held: analyzer bias (not " +
			"estimable), bias by calibration period (too few analyzers compared)": search(
			drift.Ending{
				Evaluations: 9, Sampled: 200, NotDetected: []drift.Part{drift.Wandering, drift.UnitSlope},
				Held: []drift.HeldPart{{Part: drift.AnalyzerBias, Why: drift.NotEstimable}, {Part: drift.PeriodBias, Why: drift.FewCompared}},
			}),
		"ratios estimated, 9 evaluations, 0 restarts; held: wandering (all gaps are equal, with two readings a segment: it cannot be " +
			"told from the noise)": search(
			drift.Ending{Evaluations: 9, Held: []drift.HeldPart{{Part: drift.Wandering, Why: drift.GapsAlike}}}),
		"fixed ratios: 299 differences of 49 units are too few to estimate them":                  fell(tooFew),
		"fixed ratios: no ratios could be evaluated":                                              fell(drift.NoCriterion{}),
		"fixed ratios: the noise goes to zero: exact copies, or more decimals than were measured": fell(drift.NoiseVanishes{}),
		"fixed ratios: the search did not settle in 3 restarts":                                   fell(drift.NotSettled{Restarts: 3}),
		"own fit of 87 shifts, analyzer ratio 1.2":                                                shifts,
		"as a night had it": estimate.AsStored{Text: "as a night had it"},
		"fixed ratios, 500 differences, from technicians who record every as-found reading; then coefficients held, 700 differences": inTwo,
	} {
		require.Equal(t, said, Ended(e))
	}
}

// Why a coefficient is not to be used, and nothing where nothing speaks against it.
func TestWhyNot(t *testing.T) {
	absent := func(why drift.Absence) estimate.WhyNot { return estimate.NotInFit{Why: why} }
	poorly := estimate.VentKnownPoorly{SE: 0.05, NeededSE: 0.03}
	for said, why := range map[string]estimate.WhyNot{
		"":                                  nil,
		"it never changes within a segment": absent(drift.NeverChanges{}),
		"it needs 400 differences":          absent(drift.NeedsDifferences{Least: 400}),
		"kept out":                          absent(drift.KeptOut{}),
		"known no better than ±0.07: instruments and units cannot be told apart":                 absent(drift.KnownTooPoorly{SE: 0.07}),
		"as-found readings are recorded selectively: drift rates are not usable":                 estimate.RecordedSelectively{},
		"general assumptions, not measured here":                                                 estimate.NothingMeasured{},
		"records in steps of half a point: not usable":                                           estimate.RecordsTooCoarse{},
		"the vent effect is known to ±0.05 per standard deviation of the vents; ±0.03 is needed": poorly,
		"an error of recorded lengths was declared":                                              estimate.LengthsAsRecorded{},
		"as a night had it": estimate.AsStored{Text: "as a night had it"},
	} {
		require.Equal(t, said, WhyNot(why))
	}
	require.Equal(t, "reading left out", action(drift.Removed))
	require.Equal(t, "change cut at", action(drift.Removed+1))
}

// What the chances rest on, by how much the records carry.
func TestBasis(t *testing.T) {
	fires := []estimate.FirePairs{{Fire: "high", Pairs: 30}, {Fire: "low", Pairs: 20}}
	for said, b := range map[string]estimate.Basis{
		"No chance of being out of limits is given: no fire has both a target and a reading to compare with it.": {Kind: estimate.NoChances},
		"Drift could not be measured here: 50 pairs of readings can be compared (30 at high fire, 20 at low fire), but they do not " +
			"separate drift from the noise of a reading. The chances rest on general assumptions and on the 12 as-found readings of this fleet.": {
			Kind: estimate.DriftInNoise, Pairs: 50, Fires: fires, Found: 12,
		},
		"Drift could not be measured here: 1 pair of readings can be compared, and 20 at a fire are needed. The chances rest on " +
			"general assumptions and on what burners are usually found at.": {
			Kind: estimate.TooFewPairs, Pairs: 1, Found: 1,
		},
		"Drift was measured on 50 pairs of readings (30 at high fire, 20 at low fire); below 400 at a fire the chances also rest on " +
			"general assumptions and on the 2 as-found readings of this fleet.": {
			Kind: estimate.FewPairs, Pairs: 50, Fires: fires, Found: 2,
		},
		"Drift was measured on 900 pairs of readings, which say little about it: the chances also rest on general assumptions and on " +
			"the 2 as-found readings of this fleet.": {
			Kind: estimate.LittleTold, Pairs: 900, Found: 2,
		},
		"Drift was measured on 900 pairs of readings.": {Kind: estimate.DriftMeasured, Pairs: 900},
	} {
		require.Equal(t, []string{said}, Basis(b))
	}
}

// What a model's reader is told of a fire without spreads, and of a fleet without pairs.
func TestModelNotes(t *testing.T) {
	m := &study.Model{Notes: []estimate.Note{coarse(0.2)}, NoOffset: true, Unspread: []study.Unspread{
		{Fire: "high", Ended: estimate.AtOnce{Fit: drift.Ended{Differences: 3}}},
	}}
	require.Equal(t, []string{
		"north shows CO2 in steps of 0.2 points (40 readings)", "high fire: fixed ratios, 3 differences; no spread was measured",
		"low less high: no unit has both fires on record",
	}, ModelNotes(m))
	spread := func(v drift.Variance) string { return ToldApart(&study.Spread{Variance: v}) }
	require.Equal(t, "not detected", spread(drift.Variance{AtZero: true}))
	require.Equal(t, "cannot be told from the others on these records", spread(drift.Variance{Rise: 3.99}))
	require.Equal(t, "yes", spread(drift.Variance{Rise: 4}))
	require.Equal(t, "not asked", spread(drift.Variance{Rise: math.NaN()}))
}

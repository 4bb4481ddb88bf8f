package watch

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

const fleetAsOf day.Day = 20514 // 2 March 2026, by date -d 2026-03-02 +%s / 86400

func fleetRules(t *testing.T) Config {
	t.Helper()
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8}, combustion.AirO2(20.9))
	require.NoError(t, err)
	return DefaultConfig(fleetAsOf, judge.DefaultConfig(fuels))
}

// plainTarget asks for 9 % CO2, set to within 0.2.
func plainTarget() judge.Target {
	nan := math.NaN()
	return judge.Target{
		CO2Percent: 9, O2Percent: nan, SetRich: 0.2, SetLean: 0.2, ActRich: 0.4, ActLean: 0.4, LongestRunM: 30, FanPa: nan,
		Origin: "lines.csv:2",
	}
}

// setUnit is a unit of one fire, with readings added by read.
func setUnit(serial string) *judge.History {
	return &judge.History{
		Unit: judge.Unit{
			Serial: serial, Source: "north", ModelLine: "K", Firing: "on-off", State: "in service", Fuel: "natural gas", Installed: 20000,
			StateFrom: day.None, RemovedDay: day.None, FirstDay: 20000, InRegister: true,
		},
		VentRuns: []judge.VentRun{{
			From: 20000, Until: day.None, UncertainFrom: day.None, Known: true, LengthM: 12, Elbows90: 2, Elbows45: -1,
			RiseM: math.NaN(), DiameterM: math.NaN(),
		}},
		Targets: []judge.FireTarget{{Fire: judge.Single, Target: plainTarget()}},
	}
}

func read(h *judge.History, day day.Day, reason judge.Reason, condition judge.Condition, co2 float64, analyzer string, calibrated day.Day) {
	nan := math.NaN()
	h.Visits = append(h.Visits, judge.Visit{
		Day: day, Reason: reason, Technician: "T1", Analyzer: analyzer, Source: "north",
		OutdoorTempC: nan,
	})
	h.Readings = append(h.Readings, judge.Reading{
		Visit: len(h.Visits) - 1, Day: day, Fire: judge.Single, Condition: condition, RatePercent: nan, CO2Percent: co2, O2Percent: nan,
		COPPM: nan, COReferenceO2Percent: nan, FlueTempC: nan, AirTempC: nan, SupplyPa: nan, ManifoldPa: nan, FanSpeedRPM: nan,
		FlameSignalUA: nan, DraftPa: nan, MinutesFiring: nan,
		CO2Decimals: 1, O2Decimals: -1, Analyzer: analyzer, Calibrated: calibrated, Fuel: "natural gas", Target: plainTarget(),
	})
}

// An analyzer that reads 0.3 high leaves burners lean of a band of 0.2: of two
// units set by it both are expected to be mis-set; one that agrees with the
// others mis-sets none. A unit's older setting does not count.
func TestAnalyzersByUnitsTheyMisSet(t *testing.T) {
	a, b, c := setUnit("a"), setUnit("b"), setUnit("c")
	read(a, 20300, "annual", judge.AsLeft, 9, "high", 20200)
	read(b, 20300, "annual", judge.AsLeft, 9, "high", 20200)
	read(c, 20300, "annual", judge.AsLeft, 9, "high", 20200)
	read(c, 20400, "annual", judge.AsLeft, 9, "even", 20350)
	line := func(points float64) drift.Line { return drift.Line{Value: points, Var: 0.02 * 0.02} }
	biases := []AnalyzerBias{
		{Fire: judge.High, Name: "even", Calibrated: 20350, Reads: line(0), Links: 9, Units: 7, Known: true},
		{Fire: judge.High, Name: "high", Calibrated: 20200, Reads: line(0.3), Links: 9, Units: 7, Known: true},
		{Fire: judge.High, Name: "alone", Calibrated: 20100, Reads: line(0.9)},
	}
	lines := Analyzers(biases, []Certificate{{"high", 20200, math.NaN()}, {"even", 20350, 0}}, []*judge.History{a, b, c}, fleetRules(t))
	require.Len(t, lines, 3)
	assert.Equal(t, "high", lines[0].Name)
	assert.Equal(t, 2, lines[0].UnitsSet)
	assert.InDelta(t, 2, lines[0].MisSet, 1e-3) // two units, each with Phi((0.3-0.2)/0.02) = Phi(5) = 1 - 2.9e-7
	assert.Equal(t, Lean, lines[0].SideOfUnits)
	assert.Equal(t, "may have left 2 units outside the setting band, lean", Say.Due(&lines[0]))
	assert.True(t, lines[0].StandsOff())
	assert.InDelta(t, 0.3-1.645*0.02, lines[0].LowPoints, 1e-4)
	assert.Equal(t, "even", lines[1].Name)
	assert.Zero(t, math.Round(1e6*lines[1].MisSet))
	assert.Equal(t, "reads 0.30 above the others (0.27 to 0.33); 7 units link it to others", Say.Reads(&lines[0]))
	assert.Equal(t, "no visible difference from the others (-0.03 to +0.03); 7 units link it to others", Say.Reads(&lines[1]))
	assert.Zero(t, lines[2].MisSet, "an analyzer never compared accuses nobody")
	assert.True(t, math.IsNaN(lines[2].BiasPoints))
	assert.Equal(t, "never compared with another analyzer: nobody knows whether it reads right", Say.Reads(&lines[2]))
	assert.Equal(t, map[string]bool{"high": true}, Suspects(lines))
}

// An analyzer that loses 0.2 points a year leaves burners rich by what it has lost on
// the day of the setting, not by what it reads on the newest: of two units set
// with it, the one set two years after its calibration stands outside a band of 0.2.
func TestAnalyzersByTheDay(t *testing.T) {
	early, late := setUnit("early"), setUnit("late")
	read(early, 19800, "annual", judge.AsLeft, 9, "old", 19790)
	read(late, 20500, "annual", judge.AsLeft, 9, "old", 19790)
	reads := drift.Line{Slope: -0.2, Var: 0.02 * 0.02, SlopeVar: 0.01 * 0.01}
	rules := fleetRules(t)
	lines := Analyzers([]AnalyzerBias{{Fire: judge.High, Name: "old", Calibrated: 19790, Reads: reads, Units: 1, Known: true}}, nil,
		[]*judge.History{early, late}, rules)
	require.Len(t, lines, 1)
	assert.InDelta(t, 1, lines[0].MisSet, 1e-3)
	assert.Equal(t, Rich, lines[0].SideOfUnits)
	assert.InDelta(t, -0.2*float64(rules.AsOf-19790)/365.25, lines[0].BiasPoints, 1e-9)
	assert.Equal(t, []string{"High fire: analyzers lose 0.20 points of CO2 a year between calibrations (0.18 to 0.22)."}, Say.Ageing(lines))
}

// Of a step only the difference of two instruments is known: neither has a number of
// its own, unless a certificate says which is off.
func TestAnalyzersNameADifference(t *testing.T) {
	a := setUnit("a")
	read(a, 20450, "annual", judge.AsLeft, 9, "A-04", 20440)
	biases := []AnalyzerBias{
		{
			Fire: judge.High, Name: "A-04", Calibrated: 20440, Reads: drift.Line{Value: -0.2, Var: 1e-4}, Units: 31, Known: true,
			Step: &BiasStep{Points: -0.28, Low: -0.37, High: -0.19, Since: 20453},
		},
		{Fire: judge.High, Name: "A-01", Calibrated: 20000, Reads: drift.Line{Value: 0.08, Var: 1e-4}, Known: true, StepOf: "A-04"},
	}
	rules := fleetRules(t)
	lines := Analyzers(biases, nil, []*judge.History{a}, rules)
	assert.Equal(t, "A-04 reads 0.28 below what read these units before (0.19 to 0.37), since December 2025; 1 unit set with it since; "+
		"compare the two instruments; 31 units link it to others", Say.Reads(&lines[0]))
	assert.Equal(t, "A-04 reads far from it: compare the two instruments", Say.Reads(&lines[1]))
	for _, l := range lines {
		assert.True(t, math.IsNaN(l.BiasPoints), l.Name)
		assert.Zero(t, l.MisSet, l.Name)
		assert.False(t, l.StandsOff(), l.Name)
	}
	biases[0].Certified = true
	lines = Analyzers(biases, nil, []*judge.History{a}, rules)
	assert.InDelta(t, -0.2, lines[0].BiasPoints, 1e-9)
	assert.Positive(t, lines[0].MisSet)
}

// Thirty start-ups lie on a line of half a point lean a longest run: a unit
// without start-up, on two fifths of it, is expected two tenths lean.
func TestStartupShiftFromTheFleet(t *testing.T) {
	rules := fleetRules(t)
	vents := VentOptions{Elbow90M: 1.5, Elbow45M: 0.75, FactoryRunM: func(string, string) float64 { return 3 }}
	var fleet []*judge.History
	var lines []Line
	for i := range 30 {
		h := setUnit(fmt.Sprintf("u%02d", i))
		h.VentRuns[0].LengthM = 3 + float64(i) - 2*1.5 // beyond the factory's: i metres with the elbows
		read(h, 19990, judge.FactoryTest, judge.AsLeft, 9, "bench", day.None)
		read(h, 20005, "start-up", judge.AsFound, 9-0.5*float64(i)/30, "x", day.None)
		fleet, lines = append(fleet, h), append(lines, Line{Unit: h.Unit})
	}
	late, never := setUnit("late"), setUnit("never")
	read(late, 20300, "annual", judge.AsLeft, 9, "x", day.None)
	never.VentRuns[0].LengthM = 12 // 12 + 2 x 1.5 - 3 = 12 m beyond, of 30: two fifths
	short := setUnit("short")
	short.VentRuns[0].LengthM, short.VentRuns[0].Elbows90 = 2, 0
	gaps, rests := StartupGaps(append(fleet, late, never, short), lines, rules, vents)
	assert.Equal(t, 30, rests[judge.High])
	require.Len(t, gaps, 1, "before the records of its source began nobody can miss a start-up; a shorter run is no gap")
	assert.Equal(t, "never", gaps[0].Unit.Serial)
	assert.Equal(t, GapUntested, gaps[0].Gap)
	assert.InDelta(t, -0.2, gaps[0].ShiftPoints, 1e-9)
	assert.InDelta(t, gaps[0].ShiftPoints, gaps[0].ExpectedPoints, 1e-12, "no factory test on record: taken as left on target")
	few, rests := StartupGaps(append(fleet[:10:10], never), lines, rules, vents)
	assert.Equal(t, 10, rests[judge.High])
	assert.True(t, math.IsNaN(few[0].ShiftPoints), "ten start-ups give no line")
}

// Habits are counted by source; a technician has a row only where asked for and
// among five or more.
func TestHabitsByTechnicianOnlyAmongFive(t *testing.T) {
	rules := fleetRules(t)
	h := setUnit("a")
	for i := range 30 {
		read(h, 20010+day.Day(i), "annual", judge.AsLeft, 9+float64(i%3)/10, "x", day.None)
		h.Visits[i].Technician = fmt.Sprintf("T%d", i%5)
	}
	all := []*judge.History{h}
	judged := []judge.Judgement{judge.Judge(h, rules.Judge)}
	one := Habits(all, judged, BySource, fleetAsOf)
	require.Len(t, one, 1)
	assert.Equal(t, 30, one[0].Visits)
	assert.Equal(t, 30, one[0].NoFound)
	assert.Zero(t, one[0].NoLeft)
	assert.Equal(t, 30, one[0].OneGas)
	assert.InDelta(t, 100, Share(one[0].NoFound, one[0].Fires), 1e-12)
	assert.Len(t, Habits(all, judged, ByTechnician, fleetAsOf), 6)
	for i := range h.Visits {
		h.Visits[i].Technician = fmt.Sprintf("T%d", i%4)
	}
	assert.Len(t, Habits(all, judged, ByTechnician, fleetAsOf), 1, "four technicians are too few")
}

package words

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

var nan = math.NaN()

// readingOf is a reading at high fire on 1 Mar 2024 with the values a sentence may name.
func readingOf(condition judge.Condition, co2, o2, co, flue, air float64) judge.Reading {
	return judge.Reading{
		Fire: judge.High, Condition: condition, Day: 19783, Fuel: "natural gas", Origin: "visits.csv:7", RatePercent: nan, MinutesFiring: nan,
		CO2Percent: co2, O2Percent: o2, COPPM: co, FlueTempC: flue, AirTempC: air,
		Target: judge.Target{CO2Percent: 9, O2Percent: nan, SetRich: 0.2, SetLean: 0.2, Origin: "lines.csv:2"},
	}
}

// but changes a reading.
func but(r judge.Reading, change func(*judge.Reading)) judge.Reading {
	change(&r)
	return r
}

// Every kind of finding in a sentence, with the facts of each of its ways.
var findingCases = []struct {
	of       judge.Finding
	readings []judge.Reading
	want     string
}{
	{
		judge.Finding{Kind: judge.RichPossible, Facts: judge.TooLittleAir{Sign: judge.LowO2}},
		[]judge.Reading{readingOf(judge.AsFound, 9, 0.9, nan, nan, nan)},
		"high fire on 1 Mar 2024: O2 0.9 % as found: possibly too little air; CO2 9 % does not show whether there is enough",
	},
	{
		judge.Finding{Kind: judge.RichPossible, Facts: judge.TooLittleAir{Sign: judge.COOverRange}},
		[]judge.Reading{readingOf(judge.AsLeft, nan, 4, 4000, nan, nan)},
		"high fire on 1 Mar 2024: CO over 4000 ppm as left: possibly too little air; CO2 does not show whether there is enough",
	},
	{
		judge.Finding{Kind: judge.RichPossible, Facts: judge.TooLittleAir{Sign: judge.HighCO}},
		[]judge.Reading{but(readingOf(judge.AsFound, 9.25, nan, 1000, nan, nan),
			func(r *judge.Reading) { r.Fire, r.RatePercent = judge.Point, 62.5 })},
		"62.5 % rate on 1 Mar 2024: CO 1000 ppm as found: possibly too little air; CO2 9.25 % does not show whether there is enough",
	},
	{
		judge.Finding{Kind: judge.OverCO2Max, Facts: judge.FuelLimit{CO2MaxPercent: 11.8}},
		[]judge.Reading{readingOf(judge.AsFound, 12.1, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: CO2 12.1 % as found, but natural gas cannot make more than 11.8 %: the fuel label, the analyzer's " +
			"setting or the number is wrong",
	},
	{
		judge.Finding{Kind: judge.NoBurner},
		[]judge.Reading{readingOf(judge.AsLeft, 0, 20.9, 0, 20, 20)},
		"high fire on 1 Mar 2024: CO2 0 %, O2 20.9 %, CO 0 ppm, flue 20 degC, air 20 degC as left shows no burner at work: it was " +
			"off, room air was sampled, or a number is wrong",
	},
	{
		judge.Finding{Kind: judge.FuelLabel, Fire: judge.High, Readings: []int{0, 1}, OtherFuel: "propane", Facts: judge.SetAs{Percent: 10}},
		[]judge.Reading{
			readingOf(judge.AsLeft, 9.9, nan, nan, nan, nan),
			but(readingOf(judge.AsLeft, 10.1, nan, nan, nan, nan), func(r *judge.Reading) { r.Day = 20148 }),
		},
		"high fire: 2 as-left readings up to 1 Mar 2025 at CO2 10.1 %, where the target of natural gas is CO2 9 % and that of propane " +
			"CO2 10 %: the fuel label, the analyzer's setting or the burner is wrong",
	},
	{
		judge.Finding{Kind: judge.FuelLabel, Fire: judge.Low, OtherFuel: "propane", Facts: judge.SetAs{Percent: 5.5, InO2: true}},
		[]judge.Reading{but(readingOf(judge.AsLeft, nan, 5.6, nan, nan, nan), func(r *judge.Reading) {
			r.Target.CO2Percent, r.Target.O2Percent = nan, 5
		})},
		"low fire: 1 as-left reading up to 1 Mar 2024 at O2 5.6 %, where the target of natural gas is O2 5 % and that of propane O2 " +
			"5.5 %: the fuel label, the analyzer's setting or the burner is wrong",
	},
	{
		judge.Finding{Kind: judge.OtherSetting, OtherFuel: "propane", Facts: judge.ByO2{CO2Percent: 7.735}},
		[]judge.Reading{readingOf(judge.AsFound, 9, 7.2, nan, nan, nan)},
		"high fire on 1 Mar 2024: CO2 9 % with O2 7.2 % as found was computed for propane, but the register says natural gas: the " +
			"analyzer was set to another fuel, or the label is wrong; burning natural gas, that O2 means CO2 7.7 %",
	},
	{
		judge.Finding{Kind: judge.SwappedGases, Facts: judge.FitExchanged{Fuel: "natural gas"}},
		[]judge.Reading{readingOf(judge.AsFound, 4.8, 9, nan, nan, nan)},
		"high fire on 1 Mar 2024: CO2 4.8 % and O2 9 % as found fit no fuel, but exchanged they fit natural gas: the columns are " +
			"probably exchanged",
	},
	{
		judge.Finding{Kind: judge.OtherGas, Facts: judge.OffUsual{Points: 4.04}},
		[]judge.Reading{readingOf(judge.AsFound, 5, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: CO2 5 % as found is 4.0 points of CO2 away from what is usual for the unit; read as O2 it fits: O2 " +
			"was probably typed as CO2",
	},
	{
		judge.Finding{Kind: judge.OtherGas, Facts: judge.OffUsual{Points: 2.3}},
		[]judge.Reading{readingOf(judge.AsFound, nan, 9, nan, nan, nan)},
		"high fire on 1 Mar 2024: O2 9 % as found is 2.3 points of CO2 away from what is usual for the unit; read as CO2 it fits: CO2 " +
			"was probably typed as O2",
	},
	{
		judge.Finding{Kind: judge.PairApart, Facts: judge.ByO2{CO2Percent: 9.09}},
		[]judge.Reading{readingOf(judge.AsFound, 7, 4.8, nan, nan, nan)},
		"high fire on 1 Mar 2024: CO2 7 % and O2 4.8 % as found contradict each other (with that O2, natural gas gives CO2 9.1 %): " +
			"one of the two is wrong",
	},
	{
		judge.Finding{Kind: judge.SwappedFires, Fire: judge.High, Against: []int{1}},
		[]judge.Reading{readingOf(judge.AsFound, 8.5, nan, nan, 50, nan), readingOf(judge.AsFound, 9, nan, nan, 70, nan)},
		"high and low fire on 1 Mar 2024, as found: CO2 8.5 % at high and CO2 9 % at low each fit the other " +
			"fire of this unit: probably exchanged",
	},
	{
		judge.Finding{Kind: judge.SwappedFires, Fire: judge.Low, Readings: []int{1}, Against: []int{0}},
		[]judge.Reading{readingOf(judge.AsFound, 8.5, nan, nan, 50, nan), readingOf(judge.AsFound, 9, nan, nan, 70, nan)},
		"high and low fire on 1 Mar 2024, as found: CO2 8.5 % at high and CO2 9 % at low each fit the other " +
			"fire of this unit: probably exchanged",
	},
	{
		judge.Finding{Kind: judge.AsLeftFar, Facts: judge.FarOff{Side: judge.Lean}},
		[]judge.Reading{readingOf(judge.AsLeft, 8.6, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: left at CO2 8.6 %, target CO2 9 %: far lean of its setting band; wrong in the record or at the burner",
	},
	{
		judge.Finding{Kind: judge.LowRate, Facts: judge.NotHigh{FromPercent: 80}},
		[]judge.Reading{but(readingOf(judge.AsFound, 9, nan, nan, nan, nan), func(r *judge.Reading) { r.RatePercent = 60 })},
		"high fire on 1 Mar 2024: as found at 60 % rate, which is not high fire (from 80 %)",
	},
	{
		judge.Finding{Kind: judge.LowRate, Facts: judge.NotHigh{FromPercent: 80, AsARule: true}},
		[]judge.Reading{but(readingOf(judge.AsFound, 9, nan, nan, nan, nan), func(r *judge.Reading) { r.RatePercent = 60 })},
		"high fire on 1 Mar 2024: as found at 60 % rate, which is not high fire (from 80 %), as usual with this unit",
	},
	{
		judge.Finding{Kind: judge.EarlyReading, Facts: judge.TooSoon{LeastMinutes: 2}},
		[]judge.Reading{but(readingOf(judge.AsFound, 9, nan, nan, nan, nan), func(r *judge.Reading) { r.MinutesFiring = 1.5 })},
		"high fire on 1 Mar 2024: as found, 1.5 min after the start; at least 2 min are needed",
	},
	{
		judge.Finding{Kind: judge.EarlyReading, Facts: judge.ColdFlue{UsualC: 61.05}},
		[]judge.Reading{readingOf(judge.AsLeft, 9, nan, nan, 33, nan)},
		"high fire on 1 Mar 2024: as left, the flue was at 33 degC where 61.05 degC is usual: before warm-up, or with air in the sample",
	},
	{
		judge.Finding{Kind: judge.CopiedVisit, Readings: []int{1}, Against: []int{0}},
		[]judge.Reading{
			but(readingOf(judge.AsLeft, 9, nan, 12, 61.25, nan), func(r *judge.Reading) { r.Day = 19417 }),
			readingOf(judge.AsFound, 9, nan, 12, 61.25, nan),
		},
		"high fire on 1 Mar 2024: the as-found reading (CO2 9 %, CO 12 ppm, flue 61.25 degC) repeats every value of the as-left " +
			"reading of 1 Mar 2023: probably copied, not measured",
	},
	{
		judge.Finding{Kind: judge.CopiedAsLeft, Readings: []int{0, 1}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, nan, nan), readingOf(judge.AsLeft, 9, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: adjusted, yet the as-found and as-left readings are the same (CO2 9 %): one of them was probably not measured",
	},
	{
		judge.Finding{Kind: judge.CopiedAsLeft, Readings: []int{1}, Against: []int{0}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, 12, 61, nan), readingOf(judge.AsLeft, 9, nan, 12, 61, nan)},
		"high fire on 1 Mar 2024: the as-left reading repeats the as-found one in every value (CO2 9 %, CO 12 ppm, flue 61 degC): " +
			"counted as one measurement",
	},
	{
		judge.Finding{Kind: judge.ExactDouble, Readings: []int{1}, Against: []int{0}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, nan, nan), readingOf(judge.AsFound, 9, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: the as-found reading (CO2 9 %) is on record twice that day: counted once",
	},
	{
		judge.Finding{Kind: judge.FoundTwice, Readings: []int{0, 1}},
		[]judge.Reading{
			readingOf(judge.AsFound, 9.3, nan, nan, nan, nan),
			but(readingOf(judge.AsFound, nan, 4.4, nan, nan, nan), func(r *judge.Reading) { r.Origin = "visits.csv:8" }),
		},
		"high fire on 1 Mar 2024: 2 as-found readings are on record, in no known order (CO2 9.3 %, visits.csv:7; O2 4.4 %, " +
			"visits.csv:8): their mean is used, with twice the uncertainty of one",
	},
	{
		judge.Finding{Kind: judge.COBasis, Readings: []int{1}, Against: []int{0}, Facts: judge.OtherBasis{AirFreePPM: 172.7}},
		[]judge.Reading{
			but(readingOf(judge.AsFound, 9, 5, 100, nan, nan), func(r *judge.Reading) { r.COBasis = judge.AirFree }),
			but(readingOf(judge.Between, 9, 5, 131.4, nan, nan), func(r *judge.Reading) { r.COBasis = judge.AsMeasured }),
		},
		"high fire on 1 Mar 2024: CO 131.4 ppm as measured and 100 ppm air-free; with its O2 and CO2 the latter would be 173: the bases " +
			"are exchanged, or one number is wrong",
	},
	{
		judge.Finding{Kind: judge.TempUnit, Facts: judge.InFahrenheit{UsualC: 61}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, 142, nan)},
		"high fire on 1 Mar 2024: as found, the flue was recorded at 142 degC where 61 degC is usual: probably 142 degF",
	},
	{
		judge.Finding{Kind: judge.TempUnit, Facts: judge.FlueBelowAir{}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, 18, 61)},
		"high fire on 1 Mar 2024: as found, the flue was recorded at 18 degC and the air at 61 degC: exchanged, or one of them is wrong",
	},
	{
		judge.Finding{Kind: judge.RoomProbe, Facts: judge.ReadInRoom{}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, nan, 12)},
		"high fire on 1 Mar 2024: as found, the air was taken in the room; the unit draws it from outdoors",
	},
	{
		judge.Finding{Kind: judge.RoomProbe, Facts: judge.WarmIntake{AboveOutdoorsK: 14.5}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, nan, 18.5)},
		"high fire on 1 Mar 2024: as found, the air was at 18.5 degC, 15 K above outdoors: taken in the room, or warm air gets into " +
			"the intake; the unit draws it from outdoors",
	},
	{
		judge.Finding{Kind: judge.DateDisorder, Facts: judge.BeforeInstall{}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: before the unit was installed (1 Jan 2024): one of the dates is wrong",
	},
	{
		judge.Finding{Kind: judge.DateDisorder, Facts: judge.LateFactoryTest{}},
		[]judge.Reading{readingOf(judge.AsLeft, 9, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: a factory test after the unit was installed (1 Jan 2024): one of the dates is wrong",
	},
	{
		judge.Finding{Kind: judge.DateDisorder, Facts: judge.OutsideName{}},
		[]judge.Reading{readingOf(judge.AsLeft, 9, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: the day is outside the period in the name of its file or sheet: one of the two is wrong",
	},
	{
		judge.Finding{Kind: judge.DateDisorder, Readings: []int{0, 1}, Facts: judge.OrderNotKnown{}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, nan, nan), readingOf(judge.AsFound, 9.2, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: two visits with different values and no times: their order is not known",
	},
	{
		judge.Finding{Kind: judge.Moved, Facts: judge.MovedFrom{Quantity: judge.Draft, Now: -4.04, Usual: -12}},
		[]judge.Reading{readingOf(judge.AsFound, 9, nan, nan, nan, nan)},
		"high fire on 1 Mar 2024: draft -4.04 Pa; at the visits before it was -12 Pa",
	},
}

func TestFindings(t *testing.T) {
	said := map[judge.Kind]bool{}
	for _, c := range findingCases {
		f := c.of
		if f.Readings == nil {
			f.Readings = []int{0}
		}
		h := &judge.History{Unit: judge.Unit{Installed: day.Day(19723)}, Readings: c.readings}
		assert.Equal(t, c.want, Finding(h, &f))
		said[f.Kind] = true
	}
	for k := judge.RichPossible; k <= judge.Moved; k++ {
		require.True(t, said[k], "no sentence is held for %s", k)
		require.NotEmpty(t, findingKinds[k], k)
	}
	require.Len(t, findingSentences, len(said))
	for q := judge.SupplyPressure; q <= judge.Draft; q++ {
		require.NotEmpty(t, quantityNames[q].name)
		require.NotEmpty(t, quantityNames[q].unit)
	}
}

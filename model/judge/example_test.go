package judge_test

import (
	"fmt"
	"math"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// A unit's as-found reading repeats every value that was left a year before. It was
// probably copied, so it stays on record but says nothing of drift.
func Example() {
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8}, combustion.AirO2Field)
	if err != nil {
		fmt.Println(err)
		return
	}
	none := math.NaN()
	left := judge.Reading{
		Visit: 0, Day: 19783, Minute: -1, Fire: judge.High, Condition: judge.AsLeft,
		CO2Percent: 9.1, O2Percent: 4.8, COPPM: 14, COBasis: judge.AsMeasured, FlueTempC: 61.4, AirTempC: none,
		CO2Decimals: 1, O2Decimals: 1, Fuel: "natural gas", VentRun: -1, Calibrated: day.None,
		RatePercent: none, COReferenceO2Percent: none, MinutesFiring: none, SupplyPa: none, ManifoldPa: none,
		FanSpeedRPM: none, FlameSignalUA: none, DraftPa: none,
		Target: judge.Target{CO2Percent: 9, O2Percent: none, SetRich: 0.2, SetLean: 0.2, ActRich: 0.4, ActLean: 0.4, Origin: "instructions"},
	}
	found := left
	found.Visit, found.Day, found.Condition = 1, 20148, judge.AsFound
	h := judge.History{
		Unit:     judge.Unit{Serial: "B-1", Installed: 19000},
		Visits:   []judge.Visit{{ID: "1", Day: 19783, Minute: -1, OutdoorTempC: none}, {ID: "2", Day: 20148, Minute: -1, OutdoorTempC: none}},
		Readings: []judge.Reading{left, found},
	}
	j := judge.Judge(&h, judge.DefaultConfig(fuels))
	for _, f := range j.Findings {
		fmt.Println(f.Kind)
	}
	fmt.Println(j.Uses[0] == judge.Used, j.Uses[1] == judge.Used)
	// Output:
	// copied-visit
	// true false
}

package watch

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// fewReadings is how many readings from the field it takes to say that a column is
// missing for all, and not because there are hardly any readings.
const fewReadings = 10

// Lack is something that no record of a fleet holds: what a list lacks for all units
// alike and no mark of a unit tells.
type Lack int

// What may be lacking.
const (
	LacksAirTemps Lack = iota
	LacksCO2Decimals
	LacksO2Decimals // and CO2 altogether
	LacksAdjustedFlags
	LacksSecondAnalyzer
	LacksNames // of analyzers and of technicians
	LacksAnalyzers
	LacksAsFounds
	LacksAsLefts
	LacksLowFire
	LacksInstallDays
	LacksControls
	LacksTargets
	LacksCO
)

// Missing names what no record of the fleet holds.
func Missing(histories []*judge.History, asOf day.Day) (missing []Lack) {
	var seen recorded
	for _, h := range histories {
		seen.take(h, asOf)
	}
	if seen.readings < fewReadings {
		return nil
	}
	for lack, is := range [...]bool{
		LacksAirTemps:       seen.airTemps == 0,
		LacksCO2Decimals:    seen.whole == seen.co2 && seen.co2 >= fewReadings,
		LacksO2Decimals:     seen.co2 == 0 && seen.wholeO2 == seen.o2,
		LacksAdjustedFlags:  seen.flags == 0,
		LacksSecondAnalyzer: len(seen.analyzers) == 1 && seen.unnamed == 0,
		LacksNames:          len(seen.analyzers) == 0 && seen.technicians == 0,
		LacksAnalyzers:      len(seen.analyzers) == 0 && seen.technicians > 0,
		LacksAsFounds:       seen.found == 0,
		LacksAsLefts:        seen.left == 0,
		LacksLowFire:        seen.low == 0 && seen.lowTargets > 0,
		LacksInstallDays:    seen.installed == 0,
		LacksControls:       seen.controls == 0,
		LacksTargets:        seen.targets == 0,
		LacksCO:             seen.co == 0,
	} {
		if is {
			missing = append(missing, Lack(lack))
		}
	}
	return missing
}

// recorded counts what the records of a fleet hold.
type recorded struct {
	readings, airTemps, co2, whole, o2, wholeO2, co int
	flags, unnamed, technicians, found, left        int
	installed, controls, targets, lowTargets, low   int
	analyzers                                       map[string]bool
}

func (s *recorded) take(h *judge.History, asOf day.Day) {
	if h.Unit.Installed != day.None {
		s.installed++
	}
	if h.Unit.Control != judge.ControlUnknown {
		s.controls++
	}
	s.targets += len(h.Targets)
	for _, t := range h.Targets {
		if t.Fire == judge.Low {
			s.lowTargets++
		}
	}
	for i := range h.Visits {
		v := &h.Visits[i]
		if v.Reason == judge.FactoryTest {
			continue // what the factory writes says nothing of how visits are recorded
		}
		if v.AdjustedHigh == judge.Yes || v.AdjustedHigh == judge.No || v.AdjustedLow == judge.Yes || v.AdjustedLow == judge.No {
			s.flags++
		}
		if v.Technician != "" {
			s.technicians++
		}
	}
	fieldReadings(h, asOf, s.reading)
}

func (s *recorded) reading(r *judge.Reading) {
	count := func(n *int, holds bool) {
		if holds {
			*n++
		}
	}
	isWhole := func(v float64) bool { return v == math.Trunc(v) }
	s.readings++
	count(&s.airTemps, !math.IsNaN(r.AirTempC))
	count(&s.co2, !math.IsNaN(r.CO2Percent))
	count(&s.whole, isWhole(r.CO2Percent))
	count(&s.o2, !math.IsNaN(r.O2Percent))
	count(&s.wholeO2, isWhole(r.O2Percent))
	count(&s.co, r.COLimit != "" || !math.IsNaN(r.COPPM))
	count(&s.found, r.Condition == judge.AsFound)
	count(&s.left, r.Condition == judge.AsLeft)
	count(&s.low, r.Fire == judge.Low)
	count(&s.unnamed, r.Analyzer == "")
	if r.Analyzer == "" {
		return
	}
	if s.analyzers == nil {
		s.analyzers = map[string]bool{}
	}
	s.analyzers[r.Analyzer] = true
}

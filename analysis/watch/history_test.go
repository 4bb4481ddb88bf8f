package watch

import (
	"fmt"
	"math"
	"time"

	"fluedrift/model/combustion"
	calendar "fluedrift/model/day"
	"fluedrift/model/judge"
)

// The histories of these tests are invented; their figures carry no claim but
// what each test states. Targets near 9 % on natural gas with ±0.2, and CO
// levels of 100 and 400 ppm air-free, are common practice, no source.

func dayOf(y int, m time.Month, d int) calendar.Day { return calendar.Of(y, m, d) }

var asOf = dayOf(2026, time.March, 2)

// testRules are the defaults on the as-of day of these tests.
func testRules() Config {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	if err != nil {
		panic(err)
	}
	return DefaultConfig(asOf, judge.DefaultConfig(fuels))
}

func co2Target(v float64) judge.Target {
	return judge.Target{
		CO2Percent: v, O2Percent: math.NaN(), SetRich: 0.2, SetLean: 0.2, ActRich: 0.4, ActLean: 0.4,
		LongestRunM: math.NaN(), FanPa: math.NaN(), Origin: "lines.csv:2",
	}
}

var (
	highTarget = co2Target(9.0)
	lowTarget  = co2Target(8.6)
)

// unit returns a unit in order: tested in full on 3 November 2025 and left on
// target, on a known vent run, with nothing to say against it.
func unit() *judge.History {
	h := &judge.History{
		Unit: judge.Unit{
			Key: 1, Serial: "0070-1", Source: "north", Site: "Mill Lane", Area: "east", ModelLine: "Kestrel 300", Control: "ratio",
			Firing: "modulating", State: "in service", Fuel: "natural gas", InputKW: 300, Installed: dayOf(2018, time.May, 7),
			StateFrom: calendar.None, RemovedDay: calendar.None, FirstDay: dayOf(2018, time.May, 7), InRegister: true, Carry: `{"contract":"C-7"}`,
		},
		VentRuns: []judge.VentRun{{
			From: dayOf(2018, time.May, 7), Until: calendar.None, UncertainFrom: calendar.None, Known: true, LengthM: 9, RiseM: 4,
			DiameterM: 0.2, Elbows90: 2, Terminal: "roof", Material: "steel", AirFrom: "room",
		}},
		Fuels:   []judge.FuelPeriod{{From: dayOf(2018, time.May, 7), Until: calendar.None, UncertainFrom: calendar.None, Fuel: "natural gas"}},
		Targets: []judge.FireTarget{{Fire: judge.High, Target: highTarget}, {Fire: judge.Low, Target: lowTarget}},
	}
	visit(h, dayOf(2025, time.November, 3), "annual", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	return h
}

// visit adds a visit with readings; later visits must be added later.
func visit(h *judge.History, on calendar.Day, reason judge.Reason, readings ...judge.Reading) *judge.Visit {
	h.Visits = append(h.Visits, judge.Visit{
		ID: fmt.Sprint("v", len(h.Visits)), Day: on, Minute: -1, Reason: reason, Technician: "T-1", Analyzer: "A-1",
		OutdoorTempC: math.NaN(), Source: "north", Origin: fmt.Sprintf("north.csv:%d", 10*len(h.Visits)+2),
	})
	for i, r := range readings {
		r.Visit, r.Day, r.Origin = len(h.Visits)-1, on, fmt.Sprintf("north.csv:%d", 10*(len(h.Visits)-1)+2+i)
		h.Readings = append(h.Readings, r)
	}
	return &h.Visits[len(h.Visits)-1]
}

func reading(fire judge.Fire, condition judge.Condition, co2 float64, t judge.Target) judge.Reading {
	nan := math.NaN()
	return judge.Reading{
		Minute: -1, Fire: fire, Condition: condition, Recorded: condition, RatePercent: nan, CO2Percent: co2, O2Percent: nan,
		COPPM: 20, COBasis: judge.AsMeasured, COReferenceO2Percent: nan, FlueTempC: 60, AirTempC: 15, MinutesFiring: nan,
		SupplyPa: nan, ManifoldPa: nan, FanSpeedRPM: nan, FlameSignalUA: nan, DraftPa: nan, CO2Decimals: 1, O2Decimals: -1,
		Analyzer: "A-1", Calibrated: calendar.None, Fuel: "natural gas", Target: t,
	}
}

func high(condition judge.Condition, co2 float64) judge.Reading {
	return reading(judge.High, condition, co2, highTarget)
}

func low(condition judge.Condition, co2 float64) judge.Reading {
	return reading(judge.Low, condition, co2, lowTarget)
}

// withCO sets the CO of a reading.
func withCO(r judge.Reading, ppm float64, basis, limit string) judge.Reading {
	r.COPPM, r.COBasis, r.COLimit = ppm, basis, limit
	return r
}

// withO2 gives a reading its gas as O2.
func withO2(r judge.Reading, o2 float64) judge.Reading {
	r.CO2Percent, r.O2Percent, r.CO2Decimals, r.O2Decimals = math.NaN(), o2, -1, 1
	return r
}

// again makes a unit's only visit over.
func again(readings ...judge.Reading) *judge.History {
	h := unit()
	h.Visits, h.Readings = nil, nil
	visit(h, dayOf(2025, time.November, 3), "annual", readings...)
	return h
}

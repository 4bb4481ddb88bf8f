package judge_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	. "fluedrift/model/judge"
)

// The histories below are invented: they only have to be on one side or the
// other of a rule.

var nan = math.NaN()

// setTo is a CO2 target with a setting band of 0.2 and an action band of 0.4.
func setTo(co2 float64) Target {
	return Target{CO2Percent: co2, O2Percent: nan, SetRich: 0.2, SetLean: 0.2, ActRich: 0.4, ActLean: 0.4, Origin: "lines.csv:2"}
}

// setToO2 is an O2 target with a setting band of 0.3 points of O2.
func setToO2(o2 float64) Target {
	return Target{CO2Percent: nan, O2Percent: o2, SetRich: 0.3, SetLean: 0.3, ActRich: nan, ActLean: nan, Origin: "lines.csv:3"}
}

// rules declares the fuels in air of 20.9 % and, for every model line, 9.0 %
// CO2 on natural gas, 10.0 on propane and 10.1 on butane.
func rules(t testing.TB) Config {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	r := DefaultConfig(fuels)
	r.TargetOf = func(_ string, _ Fire, fuel string, _ day.Day) Target {
		switch fuel {
		case "natural gas":
			return setTo(9.0)
		case "propane":
			return setTo(10.0)
		case "butane":
			return setTo(10.1)
		}
		return Target{CO2Percent: nan, O2Percent: nan}
	}
	return r
}

// value is a reading with nothing recorded but CO2.
func value(condition Condition, co2 float64) Reading {
	return Reading{
		Fire: High, Condition: condition, Recorded: condition, Minute: -1, Fuel: "natural gas", Target: setTo(9.0),
		CO2Percent: co2, O2Percent: nan, COPPM: nan, COBasis: AsMeasured, COReferenceO2Percent: nan, FlueTempC: nan, AirTempC: nan,
		RatePercent:   nan,
		MinutesFiring: nan, SupplyPa: nan, ManifoldPa: nan, FanSpeedRPM: nan, FlameSignalUA: nan, DraftPa: nan, CO2Decimals: 1, O2Decimals: 1,
		VentRun: -1, Calibrated: day.None,
	}
}

// full is a reading with five values recorded.
func full(condition Condition, co2, o2, co, flue, air float64) Reading {
	x := value(condition, co2)
	x.O2Percent, x.COPPM, x.FlueTempC, x.AirTempC = o2, co, flue, air
	return x
}

// with returns the reading changed.
func (c change) with(x Reading) Reading { c(&x); return x }

type change func(*Reading)

func low(x Reading) Reading { return change(func(x *Reading) { x.Fire = Low }).with(x) }

// visit is a day of readings; adjusted holds at both fires.
type visit struct {
	day      day.Day
	adjusted string
	reason   Reason
	minute   int16
	readings []Reading
}

// on returns a visit without a time.
func on(day day.Day, adjusted string, readings ...Reading) visit {
	return visit{day: day, adjusted: adjusted, reason: "annual", minute: -1, readings: readings}
}

// history puts visits together; the unit was installed on day 0.
func history(visits ...visit) *History {
	h := &History{Unit: Unit{Serial: "T-1", ModelLine: "L1", Fuel: "natural gas", Installed: 0}}
	for k, v := range visits {
		h.Visits = append(h.Visits, Visit{Day: v.day, Minute: v.minute, Reason: v.reason, AdjustedHigh: v.adjusted, AdjustedLow: v.adjusted})
		for _, x := range v.readings {
			x.Visit, x.Day, x.Minute = k, v.day, v.minute
			h.Readings = append(h.Readings, x)
		}
	}
	return h
}

// kinds returns the kinds of the findings, in order.
func kinds(j Judgement) []Kind {
	var ks []Kind
	for _, f := range j.Findings {
		ks = append(ks, f.Kind)
	}
	return ks
}

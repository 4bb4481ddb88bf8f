package watch

import (
	"math"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Side is the side of the target a burner stands on.
type Side int

// Rich is more CO2 (less air) than the target, lean the opposite. NoSide: inside
// the band, or not known.
const (
	NoSide Side = iota
	Rich
	Lean
)

// String returns "rich", "lean" or nothing.
func (s Side) String() string { return [...]string{"", "rich", "lean"}[s] }

// Below this share of O2 left a burner may be rich of stoichiometric: then the
// same CO2 occurs a second time on the wrong side (common practice, no source).
const scarceO2Percent = 1.0

// hasGas reports whether a reading has CO2 or O2.
func hasGas(r *judge.Reading) bool { return !math.IsNaN(r.CO2Percent) || !math.IsNaN(r.O2Percent) }

// co2Of returns a reading's CO2: as recorded, else from O2.
func co2Of(r *judge.Reading, f combustion.Fuel) float64 {
	if !math.IsNaN(r.CO2Percent) {
		return r.CO2Percent
	}
	return f.CO2FromO2(r.O2Percent)
}

// o2Of returns a reading's O2: as recorded, else from CO2.
func o2Of(r *judge.Reading, f combustion.Fuel) float64 {
	if !math.IsNaN(r.O2Percent) {
		return r.O2Percent
	}
	return f.O2FromCO2(r.CO2Percent)
}

// inO2 reports whether a target is declared in O2.
func inO2(t judge.Target) bool { return math.IsNaN(t.CO2Percent) && !math.IsNaN(t.O2Percent) }

// HasTarget reports whether there is a target to compare with.
func HasTarget(t judge.Target) bool {
	return t.Declared() && !(math.IsNaN(t.CO2Percent) && math.IsNaN(t.O2Percent))
}

// comparison is a reading against a target in the gas the target is declared
// in.
type comparison struct {
	Points  float64 // above the target, positive towards rich
	Beyond  float64 // beyond the setting band, 0 inside; NaN where it cannot be told
	Side    Side    // where it is outside the setting band
	Derived bool    // the reading had to be converted to the target's gas
}

// compare measures a reading against a target. A reading counts as outside
// only when it is beyond the band by more than half of its last digit: 8.4
// against a limit of 8.4 is inside, and so is the O2 that was rounded from it.
func compare(r *judge.Reading, t judge.Target, f combustion.Fuel) comparison {
	c := comparison{Points: math.NaN(), Beyond: math.NaN()}
	if !HasTarget(t) {
		return c
	}
	var half float64
	if inO2(t) {
		c.Points = t.O2Percent - o2Of(r, f)
		half = halfDigit(r.O2Percent, r.O2Decimals, r.CO2Decimals, 1/f.CO2PerO2())
		c.Derived = math.IsNaN(r.O2Percent)
	} else {
		c.Points = co2Of(r, f) - t.CO2Percent
		half = halfDigit(r.CO2Percent, r.CO2Decimals, r.O2Decimals, f.CO2PerO2())
		c.Derived = math.IsNaN(r.CO2Percent)
	}
	c.Beyond, c.Side = beyond(c.Points, t.SetRich, t.SetLean, half)
	return c
}

// beyond returns by how many points a deviation is outside a band, and on
// which side. A side that is not declared is not judged; without either the
// answer is NaN.
func beyond(points, rich, lean, half float64) (float64, Side) {
	if math.IsNaN(points) || (math.IsNaN(rich) && math.IsNaN(lean)) {
		return math.NaN(), NoSide
	}
	switch {
	case points-rich > half+rounding:
		return points - rich, Rich
	case -points-lean > half+rounding:
		return -points - lean, Lean
	default:
		return 0, NoSide
	}
}

// rounding absorbs the last binary digits of differences of decimal fractions.
const rounding = 1e-9

// halfDigit returns half of the last recorded digit in the gas compared: of
// the gas itself where it is recorded, else of the other, converted.
func halfDigit(own float64, ownDecimals, otherDecimals int8, perOther float64) float64 {
	if !math.IsNaN(own) {
		return halfOf(ownDecimals)
	}
	if h := halfOf(otherDecimals) * perOther; !math.IsNaN(h) {
		return h
	}
	return 0
}

// halfOf returns half of the last of so many decimals; 0 where they are not
// known.
func halfOf(decimals int8) float64 {
	if decimals < 0 {
		return 0
	}
	return 0.5 * math.Pow10(-int(decimals))
}

// Level grades CO.
type Level int

// The levels of CO, from unknown up.
const (
	COUnknown Level = iota
	COBelow         // below the attention level
	COAttention
	COUrgent
)

// CO is the newest carbon monoxide on record at a fire.
type CO struct {
	Level      Level
	AirFreePPM float64   // free of excess air; NaN where no number is known
	AtLeast    bool      // the true value is at least that (over range, or no gas to convert with)
	AnyFuel    bool      // made air-free by the highest CO2max of all fuels, its own not being known
	NoBurner   bool      // read without a burner at work: what was recorded, no less
	Over       bool      // over the analyzer's range
	Basis      string    // as recorded
	Day        day.Day   // when it was read
	Scarce     bool      // urgent because next to no oxygen was left
	LowRich    bool      // urgent because low fire was rich of its setting band with it
	NoBand     bool      // or may have been: nobody knows that band
	floor      bool      // it may be higher than the number, so it never shows that CO is low or lower than before
	Limit      string    // as recorded: judge.Above, judge.Below or ""
	Unused     *UnusedCO // it stands on this record, which could not be used; nil: on a reading
}

// coOf grades the CO of one reading.
//
// As measured and unknown basis are converted by O2, else CO2 (an unknown
// basis thus counts as the worse of the two it may be). A reference O2 is
// converted from that. Without any gas the value stands as the least it can
// be, and so does what was read without a burner at work: the least a CO can be
// never shows that it is low. Over range without a number counts as urgent; over
// or below a number counts as that number. CO2 on target or leaner beside next
// to no oxygen is urgent whatever the CO: that CO2 occurs a second time on the
// wrong side.
func coOf(r *judge.Reading, rules Config) CO {
	co := CO{Day: r.Day, Basis: r.COBasis, Limit: r.COLimit, Over: r.COLimit == judge.Above, NoBurner: rules.Judge.NoBurner(r)}
	co.AirFreePPM, co.AtLeast, co.AnyFuel = airFree(r, rules)
	co.AtLeast = co.AtLeast || co.Over
	co.floor = co.AtLeast || co.AnyFuel && !rules.Judge.EveryFuelMakes(r.CO2Percent)
	number := !math.IsNaN(co.AirFreePPM)
	switch {
	case co.Over && !number:
		co.Level = COUrgent
	case !number:
		co.Level = COUnknown
	case co.AirFreePPM < rules.COAttentionPPM && co.floor:
		co.Level = COUnknown
	case co.AirFreePPM < rules.COAttentionPPM:
		co.Level = COBelow
	case co.AirFreePPM < rules.COUrgentPPM:
		co.Level = COAttention
	default:
		co.Level = COUrgent
	}
	if co.Level != COBelow && !co.NoBurner && leastO2(r, rules) < scarceO2Percent || inBandWithoutOxygen(r, rules) {
		co.Level, co.Scarce = COUrgent, true
	}
	return co
}

// leastO2 returns a reading's O2: as recorded, else from CO2, of an unknown fuel
// the least that any gives.
func leastO2(r *judge.Reading, rules Config) float64 {
	f := rules.fuel(r.Fuel)
	if f.Declared() || !math.IsNaN(r.O2Percent) {
		return o2Of(r, f)
	}
	least := math.NaN()
	for _, f := range rules.Judge.Configured {
		if o2 := f.O2FromCO2(r.CO2Percent); !math.IsNaN(o2) && !(o2 >= least) { // the first, or less
			least = o2
		}
	}
	return least
}

// inBandWithoutOxygen reports whether CO2 is recorded on target, or leaner, beside
// next to no oxygen: one of the two is wrong, or the burner is on the other side
// of stoichiometric, whatever its CO says. Where nobody knows the target, it may be
// on it.
func inBandWithoutOxygen(r *judge.Reading, rules Config) bool {
	if !HasTarget(r.Target) {
		return r.O2Percent < scarceO2Percent && !math.IsNaN(r.CO2Percent) && !rules.Judge.NoBurner(r)
	}
	band, _ := rules.Judge.Action(&r.Target, r.Fuel)
	side := band.Side(r.CO2Percent - rules.Judge.TargetCO2(&r.Target, r.Fuel))
	return r.O2Percent < scarceO2Percent && !rules.Judge.NoBurner(r) && (side == judge.Within || side == judge.Lean)
}

// airFree returns CO free of excess air, whether it is only the least it can be,
// and whether the fuel it was converted with is not known. What was sampled
// without a burner at work is not converted.
func airFree(r *judge.Reading, rules Config) (ppm float64, atLeast, anyFuel bool) {
	if rules.Judge.NoBurner(r) {
		if r.COLimit == judge.Below {
			return math.NaN(), false, false // at most so much of a sample that shows nothing
		}
		return r.COPPM, true, false
	}
	co := rules.Judge.COAirFree(r)
	return co.AirFreePPM, co.Limit == judge.Above, co.AnyFuel
}

package words

import (
	"math"
	"strconv"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Day writes a day as people say it, "4 Mar 2024"; "an unknown day" where it is not
// known.
func Day(d day.Day) string {
	if d == day.None {
		return "an unknown day"
	}
	return d.Time().Format("2 Jan 2006")
}

// span writes a number of days in the coarsest unit that still tells.
func span(days int32) string {
	switch {
	case days < 60:
		return Counted(int(days), "day")
	case days < 730:
		return Counted(int(days)/30, "month")
	default:
		return Counted(int(days)/365, "year")
	}
}

// percent writes a probability in percent, without claiming certainty.
func percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "-"
	case p > 0.99:
		return "over 99 %"
	case p > 0 && p < 0.01:
		return "under 1 %"
	}
	return Number(100*p, 0) + " %"
}

// plain writes a value with at most two decimals and no zeros behind.
func plain(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// GasNumber writes a gas share or a band with at least one decimal.
func GasNumber(v float64) string {
	s := plain(v)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}

// decimalsOf returns how many decimals a value was recorded with, one where it
// is not known.
func decimalsOf(d int8) int {
	if d < 0 || d > 3 {
		return 1
	}
	return int(d)
}

// FireLabel names a fire in a sentence.
func FireLabel(fire judge.Fire, ratePercent float64) string {
	if fire == judge.Point {
		return fireShort(fire, ratePercent)
	}
	return fireShort(fire, ratePercent) + " fire"
}

// fireShort names a fire as a narrow column has it.
func fireShort(fire judge.Fire, ratePercent float64) string {
	switch {
	case fire == judge.Single:
		return "single"
	case fire == judge.Point && !math.IsNaN(ratePercent):
		return "point at " + strconv.FormatFloat(ratePercent, 'f', -1, 64) + " % rate"
	}
	return string(fire)
}

// fireLine names the fire of a line in a sentence.
func fireLine(f *watch.FireLine) string { return FireLabel(f.Fire, f.RatePercent) }

// fires names some fires in a sentence.
func fires(all []watch.FireAt) string {
	labels := make([]string, len(all))
	for i, at := range all {
		labels[i] = fireAt(at)
	}
	return strings.Join(labels, " and ")
}

// gas writes a reading's gas as it was recorded: "8.1 % CO2" or "5.9 % O2"; "no
// gas value" without either.
func gas(r *judge.Reading) string {
	switch {
	case !math.IsNaN(r.CO2Percent):
		return Number(r.CO2Percent, decimalsOf(r.CO2Decimals)) + " % CO2"
	case !math.IsNaN(r.O2Percent):
		return Number(r.O2Percent, decimalsOf(r.O2Decimals)) + " % O2"
	default:
		return "no gas value"
	}
}

// inO2 reports whether a target is declared in O2.
func inO2(t judge.Target) bool { return math.IsNaN(t.CO2Percent) && !math.IsNaN(t.O2Percent) }

// value writes a fire's reading in the gas of its target, and as recorded where that
// is the other gas.
func value(f *watch.FireLine) string {
	r := f.Reading
	if !f.Derived {
		if inO2(f.Target) {
			return Number(r.O2Percent, decimalsOf(r.O2Decimals)) + " % O2"
		}
		return gas(r)
	}
	if inO2(f.Target) {
		return Number(f.Target.O2Percent-f.Points, 1) + " % O2 (recorded as " + gas(r) + ")"
	}
	return Number(f.CO2Percent, 1) + " % CO2 (recorded as " + gas(r) + ")"
}

// Target writes a target with its setting band: "8.6 ±0.2 % CO2", "8.6 +0.2/-0.3 %
// CO2"; "none" without a target.
func Target(t judge.Target) string {
	if !watch.HasTarget(t) {
		return "none"
	}
	value, gas, up, down := t.CO2Percent, " % CO2", t.SetRich, t.SetLean
	if inO2(t) {
		value, gas, up, down = t.O2Percent, " % O2", t.SetLean, t.SetRich
	}
	switch {
	case math.IsNaN(up) && math.IsNaN(down):
		return GasNumber(value) + gas + ", no band"
	case up == down:
		return GasNumber(value) + " ±" + GasNumber(up) + gas
	case math.IsNaN(down):
		return GasNumber(value) + " +" + GasNumber(up) + gas
	case math.IsNaN(up):
		return GasNumber(value) + " -" + GasNumber(down) + gas
	default:
		return GasNumber(value) + " +" + GasNumber(up) + "/-" + GasNumber(down) + gas
	}
}

// pointDecimals gives a difference the decimals of what it was made of.
func pointDecimals(f *watch.FireLine) int {
	d := 1
	if !f.Derived {
		if inO2(f.Target) {
			d = decimalsOf(f.Reading.O2Decimals)
		} else if !math.IsNaN(f.Reading.CO2Percent) {
			d = decimalsOf(f.Reading.CO2Decimals)
		}
	}
	t := f.Target.CO2Percent
	if inO2(f.Target) {
		t = f.Target.O2Percent
	}
	if _, frac, found := strings.Cut(plain(t), "."); found {
		d = max(d, len(frac))
	}
	return max(d, 1)
}

// gaps are how units stand with their start-up.
var gapNames = [...]string{
	watch.GapUntested:     "not tested on its vent run",
	watch.GapMoved:        "not tested since it moved",
	watch.GapPerhaps:      "may not have been tested since its vent changed",
	watch.GapMovedPerhaps: "may not have been tested since it moved",
	watch.GapLater:        "tested later, start-up not on record",
	watch.GapMovedLater:   "tested after it moved, start-up there not on record",
}

// Gap says how a unit stands with its start-up.
func Gap(g watch.Gap) string { return gapNames[g] }

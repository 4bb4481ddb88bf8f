package watch

import (
	"math"
	"strconv"
	"strings"

	"fluedrift/model/judge"
)

// number writes a value with so many decimals, "-" where it is not known.
func number(v float64, decimals int) string {
	if math.IsNaN(v) {
		return "-"
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// plain writes a value with at most two decimals and no zeros behind.
func plain(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// gasNumber writes a gas share or a band with at least one decimal.
func gasNumber(v float64) string {
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

// gasWords writes a reading's gas as it was recorded: "8.1 % CO2" or
// "5.9 % O2"; "no gas value" without either.
func gasWords(r *judge.Reading) string {
	switch {
	case !math.IsNaN(r.CO2Percent):
		return number(r.CO2Percent, decimalsOf(r.CO2Decimals)) + " % CO2"
	case !math.IsNaN(r.O2Percent):
		return number(r.O2Percent, decimalsOf(r.O2Decimals)) + " % O2"
	default:
		return "no gas value"
	}
}

// valueWords writes a reading in the gas of its target, and as recorded where
// that is the other gas.
func valueWords(f *FireLine) string {
	r := f.Reading
	if !f.Derived {
		if inO2(f.Target) {
			return number(r.O2Percent, decimalsOf(r.O2Decimals)) + " % O2"
		}
		return gasWords(r)
	}
	if inO2(f.Target) {
		return number(f.Target.O2Percent-f.Points, 1) + " % O2 (recorded as " + gasWords(r) + ")"
	}
	return number(f.CO2Percent, 1) + " % CO2 (recorded as " + gasWords(r) + ")"
}

// targetWords writes a target with its setting band: "8.6 +-0.2 % CO2",
// "8.6 +0.2/-0.3 % CO2"; "none" without a target.
func targetWords(t judge.Target) string {
	if !HasTarget(t) {
		return "none"
	}
	value, gas, up, down := t.CO2Percent, " % CO2", t.SetRich, t.SetLean
	if inO2(t) {
		value, gas, up, down = t.O2Percent, " % O2", t.SetLean, t.SetRich
	}
	switch {
	case math.IsNaN(up) && math.IsNaN(down):
		return gasNumber(value) + gas + ", no band"
	case up == down:
		return gasNumber(value) + " +-" + gasNumber(up) + gas
	case math.IsNaN(down):
		return gasNumber(value) + " +" + gasNumber(up) + gas
	case math.IsNaN(up):
		return gasNumber(value) + " -" + gasNumber(down) + gas
	default:
		return gasNumber(value) + " +" + gasNumber(up) + "/-" + gasNumber(down) + gas
	}
}

// upper starts a sentence.
func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

package words

import (
	"fmt"
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/study"
)

var features = [...]string{
	study.VentLength: "vent length", study.VentDiameter: "diameter", study.Elbows90: "90 degree elbows",
	study.Elbows45: "45 degree elbows", study.Input: "input", study.ShareOfRun: study.ByLength, study.ShareOfFan: study.ByFan,
	study.LongestRun: "longest run", study.FanPressure: "fan's pressure", study.FuelBurnt: "fuel",
}

// Compared names what a distance is taken over.
func Compared(of []study.Feature) string {
	names := make([]string, len(of))
	for i, f := range of {
		names[i] = features[f]
	}
	return strings.Join(names, ", ")
}

// measure writes what a feature measures in the units of the reader.
func measure(in units.Set, f study.Feature, v float64, unit string) string {
	switch f {
	case study.VentLength, study.LongestRun:
		return in.LengthOf(v)
	case study.VentDiameter:
		return in.WidthOf(v)
	case study.Input:
		return in.InputOf(v)
	case study.FanPressure:
		return in.PressureOf(v)
	}
	return strings.TrimSpace(fmt.Sprintf("%.4g %s", v, unit))
}

// Assumed says what was taken from the units nearest to a configuration.
func Assumed(in units.Set, all []study.Assumed) string {
	said := make([]string, len(all))
	for i, a := range all {
		switch a.Feature {
		case study.FuelBurnt:
			said[i] = "fuel " + a.Fuel
		case study.VentDiameter:
			said[i] = "vent diameter " + in.WidthOf(a.Value)
		default:
			said[i] = features[a.Feature] + " " + measure(in, a.Feature, a.Value, a.Unit)
		}
	}
	return strings.Join(said, "; ")
}

// Beyond says why a configuration lies outside the data.
func Beyond(in units.Set, b study.Beyond) string {
	switch b := b.(type) {
	case study.NoneComparable:
		return "no units with all that is given on record"
	case study.OutOfRange:
		at := func(v float64) string { return measure(in, b.Feature, v, b.Unit) }
		return fmt.Sprintf("%s %s; units from %s to %s", features[b.Feature], at(b.At), at(b.Least), at(b.Most))
	case study.NoMixture:
		return "within the range of each, but no mixture of units has all of it together"
	}
	return ""
}

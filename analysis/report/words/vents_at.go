package words

import (
	"fmt"
	"strings"

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

// Assumed says what was taken from the units nearest to a configuration.
func Assumed(all []study.Assumed) string {
	said := make([]string, len(all))
	for i, a := range all {
		switch a.Feature {
		case study.FuelBurnt:
			said[i] = "fuel " + a.Fuel
		case study.VentDiameter:
			said[i] = fmt.Sprintf("vent diameter %.4g %s", a.Value, a.Unit)
		default:
			said[i] = fmt.Sprintf("%s %.4g %s", features[a.Feature], a.Value, a.Unit)
		}
	}
	return strings.Join(said, "; ")
}

// Beyond says why a configuration lies outside the data.
func Beyond(b study.Beyond) string {
	switch b := b.(type) {
	case study.NoneComparable:
		return "no units with all that is given on record"
	case study.OutOfRange:
		unit := ""
		if b.Unit != "" {
			unit = " " + b.Unit
		}
		return fmt.Sprintf("%s %.4g%s; units from %.4g to %.4g%s", features[b.Feature], b.At, unit, b.Least, b.Most, unit)
	case study.NoMixture:
		return "within the range of each, but no mixture of units has all of it together"
	}
	return ""
}

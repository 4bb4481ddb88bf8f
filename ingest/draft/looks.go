package draft

import (
	"fmt"
	"math"
	"slices"
)

// looks is a span in which the middle value of a column lies when it is written
// in another unit than the declared one. Common practice, no source: combustion
// air has -20 to 35 degC, flue gas 40 to 250 degC, gas boilers of this size 50
// to 3000 kW.
type looks struct {
	field, declared, other string
	low, high              float64
}

var looksLike = []looks{
	{"air_temp", "degC", "degF", 38, 130},
	{"air_temp", "degF", "degC", -20, 32},
	{"outdoor_temp", "degC", "degF", 38, 130},
	{"air_temp", "degC", "K", 240, 320},
	{"flue_temp", "degC", "K", 320, 600},
	{"flue_temp", "degC", "degF", 280, 319},
	{"flue_temp", "degC", "degF", 601, 900},
	{"flue_temp", "degF", "degC", 20, 85},
	{"co2", "%", "fraction", 0.02, 0.2},
	{"o2", "%", "fraction", 0.001, 0.19},
	{"co", "%", "ppm", 1, 1e6},
	{
		"rate", "%",
		"fraction", 0.05, 1.2,
	},
	{"input", "kW", "Btu/h", 1e5, 1e9},
	{"input", "kW", "W", 5e4, 99999},
	{"input", "MBH", "Btu/h", 5e4, 1e9},
	{
		"input",
		"Btu/h", "MBH", 0, 3e4,
	},
	{"input", "Btu/h", "kW", 0, 3e4},
	{"vent_diameter", "in", "mm", 40, 2000},
	{"vent_diameter", "mm", "in", 2, 39},
	{
		"vent_diameter", "mm", "m", 0.02,
		1.9,
	},
	{"vent_diameter", "cm", "mm", 75, 2000},
	{"vent_diameter", "m", "mm", 40, 2000},
	{"vent_length", "m", "ft", 60, 400},
	{"vent_length", "ft", "mm", 1200, 1e6},
	{"vent_length", "m", "mm", 401, 1e6},
	{"supply_pressure", "kPa", "mbar", 8, 200},
	{"supply_pressure", "mbar", "kPa", 0.3, 3.9},
	{"supply_pressure", "Pa", "mbar", 5, 200},
}

func (k *looks) fits(field, declared string, middle float64) bool {
	return k.field == field && k.declared == declared && middle >= k.low && middle <= k.high
}

// OtherUnit is the unit of measure in which a column seems to be written that is
// declared in another, by the middle of its numbers; false where nothing speaks
// against the declared one.
func OtherUnit(field, declared string, middle float64) (unit string, found bool) {
	for _, k := range looksLike {
		if k.fits(field, declared, middle) {
			return k.other, true
		}
	}
	return "", false
}

// Counted writes "1 line", "3 lines".
func Counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// Median is the middle value, NaN of none.
func Median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(v))
	return s[len(s)/2]
}

package judge

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fluedrift/model/day"
)

// agreement is how two readings compare, value by value.
type agreement struct {
	equal   int  // values recorded in both and equal that tell readings apart
	differ  int  // values recorded in both and different
	oneOnly int  // values recorded in one only
	gas     bool // CO2 or O2 among the equal ones
}

// compare compares the recorded numbers of two readings. CO2 and O2 count as
// one value, because most analyzers compute the one from the other. CO counts
// only above zero and off its limits, because so many burners make none;
// supply and manifold pressure are never counted, being the same for years on
// end. What is not counted can still differ.
func compare(x, y *Reading) agreement {
	var a agreement
	a.gas = a.see(x.CO2Percent, y.CO2Percent)
	a.gas = a.see(x.O2Percent, y.O2Percent) || a.gas
	if a.gas {
		a.equal++
	}
	if a.see(x.COPPM, y.COPPM) && x.COPPM > 0 && x.COLimit == "" {
		a.equal++
	}
	if x.COLimit != y.COLimit {
		a.differ++
	}
	for _, v := range [...][2]float64{
		{x.FlueTempC, y.FlueTempC},
		{x.AirTempC, y.AirTempC},
		{x.FanSpeedRPM, y.FanSpeedRPM},
		{x.FlameSignalUA, y.FlameSignalUA},
		{x.DraftPa, y.DraftPa},
	} {
		if a.see(v[0], v[1]) {
			a.equal++
		}
	}
	a.see(x.SupplyPa, y.SupplyPa)
	a.see(x.ManifoldPa, y.ManifoldPa)
	return a
}

// see takes note of one value of either reading and reports whether it is
// recorded in both and equal.
func (a *agreement) see(x, y float64) bool {
	switch {
	case x == y:
		return true
	case math.IsNaN(x) && math.IsNaN(y):
	case math.IsNaN(x) || math.IsNaN(y):
		a.oneOnly++
	default:
		a.differ++
	}
	return false
}

// same reports equal numbers, a missing one being equal to a missing one.
func same(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }

// num writes a number with at most two decimals.
func num(v float64) string {
	if math.IsNaN(v) {
		return "?"
	}
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

// date writes a day as the lists do: 2 Jan 2006.
func date(d day.Day) string {
	if d == day.None {
		return "a day not known"
	}
	return d.Time().Format("2 Jan 2006")
}

// values writes the recorded gas and temperatures of a reading.
func values(x *Reading) string {
	var words []string
	for _, v := range [...]struct {
		name  string
		value float64
		unit  string
	}{
		{"CO2", x.CO2Percent, "%"},
		{"O2", x.O2Percent, "%"},
		{"CO", x.COPPM, "ppm"},
		{"flue", x.FlueTempC, "degC"},
		{"air", x.AirTempC, "degC"},
	} {
		if !math.IsNaN(v.value) {
			words = append(words, v.name+" "+num(v.value)+" "+v.unit)
		}
	}
	return strings.Join(words, ", ")
}

// gas writes the gas a reading is judged by.
func gas(x *Reading) string {
	if !math.IsNaN(x.CO2Percent) {
		return "CO2 " + num(x.CO2Percent) + " %"
	}
	return "O2 " + num(x.O2Percent) + " %"
}

// target writes what is asked for.
func target(t *Target) string {
	if !math.IsNaN(t.CO2Percent) {
		return "CO2 " + num(t.CO2Percent) + " %"
	}
	return "O2 " + num(t.O2Percent) + " %"
}

// at begins a line: fire and day of a reading.
func at(x *Reading) string {
	if x.Fire == Point {
		return fmt.Sprintf("%s %% rate on %s", num(x.RatePercent), date(x.Day))
	}
	return fmt.Sprintf("%s fire on %s", x.Fire, date(x.Day))
}

package judge

import "math"

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

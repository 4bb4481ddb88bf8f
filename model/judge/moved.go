package judge

import "math"

// Quantity is something beside the gases that shows when a burner's air or gas way has
// changed.
type Quantity uint8

// Quantities and their units.
const (
	SupplyPressure   Quantity = iota // Pa
	ManifoldPressure                 // Pa
	FanSpeed                         // rpm
	FlameSignal                      // uA
	Draft                            // Pa
)

// quantities are by how much each must have moved, as a share of its middle and at
// least by a number of its units. The figures are common practice, no source.
var quantities = [...]struct {
	share, least float64
	of           func(*Reading) float64
}{
	SupplyPressure:   {0.10, 50, func(x *Reading) float64 { return x.SupplyPa }},
	ManifoldPressure: {0.10, 20, func(x *Reading) float64 { return x.ManifoldPa }},
	FanSpeed:         {0.05, 50, func(x *Reading) float64 { return x.FanSpeedRPM }},
	FlameSignal:      {0.30, 0.5, func(x *Reading) float64 { return x.FlameSignalUA }},
	Draft:            {0.30, 5, func(x *Reading) float64 { return x.DraftPa }},
}

// measureCheck finds what the measures beside the gases show.
type measureCheck struct{ *checker }

// moved finds what stands away from its middle over the unit's earlier visits
// in the newest reading of a fire, rate and fuel being the same. It says where
// to look and nothing against the reading. What was read at another place is no
// measure of this one.
func (c measureCheck) moved(s *series) {
	if s.visits() < usualLeast {
		return
	}
	newest := s.visit(s.visits() - 1)
	for k := range quantities {
		q := &quantities[k]
		for n := len(newest) - 1; n >= 0; n-- {
			i := newest[n]
			x := &c.h.Readings[i]
			if x.Condition == Between || math.IsNaN(q.of(x)) {
				continue
			}
			before := c.middle(s, func(j int) float64 {
				if y := &c.h.Readings[j]; y.Visit != x.Visit && y.Fuel == x.Fuel && !c.h.MovedBetween(y.Day, x.Day) {
					return q.of(y)
				}
				return math.NaN()
			})
			if by := math.Abs(q.of(x) - before); by > math.Max(q.share*math.Abs(before), q.least) {
				c.add(s, Finding{Kind: Moved, Readings: []int{i}, Facts: MovedFrom{Quantity: Quantity(k), Now: q.of(x), Usual: before}})
			}
			break
		}
	}
}

// coBases finds CO written on two bases for one and the same measurement that
// contradict each other: free of air it is never less than as measured, and it
// exceeds it by air/(air - O2). A single column of CO says nothing of its own
// basis, and none is guessed.
func (c measureCheck) coBases(s *series) {
	for n := 1; n < len(s.order); n++ {
		x, y := &c.h.Readings[s.order[n-1]], &c.h.Readings[s.order[n]]
		if x.Visit != y.Visit || !(same(x.CO2Percent, y.CO2Percent) && same(x.O2Percent, y.O2Percent) && same(x.FlueTempC, y.FlueTempC)) {
			continue
		}
		if x.COBasis == AirFree {
			x, y = y, x
		}
		if x.COBasis != AsMeasured || y.COBasis != AirFree || !(x.COPPM > 0 && y.COPPM > 0) || x.COLimit != "" || y.COLimit != "" {
			continue
		}
		want := c.r.Fuels[x.Fuel].COAirFree(x.COPPM, x.CO2Percent, x.O2Percent)
		if off := math.Abs(y.COPPM - want); !(off > math.Max(0.1*want, 3)) {
			continue
		}
		c.lower(s.order[n], Marked)
		c.add(s, Finding{Kind: COBasis, Readings: []int{s.order[n]}, Against: []int{s.order[n-1]}, Facts: OtherBasis{AirFreePPM: want}})
	}
}

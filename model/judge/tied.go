package judge

import (
	"fmt"
	"math"
	"strings"
)

// OrderUnknown marks an as-found reading of a visit and fire that has others beside
// it, none of which is known to have been the first: times are missing or equal.
const OrderUnknown = "as-found:order-unknown"

// Tied returns the as-found readings of a reading's visit and fire, in order and with
// itself, where nobody knows which was the first; nil where that is known. No one of
// them is what was found: their mean is, with twice the variance of one.
func (h *History) Tied(x *Reading) (all []*Reading) {
	if x.Condition != AsFound || !strings.Contains(x.Marks, OrderUnknown) {
		return nil
	}
	for i := range h.Readings {
		y := &h.Readings[i]
		if y.Visit == x.Visit && y.Fire == x.Fire && same(y.RatePercent, x.RatePercent) && y.Condition == AsFound &&
			strings.Contains(y.Marks, OrderUnknown) {
			all = append(all, y)
		}
	}
	return all
}

// MeanDeviation returns the mean of the deviations of some readings from their
// targets, points of CO2.
func (r *Rules) MeanDeviation(readings []*Reading) float64 {
	sum := 0.0
	for _, x := range readings {
		sum += r.Deviation(x)
	}
	return sum / float64(len(readings))
}

// MeanFound returns the first of some tied readings with the mean of their gases, in
// one decimal more than the finest of them; a gas that not all of them have is
// dropped, and where none is in all of them the CO2 is the mean of Rules.CO2.
func (r *Rules) MeanFound(tied []*Reading) *Reading {
	out := *tied[0]
	n := float64(len(tied))
	co2, o2, asCO2 := 0.0, 0.0, 0.0
	for _, x := range tied {
		co2, o2, asCO2 = co2+x.CO2Percent/n, o2+x.O2Percent/n, asCO2+r.CO2(x)/n
		out.CO2Decimals, out.O2Decimals = max(out.CO2Decimals, x.CO2Decimals), max(out.O2Decimals, x.O2Decimals)
	}
	out.CO2Percent, out.O2Percent = co2, o2
	if math.IsNaN(co2) && math.IsNaN(o2) {
		out.CO2Percent, out.CO2Decimals = asCO2, max(out.CO2Decimals, out.O2Decimals)
	}
	for _, d := range []*int8{&out.CO2Decimals, &out.O2Decimals} {
		if *d >= 0 {
			*d++
		}
	}
	return &out
}

// tiedFounds finds visits with several as-found readings of which nobody knows the
// first. They count together, by their mean.
func (c repeatCheck) tiedFounds(s *series) {
	for k := range s.visits() {
		var tied []int
		for _, i := range s.visit(k) {
			if x := &c.h.Readings[i]; c.uses[i] < LeftOut && x.Condition == AsFound && strings.Contains(x.Marks, OrderUnknown) {
				tied = append(tied, i)
			}
		}
		if len(tied) < 2 {
			continue
		}
		var read []string
		for _, i := range tied {
			c.lower(i, Marked)
			x := &c.h.Readings[i]
			read = append(read, fmt.Sprintf("%s, %s", gas(x), x.Origin))
		}
		c.add(s, Finding{Kind: FoundTwice, Readings: tied, Words: fmt.Sprintf(
			"%s: as found is on record %d times without an order (%s): their mean is used, with twice the uncertainty of one",
			at(&c.h.Readings[tied[0]]), len(tied), strings.Join(read, "; "))})
	}
}

package judge

import "strings"

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
		for _, i := range tied {
			c.lower(i, Marked)
		}
		c.add(s, Finding{Kind: FoundTwice, Readings: tied})
	}
}

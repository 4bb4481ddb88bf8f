package judge

import (
	"math"
	"sort"

	"fluedrift/model/day"
)

// labelCheck finds units labelled with another fuel than they are set for.
type labelCheck struct{ *checker }

// fuelLabels finds a unit that is set as another fuel is set. For each fuel the readings
// of a fire are labelled with, the as-left readings are placed on the way from that fuel's
// target (0) to another fuel's (1), in the gas each was recorded in. The label is in doubt
// when the median lies beyond half way, or when each of the last LabelAsLefts does (a
// conversion nobody wrote down).
//
// Fuels whose targets lie closer together than two setting bands cannot be
// told apart like this and are not tried; nor is a stretch in which the
// register does not say which fuel it was. The finding is open until a newest as
// left lies inside the setting band of its own target and nearer to it than to
// the other.
func (c labelCheck) fuelLabels(s *series) {
	for _, label := range c.labels(s) {
		lefts := c.asLefts(s, label)
		if len(lefts) < c.r.LabelAsLefts {
			continue
		}
		c.fuelLabel(s, label, lefts)
	}
}

// labels returns the fuels a series is labelled with, in order of first use.
func (c labelCheck) labels(s *series) []string {
	var labels []string
next:
	for _, i := range s.order {
		fuel := c.h.Readings[i].Fuel
		for _, l := range labels {
			if l == fuel {
				continue next
			}
		}
		labels = append(labels, fuel)
	}
	return labels
}

// asLefts returns the as-left readings of a series under a label.
func (c labelCheck) asLefts(s *series, label string) []int {
	lefts := make([]int, 0, s.visits())
	for _, i := range s.order {
		x := &c.h.Readings[i]
		if x.Condition == AsLeft && x.Fuel == label && !x.FuelUncertain && c.uses[i] != LeftOut && x.Target.Declared() {
			lefts = append(lefts, i)
		}
	}
	return lefts
}

// fuelLabel tries the other fuels on the as-left readings of one label. The one the
// as-left readings come nearest to is named.
func (c labelCheck) fuelLabel(s *series, label string, lefts []int) {
	bestFuel, bestFrom, bestMiss, open := "", 0, math.Inf(1), false
	for _, other := range c.otherFuels(label) {
		places := c.places(lefts, other)
		if places == nil {
			continue
		}
		n := len(places) - c.r.LabelAsLefts
		from, middle := -1, median(places)
		if last := lowest(places[n:]); last > 0.5 {
			from, middle = n, median(places[n:])
			for from > 0 && places[from-1] > 0.5 {
				from--
			}
		} else if middle > 0.5 {
			from = 0
		}
		if miss := math.Abs(middle - 1); from >= 0 && miss < bestMiss {
			bestFuel, bestFrom, bestMiss = other, from, miss
			open = places[len(places)-1] > 0.5 || !c.inside(lefts[len(lefts)-1])
		}
	}
	if bestFuel == "" {
		return
	}
	c.mislabelled(s, label, bestFuel, lefts[bestFrom:])
	c.findings[len(c.findings)-1].Open = open
}

// inside reports whether a reading lies inside the setting band of its target.
func (c labelCheck) inside(i int) bool {
	x := &c.h.Readings[i]
	return c.r.Setting(&x.Target, x.Fuel).Side(c.r.Deviation(x)) == Within
}

// mislabelled takes the unit's readings under the label out of the fit, at
// every fire: all of them, or those from the first doubted as left on where
// there are trusted ones before it.
func (c labelCheck) mislabelled(s *series, label, other string, doubted []int) {
	x := &c.h.Readings[doubted[len(doubted)-1]]
	t := c.targetOn(s.fire, other, x.Day)
	whole := c.asLefts(s, label)[0] == doubted[0]
	for i := range c.h.Readings {
		y := &c.h.Readings[i]
		if y.Fuel == label && (whole || y.Day >= c.h.Readings[doubted[0]].Day) {
			c.lower(i, StateOnly)
		}
	}
	c.add(s, Finding{Kind: FuelLabel, Readings: doubted, OtherFuel: other, Facts: setAs(&t)})
}

// setAs is a target in the gas it is declared in.
func setAs(t *Target) SetAs {
	if math.IsNaN(t.CO2Percent) {
		return SetAs{Percent: t.O2Percent, InO2: true}
	}
	return SetAs{Percent: t.CO2Percent}
}

// targetOn returns what the unit would be set to on another fuel: what its line
// declares, else a stand-in.
func (c labelCheck) targetOn(fire Fire, fuel string, day day.Day) Target {
	if c.r.TargetOf != nil {
		if t := c.r.TargetOf(c.h.Unit.ModelLine, fire, fuel, day); t.Declared() {
			return t
		}
	}
	return c.standIn(fire, fuel)
}

// standIn scales the unit's own target to another fuel, by CO2max: the CO2 which
// that fuel gives at the O2 of the target, as an analyzer set to it would show. A
// target in O2 is the same on any fuel, so there is none.
func (c labelCheck) standIn(fire Fire, fuel string) Target {
	mine, other := c.r.Fuels[c.h.Unit.Fuel], c.r.Fuels[fuel]
	if !mine.Declared() || !other.Declared() {
		return Target{}
	}
	for _, t := range c.h.Targets {
		if t.Fire == fire && t.Target.Declared() && !math.IsNaN(t.Target.CO2Percent) {
			scaled := t.Target
			scaled.CO2Percent *= other.CO2MaxPercent / mine.CO2MaxPercent
			return scaled
		}
	}
	return Target{}
}

// otherFuels returns the declared fuels but one, by name.
func (c labelCheck) otherFuels(label string) []string {
	names := make([]string, 0, len(c.r.Fuels))
	for name := range c.r.Fuels {
		if name != label {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	return names
}

// places returns where each as left lies between its target (0) and the other
// fuel's (1); nil where the other fuel has no target or one too near.
func (c labelCheck) places(lefts []int, other string) []float64 {
	places := make([]float64, 0, len(lefts))
	for _, i := range lefts {
		x := &c.h.Readings[i]
		t := c.targetOn(x.Fire, other, x.Day)
		if !t.Declared() {
			return nil
		}
		place := c.place(x, &t, other)
		if math.IsNaN(place) {
			return nil
		}
		places = append(places, place)
	}
	return places
}

// place returns where one as-left reading lies. An O2 reading is placed in O2: the CO2
// made of it presumes the label that is in question.
func (c labelCheck) place(x *Reading, t *Target, other string) float64 {
	band := c.r.Setting(&x.Target, x.Fuel)
	value, here, there := x.CO2Percent, c.r.TargetCO2(&x.Target, x.Fuel), c.r.TargetCO2(t, other)
	if math.IsNaN(value) {
		here, there = c.r.Fuels[x.Fuel].O2FromCO2(here), c.r.Fuels[other].O2FromCO2(there)
		value = x.O2Percent
		band = band.Scaled(1 / c.r.Fuels[x.Fuel].CO2PerO2())
	}
	if way := math.Abs(there - here); way < 2*math.Max(band.Rich, -band.Lean) {
		return math.NaN()
	}
	return (value - here) / (there - here)
}

// median returns the middle of the values; it does not change them.
func median(values []float64) float64 {
	v := append([]float64(nil), values...)
	sort.Float64s(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

// lowest returns the smallest of the values.
func lowest(values []float64) float64 {
	low := math.Inf(1)
	for _, v := range values {
		low = math.Min(low, v)
	}
	return low
}

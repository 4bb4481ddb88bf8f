package judge

import (
	"fmt"
	"math"
	"sort"
)

// fuelLabels finds a unit that is set as another fuel is set. For each fuel
// the readings of a fire are labelled with, the as lefts are placed on the way
// from that fuel's target (0) to another fuel's (1), in the gas each was
// recorded in. The label is in doubt when the median lies beyond half way, or
// when each of the last LabelAsLefts does (a conversion nobody wrote down).
//
// Fuels whose targets lie closer together than two setting bands cannot be
// told apart like this and are not tried; nor is a stretch in which the
// register does not say which fuel it was. The finding is open until a newest as
// left lies inside the setting band of its own target and nearer to it than to
// the other.
func (b *bench) fuelLabels(s *series) {
	for _, label := range b.labels(s) {
		lefts := b.asLefts(s, label)
		if len(lefts) < b.r.LabelAsLefts {
			continue
		}
		b.fuelLabel(s, label, lefts)
	}
}

// labels returns the fuels a series is labelled with, in order of first use.
func (b *bench) labels(s *series) []string {
	var labels []string
next:
	for _, i := range s.order {
		fuel := b.h.Readings[i].Fuel
		for _, l := range labels {
			if l == fuel {
				continue next
			}
		}
		labels = append(labels, fuel)
	}
	return labels
}

// asLefts returns the as lefts of a series under a label.
func (b *bench) asLefts(s *series, label string) []int {
	lefts := make([]int, 0, s.visits())
	for _, i := range s.order {
		x := &b.h.Readings[i]
		if x.Condition == AsLeft && x.Fuel == label && !x.FuelUncertain && b.uses[i] != LeftOut && x.Target.Declared() {
			lefts = append(lefts, i)
		}
	}
	return lefts
}

// fuelLabel tries the other fuels on the as lefts of one label. The one the
// as lefts come nearest to is named.
func (b *bench) fuelLabel(s *series, label string, lefts []int) {
	bestFuel, bestFrom, bestMiss, open := "", 0, math.Inf(1), false
	for _, other := range b.otherFuels(label) {
		places := b.places(lefts, other)
		if places == nil {
			continue
		}
		n := len(places) - b.r.LabelAsLefts
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
			open = places[len(places)-1] > 0.5 || !b.inside(lefts[len(lefts)-1])
		}
	}
	if bestFuel == "" {
		return
	}
	b.mislabelled(s, label, bestFuel, lefts[bestFrom:])
	b.findings[len(b.findings)-1].Open = open
}

// inside reports whether a reading lies inside the setting band of its target.
func (b *bench) inside(i int) bool {
	x := &b.h.Readings[i]
	return b.r.Setting(&x.Target, x.Fuel).Side(b.r.Deviation(x)) == Within
}

// mislabelled takes the unit's readings under the label out of the fit, at
// every fire: all of them, or those from the first doubted as left on where
// there are trusted ones before it.
func (b *bench) mislabelled(s *series, label, other string, doubted []int) {
	x := &b.h.Readings[doubted[len(doubted)-1]]
	t := b.targetOn(s.fire, other, x.Day)
	whole := b.asLefts(s, label)[0] == doubted[0]
	for i := range b.h.Readings {
		y := &b.h.Readings[i]
		if y.Fuel == label && (whole || y.Day >= b.h.Readings[doubted[0]].Day) {
			b.lower(i, StateOnly)
		}
	}
	b.add(s, Finding{Kind: FuelLabel, Readings: doubted, OtherFuel: other, Words: fmt.Sprintf(
		"%s fire: %d as lefts up to %s at %s, where %s is set to %s and %s to %s: fuel label, analyzer setting or burner is wrong",
		s.fire, len(doubted), date(x.Day), gas(x), label, target(&x.Target), other, target(&t))})
}

// targetOn returns what the unit would be set to on another fuel: what its line
// declares, else a stand-in.
func (b *bench) targetOn(fire, fuel string, day int32) Target {
	if b.r.TargetOf != nil {
		if t := b.r.TargetOf(b.h.Unit.ModelLine, fire, fuel, day); t.Declared() {
			return t
		}
	}
	return b.standIn(fire, fuel)
}

// standIn scales the unit's own target to another fuel, by CO2max: the CO2 which
// that fuel gives at the O2 of the target, as an analyzer set to it would show. A
// target in O2 is the same on any fuel, so there is none.
func (b *bench) standIn(fire, fuel string) Target {
	mine, other := b.r.Fuels[b.h.Unit.Fuel], b.r.Fuels[fuel]
	if !mine.Declared() || !other.Declared() {
		return Target{}
	}
	for _, t := range b.h.Targets {
		if t.Fire == fire && t.Target.Declared() && !math.IsNaN(t.Target.CO2Percent) {
			scaled := t.Target
			scaled.CO2Percent *= other.CO2MaxPercent / mine.CO2MaxPercent
			return scaled
		}
	}
	return Target{}
}

// otherFuels returns the declared fuels but one, by name.
func (b *bench) otherFuels(label string) []string {
	names := make([]string, 0, len(b.r.Fuels))
	for name := range b.r.Fuels {
		if name != label {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	return names
}

// places returns where each as left lies between its target (0) and the other
// fuel's (1); nil where the other fuel has no target or one too near.
func (b *bench) places(lefts []int, other string) []float64 {
	places := make([]float64, 0, len(lefts))
	for _, i := range lefts {
		x := &b.h.Readings[i]
		t := b.targetOn(x.Fire, other, x.Day)
		if !t.Declared() {
			return nil
		}
		place := b.place(x, &t, other)
		if math.IsNaN(place) {
			return nil
		}
		places = append(places, place)
	}
	return places
}

// place returns where one as left lies. An O2 reading is placed in O2: the
// CO2 made of it presumes the label that is in question.
func (b *bench) place(x *Reading, t *Target, other string) float64 {
	band := b.r.Setting(&x.Target, x.Fuel)
	value, here, there := x.CO2Percent, b.r.TargetCO2(&x.Target, x.Fuel), b.r.TargetCO2(t, other)
	if math.IsNaN(value) {
		here, there = b.r.Fuels[x.Fuel].O2FromCO2(here), b.r.Fuels[other].O2FromCO2(there)
		value = x.O2Percent
		band = band.Scaled(1 / b.r.Fuels[x.Fuel].CO2PerO2())
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

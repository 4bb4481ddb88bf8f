package judge

import "math"

// swappedFiresWeight is how much better a reading, or what was found and left at a
// visit together, must fit with its fires exchanged: half the difference of the squared distances, each in spreads. 9
// stands for odds of thousands to one, were the spreads normal (our choice).
const swappedFiresWeight = 9

// swapCheck finds visits with high and low fire exchanged.
type swapCheck struct{ *checker }

// swappedFires finds visits whose high and low fire are exchanged in the
// record: CO2 and flue temperature of each fit the other fire of this unit, by
// what it shows as a rule, and not their own. The target alone would not do:
// some burners are set with more CO2 at low fire than at high.
func (c swapCheck) swappedFires(all []*series) {
	high, low := byFire(all, High), byFire(all, Low)
	if high == nil || low == nil || math.IsNaN(high.usual.deviation) || math.IsNaN(low.usual.deviation) {
		return
	}
	next := 0
	for k := range high.visits() {
		visit := c.h.Readings[high.visit(k)[0]].Visit
		for next < low.visits() && c.h.Readings[low.visit(next)[0]].Visit < visit {
			next++
		}
		if next == low.visits() || c.h.Readings[low.visit(next)[0]].Visit != visit {
			continue
		}
		if c.h.Visits[visit].Reason != FactoryTest {
			c.swappedVisit(high, low, k, next)
		}
	}
}

// firePair is the high and the low reading of a condition at one visit, and by how
// much better they fit exchanged.
type firePair struct {
	high, low int
	weight    float64
}

// swappedVisit judges what was found and what was left at a visit. Who writes the
// fires into each other's place does so for the whole visit: where the burner was
// set in between, as found and as left speak for themselves, and together where
// both point the same way.
func (c swapCheck) swappedVisit(high, low *series, k, n int) {
	var pairs []firePair
	sum, least := 0.0, math.Inf(1)
	for _, condition := range []Condition{AsFound, AsLeft} {
		i, j := c.first(high.visit(k), condition), c.first(low.visit(n), condition)
		if i < 0 || j < 0 || c.wrong[i] || c.wrong[j] {
			continue
		}
		p := firePair{i, j, c.exchangeWeight(&c.h.Readings[i], &c.h.Readings[j], high, low)}
		pairs, sum, least = append(pairs, p), sum+p.weight, math.Min(least, p.weight)
	}
	v := &c.h.Visits[c.h.Readings[high.visit(k)[0]].Visit]
	set := v.Adjusted(High) == Yes || v.Adjusted(Low) == Yes
	for _, p := range pairs {
		if p.weight > swappedFiresWeight || set && least > 0 && sum > swappedFiresWeight {
			c.exchanged(high, low, p)
		}
	}
}

// exchanged reports a pair.
func (c swapCheck) exchanged(high, low *series, p firePair) {
	for _, f := range []struct {
		s    *series
		i, j int
	}{{high, p.high, p.low}, {low, p.low, p.high}} {
		c.explain(f.i)
		c.lower(f.i, LeftOut)
		c.add(f.s, Finding{Kind: SwappedFires, Readings: []int{f.i}, Against: []int{f.j}})
	}
}

// exchangeWeight returns by how much better two readings fit exchanged; 0 or
// less where exchanged they do not fit at all.
func (c swapCheck) exchangeWeight(x, y *Reading, high, low *series) float64 {
	toHigh, toLow := c.r.TargetCO2(&x.Target, x.Fuel)+high.usual.deviation, c.r.TargetCO2(&y.Target, y.Fuel)+low.usual.deviation
	weight, ok := exchange(c.r.CO2(x), c.r.CO2(y), toHigh, toLow, co2SpreadPoints)
	if !ok {
		return 0
	}
	if math.IsNaN(high.usual.flueSpread + low.usual.flueSpread + x.FlueTempC + y.FlueTempC) {
		return weight
	}
	spread := math.Max(flueSpreadK, 1.5*math.Max(high.usual.flueSpread, low.usual.flueSpread)) // 1.5 medians are a standard deviation
	flue, ok := exchange(x.FlueTempC, y.FlueTempC, high.usual.flueC, low.usual.flueC, spread)
	if !ok {
		return 0
	}
	return weight + flue
}

// Least spreads of CO2 and flue temperature at a fire from visit to visit, and
// how many of them a value may be off (our choice).
const (
	co2SpreadPoints = 0.25
	flueSpreadK     = 3
	mostSpreads     = 4
)

// exchange compares two values a and b, expected at p and q, with the same
// exchanged; false where the exchanged ones are far off.
func exchange(a, b, p, q, spread float64) (weight float64, ok bool) {
	square := func(d float64) float64 { return d * d / (spread * spread) }
	far := math.Max(math.Abs(a-q), math.Abs(b-p)) > mostSpreads*spread
	return (square(a-p) + square(b-q) - square(a-q) - square(b-p)) / 2, !far
}

// byFire returns the series of a fire, nil where there is none.
func byFire(all []*series, fire Fire) *series {
	for _, s := range all {
		if s.fire == fire {
			return s
		}
	}
	return nil
}

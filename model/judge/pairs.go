package judge

import (
	"math"

	"fluedrift/model/combustion"
)

// Most analyzers measure O2 and compute CO2 from it by the fuel they are set
// to, so that a recorded pair is one observation, and all that it says beside
// is which fuel was set. Dilution of the sample with air leaves it as it is and
// cannot be seen here.

// pairMostO2 is the O2 above which a pair tells too little of a fuel.
const pairMostO2 = 15

// pairCheck finds readings whose two gases do not go together on the unit's fuel.
type pairCheck struct{ *checker }

// pairs looks at readings with both gases. A pair that fits a fuel only when
// exchanged is SwappedGases. One that fits another declared fuel and not the
// unit's is OtherSetting: the analyzer was set to it, or the register is wrong.
// One that fits no fuel is PairApart. All three are left out, because nobody
// can tell which of the two numbers holds; where most pairs of a unit fit the
// other fuel they stay its state, as with a fuel label in doubt.
//
// How close a fit is asked for depends on how the pairs of the analyzer, else of
// the source, lie (Rules.Pairs). Where nothing is known of them it depends on
// whether the unit's pairs are computed (combustion.InferCO2Max): ComputedShare if
// so, else PairShare.
func (c pairCheck) pairs(all []*series) {
	share, told := c.r.PairShare, false
	var others []pairFinding
	usable := 0
	for _, s := range all {
		for _, i := range s.order {
			x := &c.h.Readings[i]
			if !c.usablePair(x) {
				continue
			}
			usable++
			source := c.h.Visits[x.Visit].Source
			if fit, known := c.r.PairsOf(source).fit(x); known {
				if c.r.PairsOf(source).Agree(x) {
					continue
				}
				if f := c.pair(x, math.Max(fit.Within, c.r.ComputedShare), true); f.Kind != 0 {
					f.Readings = []int{i}
					others = append(others, pairFinding{s, f})
				}
				continue
			}
			if c.fits(x, x.Fuel, c.r.ComputedShare, false) {
				continue
			}
			if !told {
				share, told = c.pairShare(), true
			}
			if f := c.pair(x, share, false); f.Kind != 0 {
				f.Readings = []int{i}
				others = append(others, pairFinding{s, f})
			}
		}
	}
	c.filePairs(others, usable)
}

// pairFinding is a finding on its way into its series.
type pairFinding struct {
	s *series
	f Finding
}

// filePairs files findings about pairs.
func (c pairCheck) filePairs(all []pairFinding, usable int) {
	settings := 0
	for _, p := range all {
		if p.f.Kind == OtherSetting {
			settings++
		}
	}
	for _, p := range all {
		i, use := p.f.Readings[0], LeftOut
		if p.f.Kind == OtherSetting && 2*settings > usable {
			use = StateOnly
		} else {
			c.explain(i)
		}
		c.lower(i, use)
		c.add(p.s, p.f)
	}
}

// usablePair reports whether a reading has a pair that can be judged: between
// hardly any air left, where CO takes part, and hardly any flue gas.
func (c pairCheck) usablePair(x *Reading) bool {
	return x.Condition != Between && x.CO2Percent > 0 && x.O2Percent >= c.r.RichO2Percent && x.O2Percent <= pairMostO2 &&
		!(x.COPPM >= c.r.RichCOPPM) && !c.r.NoBurner(x)
}

// pairShare returns how close pairs of this unit must lie to a fuel.
func (c pairCheck) pairShare() float64 {
	var pairs []combustion.Pair
	air := combustion.AirO2(0)
	for i := range c.h.Readings {
		x := &c.h.Readings[i]
		if c.usablePair(x) && c.r.Fuels[x.Fuel].Declared() {
			air = c.r.Fuels[x.Fuel].Air
			pairs = append(pairs, c.pairOf(x, false))
		}
	}
	if air != 0 && combustion.InferCO2Max(pairs, air).Computed {
		return c.r.ComputedShare
	}
	return c.r.PairShare
}

// pairOf returns a reading's pair, exchanged if asked for.
func (c pairCheck) pairOf(x *Reading, exchanged bool) combustion.Pair {
	co2Half, o2Half := c.halves(x)
	if exchanged {
		return combustion.Pair{CO2Percent: x.O2Percent, O2Percent: x.CO2Percent, CO2Half: o2Half, O2Half: co2Half}
	}
	return combustion.Pair{CO2Percent: x.CO2Percent, O2Percent: x.O2Percent, CO2Half: co2Half, O2Half: o2Half}
}

// fits reports whether a pair lies within its rounding and a share of CO2max on
// the line of a fuel.
func (c pairCheck) fits(x *Reading, fuel string, share float64, exchanged bool) bool {
	return c.misfit(x, fuel, exchanged) <= share
}

// misfit returns by which share of a fuel's CO2max a pair lies off its line,
// rounding apart; +Inf where that cannot be told.
func (c pairCheck) misfit(x *Reading, fuel string, exchanged bool) float64 {
	f, p := c.r.Fuels[fuel], c.pairOf(x, exchanged)
	if !f.Declared() || p.O2Percent > pairMostO2 {
		return math.Inf(1)
	}
	within := p.Settings(f.Air)
	return math.Max(0, math.Max(within.Low/f.CO2MaxPercent-1, 1-within.High/f.CO2MaxPercent))
}

// pair judges one pair; a Finding without a kind says that nothing is wrong. Of a
// pair that is known to contradict itself its own fuel is not asked again.
func (c pairCheck) pair(x *Reading, share float64, contradicts bool) Finding {
	if !contradicts && c.fits(x, x.Fuel, share, false) {
		return Finding{}
	}
	if contradicts && c.fits(x, x.Fuel, share, false) { // too near to its own fuel for another
		return Finding{Kind: PairApart, Facts: c.byO2(x)}
	}
	known := c.r.Fuels[x.Fuel].Declared()
	if other := c.bestFuel(x, share, false); other != "" {
		if !known || x.FuelUncertain || c.alike(x.Fuel, other) {
			return Finding{}
		}
		return Finding{Kind: OtherSetting, OtherFuel: other, Facts: c.byO2(x)}
	}
	if other := c.bestFuel(x, share, true); other != "" {
		return Finding{Kind: SwappedGases, Facts: FitExchanged{Fuel: other}}
	}
	if !known {
		return Finding{}
	}
	return Finding{Kind: PairApart, Facts: c.byO2(x)}
}

// byO2 is the CO2 that the O2 of a reading stands for on its own fuel.
func (c pairCheck) byO2(x *Reading) ByO2 {
	return ByO2{CO2Percent: c.r.Fuels[x.Fuel].CO2FromO2(x.O2Percent)}
}

// bestFuel returns the declared fuel a pair lies nearest to, "" where none is
// within the share. Of equals the first by name.
func (c pairCheck) bestFuel(x *Reading, share float64, exchanged bool) string {
	best, least := "", math.Inf(1)
	for name := range c.r.Fuels {
		miss := c.misfit(x, name, exchanged)
		if miss <= share && !math.IsInf(miss, 1) && (miss < least || miss == least && name < best) {
			best, least = name, miss
		}
	}
	return best
}

// alike reports whether two fuels cannot be told apart by a pair: propane and
// butane.
func (c pairCheck) alike(fuel, other string) bool {
	return math.Abs(c.r.Fuels[other].CO2MaxPercent/c.r.Fuels[fuel].CO2MaxPercent-1) < 2*c.r.ComputedShare
}

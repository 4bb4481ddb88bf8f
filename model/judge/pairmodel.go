package judge

import (
	"math"
	"slices"

	"fluedrift/model/combustion"
)

// PairOf names whose pairs of O2 and CO2 are looked at together: an analyzer of a
// source, or with an empty Analyzer the whole source.
type PairOf struct{ Source, Analyzer string }

// PairFit is how the pairs of an analyzer or source lie about the line of the
// registered fuel, in shares of its CO2max.
type PairFit struct {
	Pairs    int
	Computed bool    // one gas is computed from the other: they agree to their steps
	Centre   float64 // by how much the CO2max in use is above the declared one
	Within   float64 // a pair further off than this, beyond its steps, contradicts itself
}

// Figures of PairFits. A group speaks for itself from so many pairs; it is
// computed where so many of them agree to their steps, with a hair for another
// convention of air. Two independent cells scatter normally: four robust standard
// deviations hold all but one in ten thousand. A pair that is computed has no
// noise of its own; what is asked is two noises of a reading, 0.18 points of CO2
// (2 x sqrt 2 x 0.065, MODEL of the drift), so that no slip is looked for that
// would not show in the CO2 either. Our choice; no source prints it.
const (
	pairGroup     = 20
	pairDifferent = 4
	pairComputed  = 0.9
	pairHair      = 0.003
	pairNoise     = 0.015
	pairSDs       = 4 * 1.4826
	pairCentre    = 0.03 // further off, the analyzer is set to another fuel, or the register is wrong
)

// Pairs gathers the pairs of a fleet. The zero value is ready to use.
type Pairs struct{ groups map[PairOf]*pairGroups }

// pairGroups counts different pairs.
type pairGroups struct {
	low, high []float64 // CO2max that explains each pair, as shares beyond the declared
	n         []int
	at        map[[2]float64]int
}

// Add takes a pair that occurs n times. One that tells nothing of its fuel is
// passed over: a gas missing, or hardly any flue gas.
func (p *Pairs) Add(of PairOf, pair combustion.Pair, fuel combustion.Fuel, n int) {
	if !fuel.Declared() || !(pair.CO2Percent > 0) || !(pair.O2Percent >= 0 && pair.O2Percent <= pairMostO2) {
		return
	}
	span := pair.Settings(fuel.Air)
	low, high := span.Low/fuel.CO2MaxPercent-1, span.High/fuel.CO2MaxPercent-1
	if p.groups == nil {
		p.groups = map[PairOf]*pairGroups{}
	}
	both := []PairOf{of, {Source: of.Source}}
	if of.Analyzer == "" {
		both = both[1:]
	}
	for _, k := range both {
		g := p.groups[k]
		if g == nil {
			g = &pairGroups{at: map[[2]float64]int{}}
			p.groups[k] = g
		}
		i, seen := g.at[[2]float64{low, high}]
		if !seen {
			i = len(g.n)
			g.at[[2]float64{low, high}] = i
			g.low, g.high, g.n = append(g.low, low), append(g.high, high), append(g.n, 0)
		}
		g.n[i] += n
	}
}

// Fits tells of each analyzer and source with enough pairs how they lie.
func (p *Pairs) Fits() map[PairOf]PairFit {
	fits := make(map[PairOf]PairFit, len(p.groups))
	for of, g := range p.groups {
		if f, ok := g.fit(); ok {
			fits[of] = f
		}
	}
	return fits
}

func (g *pairGroups) fit() (PairFit, bool) {
	type mid struct {
		at float64
		n  int
	}
	mids, all := make([]mid, len(g.n)), 0
	for i, n := range g.n {
		mids[i], all = mid{(g.low[i] + g.high[i]) / 2, n}, all+n
	}
	// the value in the middle of all pairs
	middle := func(m []mid) float64 {
		slices.SortFunc(m, func(a, b mid) int {
			switch {
			case a.at < b.at:
				return -1
			case a.at > b.at:
				return 1
			}
			return 0
		})
		for i, half := 0, 0; i < len(m); i++ {
			if half += m[i].n; 2*half >= all {
				return m[i].at
			}
		}
		return math.NaN()
	}
	if all < pairGroup || len(mids) < pairDifferent {
		return PairFit{}, false
	}
	f := PairFit{Pairs: all, Centre: middle(slices.Clone(mids))}
	if math.Abs(f.Centre) > pairCentre {
		return PairFit{}, false
	}
	agree := 0
	for i, n := range g.n {
		if f.Centre >= g.low[i]-pairHair && f.Centre <= g.high[i]+pairHair {
			agree += n
		}
		mids[i] = mid{math.Abs((g.low[i]+g.high[i])/2 - f.Centre), n}
	}
	f.Computed, f.Within = float64(agree) >= pairComputed*float64(all), pairNoise
	if !f.Computed {
		f.Within = math.Max(pairNoise, pairSDs*middle(mids))
	}
	return f, true
}

// PairsIn gathers the pairs of histories. The halves of their last digits come
// from the rules' resolutions.
func PairsIn(histories []*History, r *Config) map[PairOf]PairFit {
	var p Pairs
	for _, h := range histories {
		for i := range h.Readings {
			if x := &h.Readings[i]; x.Condition != Between {
				source := h.Visits[x.Visit].Source
				p.Add(PairOf{source, x.Analyzer}, r.PairsOf(source).Of(x), r.Fuels[x.Fuel], 1)
			}
		}
	}
	return p.Fits()
}

// SourcePairs judges the pairs of a source's readings.
type SourcePairs struct {
	r      *Config
	source string
}

// Of is a reading's pair with half of the last digit of each gas.
func (p SourcePairs) Of(x *Reading) combustion.Pair {
	s := p.r.Resolutions[p.source]
	return combustion.Pair{
		CO2Percent: x.CO2Percent, O2Percent: x.O2Percent, CO2Half: halfDigit(x.CO2Decimals, s.CO2Step),
		O2Half: halfDigit(x.O2Decimals, s.O2Step),
	}
}

// fit is what is known of the pairs that a reading's is one of: its
// analyzer's, else its source's.
func (p SourcePairs) fit(x *Reading) (PairFit, bool) {
	for _, of := range []PairOf{{p.source, x.Analyzer}, {Source: p.source}} {
		if f, ok := p.r.Pairs[of]; ok {
			return f, true
		}
	}
	return PairFit{}, false
}

// Agree reports whether the two gases of a reading say the same: within
// their steps and what pairs like it are off. CO2OfO2 is the CO2 that the O2
// stands for, by the CO2max in use. Where a gas is missing, or nothing is known of
// pairs like it, they are not compared: true.
func (p SourcePairs) Agree(x *Reading) bool {
	f, known := p.fit(x)
	fuel := p.r.Fuels[x.Fuel]
	if !known || !fuel.Declared() || !(x.CO2Percent > 0) || !(x.O2Percent >= 0 && x.O2Percent <= pairMostO2) {
		return true
	}
	span := p.Of(x).Settings(fuel.Air)
	off := math.Max(span.Low/fuel.CO2MaxPercent-1-f.Centre, f.Centre-span.High/fuel.CO2MaxPercent+1)
	return off <= f.Within
}

// SetToOther reports whether a reading's pair lies, within its steps and
// ComputedShare, on the line of another fuel than its own: the analyzer computed
// its CO2 for that one, so that of the two only the O2 was measured.
func (p SourcePairs) SetToOther(x *Reading) bool {
	if !(x.CO2Percent > 0) || !(x.O2Percent >= 0 && x.O2Percent <= pairMostO2) {
		return false
	}
	for name, other := range p.r.Fuels {
		if name == x.Fuel || !other.Declared() {
			continue
		}
		span := p.Of(x).Settings(other.Air)
		if math.Max(span.Low/other.CO2MaxPercent-1, 1-span.High/other.CO2MaxPercent) <= p.r.ComputedShare {
			return true
		}
	}
	return false
}

// CO2OfO2 returns the CO2 that a reading's O2 stands for, by the CO2max that its
// analyzer or source is known to use; NaN where it cannot be told.
func (p SourcePairs) CO2OfO2(x *Reading) float64 {
	f, _ := p.fit(x)
	return p.r.Fuels[x.Fuel].CO2FromO2(x.O2Percent) * (1 + f.Centre)
}

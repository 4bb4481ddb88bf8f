package vent

import "math"

// ElbowRule says how much straight length an elbow stands for. Instructions
// print a length, handbooks a number of diameters; both parts add up, so that
// one of them is 0 as a rule. Keep the source beside a configured rule.
type ElbowRule struct {
	Metres90, Metres45       float64
	Diameters90, Diameters45 float64
	Source                   string
}

// HandbookElbows is the rule of the usual handbook tables for pipe fittings,
// from memory: 30 diameters, and 16 for 45 degrees.
func HandbookElbows() ElbowRule {
	return ElbowRule{Diameters90: 30, Diameters45: 16, Source: "handbook L/D of standard elbows, from memory"}
}

// ElbowsOf returns the rule of a loss coefficient at a friction factor, a 45
// degree elbow counting half (common practice, no source).
func ElbowsOf(k90, friction float64) ElbowRule {
	return ElbowRule{
		Diameters90: k90 / friction, Diameters45: k90 / friction / 2,
		Source: "K over friction factor; 45 degrees half, common practice",
	}
}

// EquivalentLengthM returns the length of straight pipe of a reference
// diameter that takes the run's pressure by a rule. A length of another
// diameter is referred by the fifth power of the diameters, a number of
// diameters, being a loss coefficient over a friction factor, by the fourth:
//
//	L (Dref/D)^5      n Dref (Dref/D)^4
//
// The friction factor is taken to be the same throughout. NaN where a size or
// count is not known.
func (r Run) EquivalentLengthM(rule ElbowRule, referenceDiameterM float64) float64 {
	return r.sum(func(s Section) float64 {
		ratio := referenceDiameterM / s.DiameterM
		n90, n45 := count(s.Elbows90), count(s.Elbows45)
		metres := s.LengthM + n90*rule.Metres90 + n45*rule.Metres45
		diameters := n90*rule.Diameters90 + n45*rule.Diameters45
		return metres*math.Pow(ratio, 5) + diameters*referenceDiameterM*math.Pow(ratio, 4)
	})
}

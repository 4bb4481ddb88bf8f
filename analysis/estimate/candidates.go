package estimate

import (
	"math"
	"slices"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Figures of the choice between two gases that contradict each other, points of CO2. A
// setting ends about its target as a setting that was not recorded does
// (drift.DefaultRules); a burner moves by about moveSD a root year and the fleet's
// as-found readings lie within fleetSD of their targets, as the worlds the drift model was
// measured on. The wrong one is never ruled out, nor taken for sure.
const (
	repeatSD  = 0.07 // of a second reading of one setting
	settingSD = 0.1
	moveSD    = 0.15
	fleetSD   = 0.3
	leastP    = 0.02
)

// leavesOut are the findings besides the contradiction that leave a reading out
// for good: then neither gas is asked.
var leavesOut = []judge.Kind{
	judge.SwappedGases, judge.OtherGas, judge.SwappedFires, judge.LowRate, judge.EarlyReading, judge.CopiedVisit, judge.CopiedAsLeft,
	judge.ExactDouble, judge.DateDisorder, judge.RichPossible, judge.NoBurner,
}

// apartIn are the readings of a judgement that only their own two gases
// contradict.
func apartIn(j *judge.Judgement) map[int]bool {
	var apart map[int]bool
	for i := range j.Findings {
		if f := &j.Findings[i]; f.Kind == judge.PairApart {
			if apart == nil {
				apart = map[int]bool{}
			}
			apart[f.Readings[0]] = true
		}
	}
	for i := range j.Findings {
		if f := &j.Findings[i]; slices.Contains(leavesOut, f.Kind) {
			for _, k := range f.Readings {
				delete(apart, k)
			}
		}
	}
	return apart
}

// term is a prior of a deviation: normal, points.
type term struct{ mean, sd float64 }

// either takes a reading whose gases contradict each other for the state of the
// unit: both values, the one nearer to what the unit's history and its target lead
// to expect first, the other with the probability that their likelihoods leave it.
// The typing error itself is as likely in either gas. Of older readings a
// difference is only lost with them, so that they stay left out.
func (u *reader) either(v value) value {
	x := &u.h.Readings[v.reading]
	visit := &u.h.Visits[x.Visit]
	j := &u.b.rules.Judge
	target := j.TargetCO2(&x.Target, x.Fuel)
	byCO2, byO2 := x.CO2Percent-target, j.PairsOf(visit.Source).CO2OfO2(x)-target
	if math.IsNaN(byCO2) || math.IsNaN(byO2) {
		return v
	}
	if x.CO2Percent > j.MostCO2(x.Fuel)+j.OverCO2MaxPoints { // no burner shows that
		v.y, v.use = byO2, judge.StateOnly
		return v
	}
	odds := 0.0 // of the O2, as the logarithm
	for _, t := range u.expected(x, visit) {
		a, b := (byCO2-t.mean)/t.sd, (byO2-t.mean)/t.sd
		odds += (a*a - b*b) / 2
	}
	p := math.Min(math.Max(1/(1+math.Exp(-odds)), leastP), 1-leastP)
	v.use, v.y, v.other, v.otherP = judge.StateOnly, byCO2, byO2, p
	if p > 0.5 {
		v.y, v.other, v.otherP = byO2, byCO2, 1-p
	}
	return v
}

// expected is what the records before a reading, and its target, say of it.
func (u *reader) expected(x *judge.Reading, visit *judge.Visit) []term {
	found, foundHere := u.before.y, u.before.visit == x.Visit && !math.IsNaN(u.before.y)
	if x.Condition == judge.AsLeft {
		switch answer := u.adjusted(visit); {
		case answer == drift.No && foundHere:
			return []term{{found, repeatSD}}
		case answer == drift.Yes, foundHere && math.Abs(found) > u.b.rules.Drift.AdjustAt:
			return []term{{0, settingSD}}
		case foundHere:
			return []term{{found, settingSD}}
		}
	}
	terms := []term{{0, fleetSD}}
	if !math.IsNaN(u.before.y) {
		years := float64(x.Day-u.before.day) / 365.25
		terms = append(terms, term{u.before.y, math.Sqrt(settingSD*settingSD + moveSD*moveSD*years)})
	}
	return terms
}

package estimate

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/drift"
)

// A value shown in steps of half a point or more is an interval: a burner set to
// 9.6 % shows 10 in whole percents for as long as it stands between 9.5 and 10.5,
// and every unit of its model line then reads 0.4 rich. Such a reading counts as
// what burners within that interval stand at on the average, and as uncertain as
// they differ. Where burners stand is drift.TypicalSpread about the target; the
// share that was typed wrong or jumped within a year is as wide as jumps are.

// unrounded takes a reading shown in coarse steps for the interval it stands for.
func (u *reader) unrounded(v value) value {
	half := u.b.sources.coarseStep(u.h, &u.h.Readings[v.reading]) / 2
	if half == 0 || math.IsNaN(v.y) {
		return v
	}
	r := &u.b.rules.Drift
	far := r.TypingShare + r.JumpsPerYear
	v.y, v.rounded = within(v.y-half, v.y+half, drift.Mixture{{Weight: 1 - far, SD: drift.TypicalSpread}, {Weight: far, SD: r.JumpSD}})
	return v
}

// hiddenAt is by how much the reading a state is computed from shows more than it counts
// as, points; 0 where it counts as shown.
func (u *unitSeries) hiddenAt(o *drift.Predictive) float64 {
	if o.LastVisit < 0 || o.LastReading < 0 {
		return 0
	}
	r := &u.s.Visits[o.LastVisit].Readings[o.LastReading]
	if r.OtherP > 0 {
		return 0
	}
	x := &u.h.Readings[u.at[o.LastVisit][o.LastReading]]
	if u.b.sources.coarseStep(u.h, x) == 0 {
		return 0
	}
	return u.b.sources.deviation(u.h, x) - r.Y
}

// within is the mean and the variance of a mixture between two values: those of
// truncated normal distributions (Johnson, Kotz, Balakrishnan, Continuous Univariate
// Distributions 1, section 10.1; from memory), each weighted with what it has there.
func within(from, to float64, m drift.Mixture) (mean, variance float64) {
	n := distuv.UnitNormal
	total, square := 0.0, 0.0
	for _, part := range m {
		a, b := (from-part.Mean)/part.SD, (to-part.Mean)/part.SD
		if a > 0 { // where the tail's digits are kept
			a, b = -b, -a
		}
		held := n.CDF(b) - n.CDF(a)
		if held < 1e-300 {
			continue
		}
		shift := (n.Prob(a) - n.Prob(b)) / held
		spread := 1 + (a*n.Prob(a)-b*n.Prob(b))/held - shift*shift
		if (from-part.Mean)/part.SD > 0 {
			shift = -shift
		}
		x := part.Mean + part.SD*shift
		w := part.Weight * held
		total, mean, square = total+w, mean+w*x, square+w*(x*x+part.SD*part.SD*spread)
	}
	if total == 0 { // further off than any part reaches
		return (from + to) / 2, (to - from) * (to - from) / 12
	}
	mean /= total
	return mean, math.Max(square/total-mean*mean, 0)
}

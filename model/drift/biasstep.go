package drift

import (
	"math"
	"slices"
)

// stepZ is the auxiliary residual from which a bias is named.
const stepZ = 4

// confirmZ is the residual from which a bias is named where the readings of another
// fire have named it: the same instrument read both.
const confirmZ = 2.5

// stepLinks is how many differences to other instruments a step needs: fewer may be
// as many typing errors.
const stepLinks = 5

// BiasStep is a calibration period (or an analyzer without periods) whose bias
// stands far outside the others'. What the readings know of it is a difference of
// two instruments at the units both read: which of the two is off they cannot say.
type BiasStep struct {
	Analyzer, Period int     // columns; Period -1 where biases have none
	Z                float64 // auxiliary residual at the normal solution
	// Difference is how much it reads above what read the same units before it
	// (after it where After is set), with its posterior standard deviation, points,
	// over so many pairs of readings.
	Difference, SD float64
	After          bool
	Links          int
	From           float64 // time of the first of its readings in these pairs
	// Other is the period (or the analyzer, where biases have none) that made most of
	// the others' readings.
	Other int
}

// biasSide collects the pairs on one side of a period.
type biasSide struct {
	links  int
	weight []float64 // of b, then beta
	from   float64
	others map[int]int
}

// describeSteps names the biases whose auxiliary residual is beyond stepZ, in the
// order of their columns.
func describeSteps(fit *Fit, z []float64) (out []BiasStep) {
	f := fit.fleet
	for col, v := range z {
		if !(math.Abs(v) > stepZ || slices.Contains(fit.options.standing, col) && math.Abs(v) > confirmZ) {
			continue
		}
		before, after := sidesOf(fit, col)
		side := before
		if after.links > before.links {
			side = after
		}
		if side.links < stepLinks {
			continue
		}
		step := BiasStep{Analyzer: col, Period: -1, Z: v, Links: side.links, From: side.from, Other: side.main()}
		step.After = after.links > before.links
		if col >= f.in.Analyzers {
			step.Period, step.Other = col-f.in.Analyzers, step.Other-f.in.Analyzers
			step.Analyzer = int(f.owner[step.Period])
		}
		var terms []term
		for at, w := range side.weight {
			if w != 0 {
				terms = append(terms, term{at, w / float64(side.links)})
			}
		}
		step.Difference, step.SD = fit.contrast(terms)
		out = append(out, step)
	}
	return withoutMirrors(out)
}

// withoutMirrors drops the earlier of two steps that are the two sides of one.
func withoutMirrors(steps []BiasStep) []BiasStep {
	column := func(s *BiasStep) int {
		if s.Period >= 0 {
			return s.Period
		}
		return s.Analyzer
	}
	return slices.DeleteFunc(slices.Clone(steps), func(s BiasStep) bool {
		return s.After && slices.ContainsFunc(steps, func(o BiasStep) bool {
			return !o.After && column(&o) == s.Other && o.Difference*s.Difference < 0
		})
	})
}

// sidesOf sums the pairs of readings of which one was made in a period: its
// reading less the other's, with the instrument columns of both days.
func sidesOf(fit *Fit, col int) (before, after biasSide) {
	f := fit.fleet
	n := len(fit.b) + len(fit.beta)
	for _, s := range []*biasSide{&before, &after} {
		*s = biasSide{weight: make([]float64, n), from: math.Inf(1), others: map[int]int{}}
	}
	column := func(r int) int {
		switch {
		case col < f.in.Analyzers:
			return int(f.an[r])
		case f.per[r] >= 0:
			return f.in.Analyzers + int(f.per[r])
		}
		return -1
	}
	for u := range f.in.Series {
		f.eachDiff(u, func(i, j int) {
			switch a, b := column(i), column(j); {
			case a < 0 || b < 0 || f.an[i] == f.an[j]: // one instrument
			case b == col:
				before.add(fit, j, i, a)
			case a == col:
				after.add(fit, i, j, b)
			}
		})
	}
	return before, after
}

// add takes one pair in: reading r of the period and what another read.
func (s *biasSide) add(fit *Fit, r, other, column int) {
	f := fit.fleet
	s.links++
	s.others[column]++
	s.from = math.Min(s.from, f.t[r])
	for _, side := range [...]struct {
		at   int
		sign float64
	}{{r, 1}, {other, -1}} {
		at, sign := side.at, side.sign
		if f.an[at] >= 0 {
			s.weight[f.an[at]] += sign
		}
		if p := f.per[at]; p >= 0 {
			s.weight[f.in.Analyzers+int(p)] += sign
		}
		for k, c := range f.used {
			if f.cols[c].Instrument {
				s.weight[len(fit.b)+k] += sign * f.f[at*f.stride+c]
			}
		}
	}
}

// main is the column that made most of the other readings, the first of equals.
func (s *biasSide) main() int {
	best := -1
	for col, n := range s.others {
		if best < 0 || n > s.others[best] || n == s.others[best] && col < best {
			best = col
		}
	}
	return best
}

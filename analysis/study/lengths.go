package study

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Bounds of taking two registered lengths for one vent measured twice.
const (
	fewestPairs  = 10                 // for an error size
	mostRepeatLn = 1.0986122886681098 // a factor of three: beyond it is another vent
)

// sameVents gives, for each of a unit's runs, the first run of the same vent: two
// that follow each other are one where nothing but the length on record differs, by
// less than a factor of three, and no alteration is on record on a day of its own.
func sameVents(h *judge.History) []int {
	out := make([]int, len(h.VentRuns))
	for i := range h.VentRuns {
		out[i] = i
		if i > 0 && !math.IsNaN(repeatLn(&h.VentRuns[i-1], &h.VentRuns[i])) {
			out[i] = out[i-1]
		}
	}
	return out
}

// repeatLn is the logarithm of the ratio of two lengths of one vent, NaN where the
// runs are not of one vent.
func repeatLn(a, b *judge.VentRun) float64 {
	other := *b
	other.LengthM, other.From, other.Until, other.UncertainFrom, other.Pinned = a.LengthM, a.From, a.Until, a.UncertainFrom, a.Pinned
	ln := math.Log(b.LengthM / a.LengthM)
	exported := b.UncertainFrom != day.None && !b.Pinned
	if !exported || !sameRun(*a, other) || !(math.Abs(ln) < mostRepeatLn) {
		return math.NaN()
	}
	return ln
}

// sameRun compares runs, unknown numbers being equal.
func sameRun(a, b judge.VentRun) bool {
	for _, p := range [][2]*float64{
		{&a.DiameterM, &b.DiameterM},
		{&a.LengthM, &b.LengthM},
		{&a.RiseM, &b.RiseM},
		{&a.IntakeDiameterM, &b.IntakeDiameterM},
		{&a.IntakeLengthM, &b.IntakeLengthM},
	} {
		if math.IsNaN(*p[0]) && math.IsNaN(*p[1]) {
			*p[0], *p[1] = 0, 0
		}
	}
	return a == b
}

// lengthErrors finds how far recorded lengths are off. Two registers of one vent
// each have their own error, so that ln(second/first) has twice its variance, cut off
// where it would count as another vent; the interval is that of a variance of normal
// values. Registers that agree were copied, not measured again, and say nothing.
func lengthErrors(histories []*judge.History, declared float64) LengthErrors {
	nan := math.NaN()
	sum, n := 0.0, 0
	for _, h := range histories {
		for i := 1; i < len(h.VentRuns); i++ {
			if ln := repeatLn(&h.VentRuns[i-1], &h.VentRuns[i]); !math.IsNaN(ln) && ln != 0 {
				sum += ln * ln
				n++
			}
		}
	}
	e := LengthErrors{SD: nan, Low: nan, High: nan, From: NotKnown, Pairs: n, Declared: declared}
	switch {
	case n >= fewestPairs:
		chi := distuv.ChiSquared{K: float64(n)}
		e.SD, e.From = uncutSD(sum/float64(n))/math.Sqrt2, FromRepeats
		e.Low, e.High = uncutSD(sum/chi.Quantile(quantile975))/math.Sqrt2, uncutSD(sum/chi.Quantile(1-quantile975))/math.Sqrt2
	case declared > 0:
		e.SD, e.From = declared, FromDeclared
	}
	return e
}

// uncutSD is the standard deviation of a normal value of mean nought whose mean
// square, of what is left after cutting off beyond mostRepeatLn, is the one given:
//
//	s^2 (1 - 2 b phi(b) / (2 Phi(b) - 1)), b = mostRepeatLn / s
//
// +Inf from the mean square of evenly spread values on.
func uncutSD(square float64) float64 {
	cut := func(sd float64) float64 {
		b := mostRepeatLn / sd
		return sd * sd * (1 - 2*b*distuv.UnitNormal.Prob(b)/(2*distuv.UnitNormal.CDF(b)-1))
	}
	low, high := 0.0, 50.0
	if square >= cut(high) {
		return math.Inf(1)
	}
	for range 60 {
		if middle := (low + high) / 2; cut(middle) < square {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

package combustion

import (
	"math"
	"sort"
)

// Pair is one recorded pair of dry O2 and CO2 in percent, each with half of
// the last digit it was recorded with.
type Pair struct {
	CO2Percent, O2Percent float64
	CO2Half, O2Half       float64
}

// Inference says whether recorded pairs are one measurement each, CO2 being
// computed from O2, and with which CO2max.
type Inference struct {
	Computed      bool
	CO2MaxPercent float64 // the setting in use; NaN where there is none
	Within        Span    // the settings that explain the pairs
	Share         float64 // of the usable pairs that one setting explains
	Pairs         int     // usable pairs
	FoSpread      float64 // standard deviation of Fo; NaN below two pairs
}

// Needed before pairs are called computed: so many usable pairs, so many of
// them different, and such a share explained by one CO2max. Independent cells
// scatter Fo by several times the rounding, so that one CO2max explains nearly
// all of many different pairs only when it made them (common practice, no
// source; the share leaves room for mistyped rows).
const (
	inferPairs     = 8
	inferDifferent = 4
	inferShare     = 0.9
)

// InferCO2Max looks for one CO2max that explains recorded pairs within their
// rounding. A computed pair obeys CO2 = CO2max (1 - O2/air), so each pair
// admits a range of CO2max; where the ranges of nearly all have a point in
// common, CO2 was computed and that point is the fuel setting of the analyzer.
// Its Fo says nothing of the fuel burnt or of a leak. Dilution with air cannot
// be seen either way.
//
// Pairs with a gas missing or next to the end of the scale (O2 over 15 or CO2
// not positive) are not usable and are ignored. The result does not depend on
// the order of the pairs.
func InferCO2Max(pairs []Pair, air AirO2) Inference {
	none := Inference{CO2MaxPercent: math.NaN(), Within: Span{math.NaN(), math.NaN()}, FoSpread: math.NaN()}
	var spans []Span
	var fos []float64
	different := map[Pair]bool{}
	for _, p := range pairs {
		if !(p.CO2Percent > 0 && p.O2Percent >= 0 && p.O2Percent <= 15) {
			continue
		}
		spans = append(spans, p.Settings(air))
		fos = append(fos, fo(p.CO2Percent, p.O2Percent, air))
		different[p] = true
	}
	none.Pairs = len(spans)
	if len(spans) == 0 {
		return none
	}
	r := none
	var most int
	r.Within, most = commonest(spans)
	r.Share = float64(most) / float64(len(spans))
	r.FoSpread = deviation(fos)
	r.Computed = len(spans) >= inferPairs && len(different) >= inferDifferent && r.Share >= inferShare
	if r.Computed {
		r.CO2MaxPercent = (r.Within.Low + r.Within.High) / 2
	}
	return r
}

// Settings returns the range of CO2max, in percent, that explains a pair within
// its rounding; meaningful for O2 well below the air's.
func (p Pair) Settings(air AirO2) Span {
	a := float64(air)
	low := (p.CO2Percent - p.CO2Half) / (1 - math.Max(p.O2Percent-p.O2Half, 0)/a)
	high := (p.CO2Percent + p.CO2Half) / (1 - (p.O2Percent+p.O2Half)/a)
	const hair = 1e-9
	return Span{low - hair, high + hair}
}

// commonest returns the range that most of the spans have in common and how
// many those are; of several such ranges the lowest.
func commonest(spans []Span) (Span, int) {
	type end struct {
		at    float64
		opens bool
	}
	ends := make([]end, 0, 2*len(spans))
	for _, s := range spans {
		ends = append(ends, end{s.Low, true}, end{s.High, false})
	}
	sort.Slice(ends, func(i, j int) bool {
		if ends[i].at != ends[j].at {
			return ends[i].at < ends[j].at
		}
		return ends[i].opens && !ends[j].opens
	})
	var best Span
	most, open := 0, 0
	for i, e := range ends {
		if !e.opens {
			open--
			continue
		}
		if open++; open > most {
			most, best = open, Span{e.at, ends[i+1].at}
		}
	}
	return best, most
}

// Span is a range with both ends in it.
type Span struct{ Low, High float64 }

// deviation returns the standard deviation of values; NaN below two.
func deviation(values []float64) float64 {
	n := float64(len(values))
	if n < 2 {
		return math.NaN()
	}
	mean, sum := 0.0, 0.0
	for _, v := range values {
		mean += v / n
	}
	for _, v := range values {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / (n - 1))
}

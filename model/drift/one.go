package drift

import (
	"context"
	"errors"
	"math"
)

// BiasRatio estimates the ratio of the constant analyzer biases alone, the others
// as given: of differences that have no more to tell. It is 0 where it is not
// detected or no two analyzers are compared, and at most the largest given.
func (f *Fleet) BiasRatio(ctx context.Context, th Theta, largest float64, o Options) (Theta, error) {
	th = th.positive()
	if th.B1 = 0; f.counts.CrossAnalyzer == 0 {
		return th, nil
	}
	s := &search{Search: Search{Size: 1e-4, Spread: 1e-5, MaxEvaluations: 600}, ctx: ctx, f: f, o: o, at: th.array(), free: []int{2}}
	zero := s.crit([]float64{0})
	s.at[2] = FixedRatios.B1
	best, _ := s.descend(true)
	if s.fail != nil {
		return th, s.fail
	}
	if best = math.Min(best, zero); math.IsInf(best, 1) {
		return th, errors.New("no ratio of the analyzer biases could be evaluated")
	}
	if zero-best >= zeroCost {
		th.B1 = math.Min(s.at[2], largest)
	}
	return th, nil
}

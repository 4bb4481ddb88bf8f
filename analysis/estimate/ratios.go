package estimate

import (
	"context"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// coarseUnits is how many units a cold search begins on.
const coarseUnits = 1000

// method says how a fire is fitted: ratios by restricted maximum likelihood from
// 400 differences on, the first search from the last night's optimum where there
// is one, each further one (after a removal) from the one before.
func (r *Config) method(fire judge.Fire) drift.Options {
	m := drift.Options{Workers: r.Workers, Theta: r.Priors.Ratios, Sigma0: r.Priors.NoisePoints}
	if !r.uses(estimatedRatios) {
		return m
	}
	if held, ok := r.Held[fire]; ok {
		m.Ratios = func(context.Context, *drift.Fleet, drift.Theta, drift.EvaluateOptions) (drift.Ending, error) {
			return drift.Ending{Theta: held, Converged: true}, nil
		}
		return m
	}
	start, warm := r.Start[fire]
	m.Ratios = func(ctx context.Context, f *drift.Fleet, from drift.Theta, o drift.EvaluateOptions) (drift.Ending, error) {
		s := drift.Search{Warm: warm, Sample: r.SampleUnits, Seed: r.Seed, Coarse: coarseUnits, Fixed: m.Theta}
		if start != (drift.Theta{}) {
			from, start = start, drift.Theta{}
		}
		warm = true
		end, err := s.Ratios(ctx, f, from, o)
		if err == nil && end.Fallback != nil && s.Warm { // an old optimum may lead astray
			s.Warm = false
			return s.Ratios(ctx, f, m.Theta, o)
		}
		return end, err
	}
	return m
}

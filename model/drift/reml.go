package drift

import (
	"context"
	"math"
	"slices"
)

// Search estimates the ratios by restricted maximum likelihood over signed theta,
// the criterion being even in each: steps of Newton with the average information, and
// simplices of Nelder and Mead with restarts where the steps do not arrive. The zero
// value is the product's search; a warm one starts at an optimum found before.
type Search struct {
	Size, Spread   float64 // stop: of theta and of the criterion; zero 1e-4 and 1e-5
	MaxEvaluations int     // of one simplex, or run of steps; zero 600
	Warm           bool    // no simplex unless the steps fail
	// Sample above 0 searches on so many units drawn by Seed, where the fleet has
	// more: the ratios of 5,000 units serve any number.
	Sample int
	Seed   uint64
	// Coarse above 0 lets a cold search begin on so many units, of few blocks of
	// analyzers, where there are four times as many: the large fleet is then
	// searched from there as by a warm one, with fewer evaluations of the dear kind.
	Coarse int
	// Fixed are the ratios of an ending that estimates none; zero FixedRatios.
	Fixed Theta
}

// Figures of the search.
const (
	coldStep, restartStep          = 0.4, 0.2 // first simplex, one that confirms
	maxRestarts                    = 3
	restartGain                    = 1e-3 // a restart that improves by less has confirmed the optimum
	nearZero                       = 0.1  // below it, zero is tried
	zeroCost                       = 1e-3 // and kept where the criterion rises by less
	minSearchDiffs, minSearchUnits = 300, 50
	sameGaps                       = 0.05 // sd/mean of gaps below which q and sigma are one
)

// Ending says how a search for the ratios ended.
type Ending struct {
	Theta       Theta
	Crit        float64
	Sigma       float64
	Evaluations int
	Restarts    int
	Converged   bool       // the steps arrived, or the last restart confirmed the optimum
	NotDetected []Part     // whose ratio is zero
	Held        []HeldPart // that were not searched
	Sampled     int        // units searched on, where not all were
	Coarse      int        // evaluations of a first search on few units
	Fallback    Fallback   // why fixed ratios are used instead; nil where they are not
}

func (t Theta) array() [4]float64 { return [4]float64{t.Q, t.Tau, t.B1, t.B2} }

func thetaOf(a [4]float64) Theta { return Theta{a[0], a[1], a[2], a[3]} }

// The criterion is even in each ratio, so that signed values can be searched without a
// bound at 0, where a variance is often estimated: a quadratic step that overshoots
// comes down on the other side instead of failing. At 0 the slope vanishes for every
// fleet, which is why zeros are tried explicitly (tryZeros) and not trusted where a
// search happens to stop near them.

// search is one estimation under way.
type search struct {
	Search
	ctx  context.Context
	f    *Fleet
	o    EvaluateOptions
	free []int
	at   [4]float64
	end  Ending
	fail error // of the context
	room space
	last *solution // of crit, until it is called again
}

// Ratios estimates theta from a start and says how that ended; it is the Ratios
// of a Method. Where the data cannot carry it, or the search fails, the ending
// holds the fixed ratios and the reason.
func (s Search) Ratios(ctx context.Context, f *Fleet, start Theta, o EvaluateOptions) (Ending, error) {
	if s.Size == 0 {
		s.Size, s.Spread = 1e-4, 1e-5
	}
	if s.MaxEvaluations == 0 {
		s.MaxEvaluations = 600
	}
	f, o, err := f.aligned(o)
	if err != nil {
		return Ending{}, err
	}
	if c := f.counts; c.Differences < minSearchDiffs || c.Units < minSearchUnits {
		return s.fallback(f, Ending{}, TooFewToSearch{Differences: c.Differences, Units: c.Units}), nil
	}
	run := &search{Search: s, ctx: ctx, f: sampler{f, s.Seed}.units(s.Sample), o: o, at: start.positive().array()}
	if run.f != f {
		run.end.Sampled = s.Sample
	}
	if err := run.coarse(); err != nil {
		return Ending{}, err
	}
	for k, th := range run.at {
		if run.Warm && th < nearZero { // what was not detected before gets another chance
			run.at[k] = nearZero
		}
	}
	run.choose()
	return run.find()
}

// coarse searches on few units first and starts from what it found. The optimum of
// few units lies within its sampling error of the fleet's, near enough for Newton's
// steps; the dear evaluations are saved.
func (s *search) coarse() error {
	if s.Warm || s.Coarse <= 0 || len(s.f.in.Series) < 4*s.Coarse {
		return nil
	}
	first := Search{Size: s.Size, Spread: s.Spread, MaxEvaluations: s.MaxEvaluations}
	end, err := first.Ratios(s.ctx, sampler{s.f, s.Seed}.blocks(s.Coarse), thetaOf(s.at), s.o)
	if err != nil || end.Fallback != nil {
		return err
	}
	s.end.Coarse, s.Warm = end.Evaluations, true
	s.at = end.Theta.array()
	return nil
}

// choose decides which ratios are searched.
func (s *search) choose() {
	th, _ := s.f.comparable(thetaOf(s.at))
	s.at = th.array()
	hold := func(k int, why HeldWhy) { s.end.Held = append(s.end.Held, HeldPart{partOf(k), why}) }
	for k := range s.at {
		switch {
		case k == 0 && s.f.gapsAlike():
			s.at[0] = 0
			hold(k, GapsAlike)
		case k < 2:
			s.free = append(s.free, k)
		case s.at[k] == 0:
			if (k == 2 && s.f.in.Analyzers > 0) || (k == 3 && s.f.in.Periods > 0) {
				hold(k, NotEstimable)
			}
		case s.f.counts.SeveralAnalyzers < minAnalyzers || s.f.counts.CrossAnalyzer < minCross:
			hold(k, FewCompared)
		default:
			s.free = append(s.free, k)
		}
	}
}

// crit is the objective: theta from the free coordinates.
func (s *search) crit(x []float64) float64 {
	at := s.at
	for i, k := range s.free {
		at[k] = x[i]
	}
	sol, err := evaluation{s.f, thetaOf(at), s.o}.profile(s.ctx, &s.room)
	if err != nil {
		if s.ctx.Err() != nil {
			s.fail = s.ctx.Err()
		}
		return math.Inf(1)
	}
	s.last = sol
	return sol.crit
}

func (s *search) start() []float64 {
	x := make([]float64, len(s.free))
	for i, k := range s.free {
		x[i] = s.at[k]
	}
	return x
}

// simplex runs one simplex from where the search stands, and takes its best.
func (s *search) simplex(step, size, spread float64) (best float64, converged bool) {
	m := newSimplex(s.crit, s.start(), step, s.MaxEvaluations)
	m.stop = func() bool { return s.fail != nil }
	converged = m.run(size, spread) && s.fail == nil
	s.end.Evaluations += m.evals
	for i, k := range s.free {
		s.at[k] = math.Abs(m.points[0].x[i])
	}
	return m.points[0].f, converged
}

// descend goes to an optimum from where the search stands by steps of Newton. Where these
// do not arrive, a simplex goes as far as its neighbourhood first, from the start again if
// nothing spoke for it but that it is one; and where that does not help, simplices follow
// until one confirms the one before it.
func (s *search) descend(cold bool) (best float64, converged bool) {
	start := s.at
	if best, converged = s.newton(); converged || s.fail != nil {
		return best, converged
	}
	if cold {
		s.at = start
	}
	for _, size := range [...]float64{roughEnd, closerEnd} {
		s.simplex(coldStep, size, math.Inf(1))
		if best, converged = s.newton(); converged || s.fail != nil {
			return best, converged
		}
	}
	best, _ = s.simplex(restartStep, s.Size, s.Spread)
	for range maxRestarts {
		s.end.Restarts++
		again, ok := s.simplex(restartStep, s.Size, s.Spread)
		converged = ok && best-again < restartGain
		if best = math.Min(best, again); converged || s.fail != nil {
			break
		}
	}
	return best, converged
}

// find descends, and tries zeros.
func (s *search) find() (Ending, error) {
	best, converged := s.descend(!s.Warm)
	s.end.Converged = converged
	best = s.tryZeros(best)
	if s.fail != nil {
		return s.end, s.fail
	}
	return s.finish(best), nil
}

// tryZeros refits without each part that is nearly nothing, smallest cost first come:
// a part whose absence raises the criterion by less than zeroCost has no evidence
// behind it. A part left at .003 of the noise instead would change no forecast and
// would be reported as found.
func (s *search) tryZeros(best float64) float64 {
	for i := 0; i < len(s.free); i++ {
		k := s.free[i]
		if s.at[k] >= nearZero {
			continue
		}
		at, free := s.at, s.free
		s.at[k] = 0
		s.free = append(append([]int{}, free[:i]...), free[i+1:]...)
		without := s.crit(s.start())
		if len(s.free) > 0 {
			without, _ = s.descend(false)
		}
		if without-best >= zeroCost {
			s.at, s.free = at, free
			continue
		}
		s.end.NotDetected = append(s.end.NotDetected, partOf(k))
		best, i = math.Min(best, without), -1
	}
	return best
}

// finish checks the optimum for the faults that make it useless.
func (s *search) finish(best float64) Ending {
	s.end.Theta = thetaOf(s.at)
	crit, sigma, err := s.f.Criterion(s.ctx, s.end.Theta, s.o)
	s.end.Crit, s.end.Sigma = crit, sigma
	switch {
	case err != nil || math.IsInf(best, 1):
		return s.fallback(s.f, s.end, NoCriterion{})
	case slices.Max(s.at[:]) > thetaCap/2: // on its way there it need not settle
		return s.fallback(s.f, s.end, NoiseVanishes{})
	case !s.end.Converged:
		return s.fallback(s.f, s.end, NotSettled{Restarts: maxRestarts})
	}
	return s.end
}

// fallback keeps the record of the search and puts the fixed ratios in.
func (s *Search) fallback(f *Fleet, e Ending, why Fallback) Ending {
	fixed := s.Fixed
	if fixed == (Theta{}) {
		fixed = FixedRatios
	}
	e.Fallback = why
	e.Theta, _ = f.comparable(fixed)
	e.NotDetected = nil
	return e
}

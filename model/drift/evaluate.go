package drift

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
)

// shards is how many parts the units are summed in at most, whatever the number
// of workers: the sums, and so every digit of a fit, do not depend on it.
const shards = 32

// unitsAPart is how many units are worth a part of their own.
const unitsAPart = 64

// parts is how many parts so many units are summed in.
func parts(units int) int { return min(shards, units/unitsAPart+1) }

// thetaCap is the largest ratio an evaluation accepts: sigma is then nothing.
const thetaCap = 100

// Failures of an evaluation.
var (
	ErrTheta  = errors.New("a ratio of standard deviations is beyond 100 or not a number")
	ErrPivot  = errors.New("the covariance of a unit's differences is not positive definite")
	ErrTooFew = errors.New("fewer differences than coefficients")
	ErrSame   = errors.New("readings of one setting never differ: they look like copies")
)

// EvaluateOptions are those of one evaluation. The zero value: one worker, no priors, beta free.
type EvaluateOptions struct {
	Workers int
	// PriorSigma above 0 adds the columns' priors as observations, each in units
	// of this noise standard deviation.
	PriorSigma float64
	// Hold keeps beta, and what is unknown of it, as in another fit of the same
	// columns; only the analyzer biases are estimated.
	Hold *Fit
	// Tails gives the biases heavy tails where one stands out. Without, they are
	// normal, as in the criterion.
	Tails bool

	sigma    float64 // above 0: not estimated
	standing []int   // bias columns that another fit has named
}

// named is the one of the named columns whose residual is the largest, -1 where none
// is beyond confirmZ.
func (o EvaluateOptions) named(z []float64) int {
	best := -1
	for _, col := range o.standing {
		if math.Abs(z[col]) > confirmZ && (best < 0 || math.Abs(z[col]) > math.Abs(z[best])) {
			best = col
		}
	}
	return best
}

// unit is the noise that priors and certificates are weighed in.
func (o EvaluateOptions) unit() float64 {
	if o.PriorSigma > 0 {
		return o.PriorSigma
	}
	return TypicalSigma
}

// Criterion returns minus twice the profiled restricted log-likelihood at theta,
// and sigma: what an optimizer needs, +Inf where there is none.
func (f *Fleet) Criterion(ctx context.Context, th Theta, o EvaluateOptions) (crit, sigma float64, err error) {
	f, o, err = f.aligned(o)
	if err != nil {
		return math.Inf(1), math.NaN(), err
	}
	s, err := evaluation{f, th, o}.profile(ctx, &space{})
	if err != nil {
		return math.Inf(1), math.NaN(), err
	}
	return s.crit, s.sigma, nil
}

// Evaluate fits the fleet at given theta by generalized least squares: beta, the
// analyzer biases, sigma, and their joint covariance.
func (f *Fleet) Evaluate(ctx context.Context, th Theta, o EvaluateOptions) (*Fit, error) {
	f, o, err := f.aligned(o)
	if err != nil {
		return nil, err
	}
	s, err := evaluation{f, th, o}.solve(ctx)
	if err != nil {
		return nil, err
	}
	return newFit(s), nil
}

// aligned returns the fleet with the columns of the fit to hold, and that fit
// restated in the fleet's scales.
func (f *Fleet) aligned(o EvaluateOptions) (*Fleet, EvaluateOptions, error) {
	if o.Hold == nil || o.Hold.fleet == f {
		return f, o, nil
	}
	from := o.Hold.fleet
	if len(from.cols) != len(f.cols) {
		return f, o, fmt.Errorf("the fit to hold has %d covariates, the fleet %d", len(from.cols), len(f.cols))
	}
	for k, c := range f.cols {
		if from.cols[k].Name != c.Name {
			return f, o, fmt.Errorf("covariate %d is %q in the fit to hold and %q in the fleet", k, from.cols[k].Name, c.Name)
		}
	}
	out := *f
	out.used, out.drops, out.widen = from.used, from.drops, from.widen
	hold := *o.Hold
	p := len(hold.beta)
	cov := slices.Clone(hold.cov.beta)
	hold.beta = slices.Clone(hold.beta)
	for k, col := range out.used {
		ratio := f.scale[col] / from.scale[col]
		hold.beta[k] *= ratio
		for j := range p {
			cov[k*p+j] *= ratio
			cov[j*p+k] *= ratio
		}
	}
	hold.cov = known(cov, p, len(hold.b)) // all that is held of it
	hold.fleet = &out
	o.Hold = &hold
	return &out, o, nil
}

func (t Theta) positive() Theta {
	return Theta{math.Abs(t.Q), math.Abs(t.Tau), math.Abs(t.B1), math.Abs(t.B2)}
}

func (t Theta) valid() bool {
	for _, x := range [...]float64{t.Q, t.Tau, t.B1, t.B2} {
		if !(math.Abs(x) <= thetaCap) {
			return false
		}
	}
	return true
}

// Fit fits the fleet as far as its data carry: the amount decides between
// defaults, priors and a free fit; contradicted readings are removed or cut;
// biases nobody could compare are not estimated. The caveats are in Notes.
//
// A column whose standard error is beyond its MaxSE leaves the fit, which is then
// made again without it.
func (f *Fleet) Fit(ctx context.Context, m Options) (*Fit, error) {
	fit, err := newFitting(ctx, m).whole(f)
	if err != nil {
		return nil, err
	}
	fit.shared = sharedLevel(fit)
	fit.moves = movement(fit)
	if fit.shared > 0 {
		fit.note(AreasMoveTogether{SDPoints: fit.sharedSD()})
	}
	return fit, nil
}

// Clean removes and cuts what the rest of a segment contradicts, at fixed
// ratios: at most one action a segment and pass, until there is none. It
// returns the fleet without them and the list. The limit is in units of the
// robust scale of all t.
func (f *Fleet) Clean(ctx context.Context, th Theta, o EvaluateOptions) (*Fleet, []Unconfirmed, error) {
	var list []Unconfirmed
	for pass := range removePasses {
		same, so, err := f.aligned(o)
		if err != nil {
			return f, list, err
		}
		at, err := evaluation{same, th, so}.solve(ctx)
		if err != nil {
			return f, list, err
		}
		found, err := newRemovalPass(ctx, roughFit(at), o.Workers)
		if err != nil {
			return f, list, err
		}
		found.number = pass
		next, removed := found.removed(f, removeLimit*found.scale)
		if len(removed) == 0 {
			break
		}
		f, list = next, append(list, removed...)
	}
	return f, list, nil
}

// BiasRatio estimates the ratio of the constant analyzer biases alone, the others
// as given: of differences that have no more to tell. It is 0 where it is not
// detected or no two analyzers are compared, and at most the largest given.
func (f *Fleet) BiasRatio(ctx context.Context, th Theta, largest float64, o EvaluateOptions) (Theta, error) {
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

// comparable drops the analyzer parts that no difference can show, and says
// which are taken rather than measured.
func (f *Fleet) comparable(th Theta) (Theta, []Note) {
	var notes []Note
	c := f.counts
	switch {
	case f.in.Analyzers > 0 && c.CrossAnalyzer == 0 && len(f.in.Certificates) == 0:
		th.B1 = 0
		notes = append(notes, AnalyzersNotCompared{})
	case f.in.Analyzers == 0:
		th.B1 = 0
	case c.SeveralAnalyzers < minAnalyzers || c.CrossAnalyzer < minCross:
		notes = append(notes, FewAnalyzers{Analyzers: c.SeveralAnalyzers, Comparisons: c.CrossAnalyzer})
	}
	if c.CrossPeriod == 0 && len(f.in.Certificates) == 0 {
		th.B2 = 0
		if f.in.Periods > 0 {
			notes = append(notes, PeriodsNotCompared{})
		}
	}
	return th, notes
}

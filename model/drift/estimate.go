package drift

import (
	"context"
	"errors"
	"maps"
	"math"
)

// Fewest differences for what a fit may claim.
const (
	MinFit  = 20  // below: defaults, not measured
	MinFree = 400 // below: fixed ratios, wide priors, no settling column
)

// Fewest comparisons from which an analyzer sd could be estimated.
const (
	minAnalyzers = 5
	minCross     = 30
)

// FixedRatios are the ratios used until they are estimated.
var FixedRatios = Theta{Q: 1, Tau: 1, B1: 0.7, B2: 0.7}

// TypicalSigma is the noise of a reading until it can be estimated, points.
const TypicalSigma = 0.065

// Figures of the second stage of removal.
const (
	stageBLimit  = 4
	stageBRounds = 3
)

// Ratios estimates theta on a cleaned fleet from a start, and says how that
// ended. Search.Ratios is one.
type Ratios func(ctx context.Context, f *Fleet, start Theta, o EvaluateOptions) (Ending, error)

// Options say how to fit. The zero value is the fixed ratios with one worker.
type Options struct {
	Theta   Theta   // zero: FixedRatios
	Sigma0  float64 // zero: TypicalSigma
	Workers int
	Ratios  Ratios // nil: theta stays fixed
	// Hold takes theta and the coefficients from another fit of the same design,
	// made on the readings that may decide them; this one then gives the biases
	// and unit states of all readings.
	Hold *Fit
}

// fitting is the road of one fit, from the readings of a fleet to what they say.
type fitting struct {
	Options
	ctx context.Context
}

func newFitting(ctx context.Context, m Options) fitting {
	if m.Theta == (Theta{}) {
		m.Theta = FixedRatios
	}
	if m.Sigma0 == 0 {
		m.Sigma0 = TypicalSigma
	}
	return fitting{m, ctx}
}

// whole is the fit without what is told of how units move.
func (m fitting) whole(f *Fleet) (*Fit, error) {
	if m.Hold != nil {
		return m.keeping(f)
	}
	fit, err := m.free(f)
	if err != nil {
		return nil, err
	}
	without, notes := m.holding(f, fit)
	if without == nil {
		return fit, nil
	}
	if fit.How != Defaults {
		if fit, err = m.free(without); err != nil {
			return nil, err
		}
	}
	fit.Notes = append(fit.Notes, notes...)
	return fit, nil
}

// Ageing of instruments and drift of units are told apart by calibrations that fall
// between readings. Where those are few the slope rests on its prior, and its error
// moves the level of every unit the same way: forecasts would be confidently wrong
// together. Then it is honest to leave the column out and to widen every interval by
// what the prior allows (package model, Time, analyzer, calibration).

// holding returns the fleet without the columns of a fit whose standard error is
// beyond their MaxSE, and notes of them; nil where there are none.
func (m fitting) holding(f *Fleet, fit *Fit) (*Fleet, []Note) {
	var notes []Note
	out := *f
	for _, c := range fit.Coefficients {
		for k := range f.cols {
			if limit := f.cols[k].MaxSE; f.cols[k].Name != c.Name || !(limit > 0) || !(c.SE > limit) {
				continue
			}
			held := map[int]Absence{k: KnownTooPoorly{SE: c.SE}}
			maps.Copy(held, out.held)
			out.held = held
			notes = append(notes, f.inseparable(k))
		}
	}
	if notes == nil {
		return nil, nil
	}
	out.choose(out.columnGram())
	return &out, notes
}

// free fits the columns of the fleet, none of them held.
func (m fitting) free(f *Fleet) (*Fit, error) {
	if f.counts.Differences < MinFit {
		return m.defaults(f)
	}
	fit, err := m.measured(f)
	if !unusable(err) {
		return fit, err
	}
	fit, failed := m.defaults(f)
	if failed == nil {
		fit.note(NotFitted{Err: err})
	}
	return fit, failed
}

// unusable reports whether a fit failed by what the records hold: too few of them
// are left after removal, or what is left never differs. Priors then stand in.
func unusable(err error) bool {
	return errors.Is(err, ErrTooFew) || errors.Is(err, ErrSame) || errors.Is(err, ErrPivot)
}

// measured cleans the fleet and fits it.
func (m fitting) measured(f *Fleet) (*Fit, error) {
	n, rounded := f.counts.Differences, f.mostlyRounded()
	few := n < MinFree || rounded
	o := EvaluateOptions{Workers: m.Workers, Tails: true}
	if rounded {
		o.sigma = m.Sigma0
	}
	if few {
		o.PriorSigma = m.Sigma0
		f = f.excluding(NeedsDifferences{Least: MinFree}, Settling)
	}
	th, _ := f.comparable(m.Theta)
	cleaned, list, err := f.Clean(m.ctx, th, o)
	if err != nil {
		return nil, err
	}
	f = cleaned
	var search *Ending
	if m.Ratios != nil && !few {
		if f, search, list, err = m.stageB(f, o, list); err != nil {
			return nil, err
		}
		th = search.Theta
	}
	th, notes := f.comparable(th)
	fit, err := m.checked(f, th, o)
	if err != nil {
		return nil, err
	}
	fit.Unconfirmed, fit.Search = list, search
	if search != nil && search.Fallback == nil {
		fit.How = Estimated
	}
	fit.Notes = append(fit.Notes, notes...)
	switch {
	case rounded:
		fit.Crit = math.NaN()
		fit.note(DisplaysHideNoise{NoisePoints: m.Sigma0})
	case few:
		fit.note(FewDifferences{Differences: n})
	}
	fit.noteDropped()
	return fit, nil
}

// checked evaluates, and again without the certificates that the readings
// contradict.
func (m fitting) checked(f *Fleet, th Theta, o EvaluateOptions) (*Fit, error) {
	fit, err := f.Evaluate(m.ctx, th, o)
	for range certificateRounds {
		if err != nil {
			return nil, err
		}
		worst := fit.fleet.certificates.contradicted(fit)
		if worst < 0 {
			break
		}
		f = f.refusing(worst)
		fit, err = f.Evaluate(m.ctx, th, o)
	}
	return fit, err
}

// keeping cleans and evaluates with another fit's coefficients.
func (m fitting) keeping(f *Fleet) (*Fit, error) {
	o := EvaluateOptions{Workers: m.Workers, Hold: m.Hold, Tails: true}
	if m.Hold.How == Defaults || f.mostlyRounded() {
		o.sigma = m.Hold.Sigma
	}
	cleaned, list, err := f.Clean(m.ctx, m.Hold.Theta, o)
	if err != nil {
		return nil, err
	}
	fit, err := m.checked(cleaned, m.Hold.Theta, o)
	if err != nil {
		return nil, err
	}
	fit.Unconfirmed = list
	return fit, nil
}

// stageB alternates estimation of the ratios and removal at a fixed limit.
func (m fitting) stageB(f *Fleet, o EvaluateOptions, list []Unconfirmed) (*Fleet, *Ending, []Unconfirmed, error) {
	end, err := m.Ratios(m.ctx, f, m.Theta, o)
	for round := 0; err == nil && round < stageBRounds; round++ {
		th, _ := f.comparable(end.Theta)
		at, failed := evaluation{f, th, o}.solve(m.ctx)
		if failed != nil {
			return f, &end, list, failed
		}
		cleaned, found, failed := cleanOnce(m.ctx, roughFit(at), stageBLimit, m.Workers)
		if failed != nil || len(found) == 0 {
			return f, &end, list, failed
		}
		f, list = cleaned, append(list, found...)
		end, err = m.Ratios(m.ctx, f, th, o)
	}
	return f, &end, list, err
}

// defaults is the fit of a fleet with too little to fit: prior means and their
// standard deviations. Units still carry what their own readings say.
func (m fitting) defaults(f *Fleet) (*Fit, error) {
	out := *f
	out.used, out.drops, out.widen = nil, nil, nil
	hold := &Fit{posterior: posterior{fleet: &out, b: make([]float64, f.in.Analyzers+f.in.Periods)}}
	var sd []float64
	for k, c := range f.cols {
		if c.Prior == nil {
			out.drops = append(out.drops, Dropped{c.Name, NeedsDifferences{Least: MinFit}})
			continue
		}
		out.used = append(out.used, k)
		hold.beta = append(hold.beta, c.Prior.Mean*f.scale[k])
		sd = append(sd, c.Prior.SD*f.scale[k])
	}
	q, p := len(hold.b), len(sd)
	cov := make([]float64, p*p)
	for k, s := range sd {
		cov[k*p+k] = s * s
	}
	hold.cov = known(cov, p, q)
	th, notes := out.comparable(m.Theta)
	fit, err := out.Evaluate(m.ctx, th, EvaluateOptions{Workers: m.Workers, Hold: hold, sigma: m.Sigma0})
	if err != nil {
		return nil, err
	}
	fit.How, fit.Crit, fit.Notes = Defaults, math.NaN(), notes
	fit.note(NothingFitted{Differences: f.counts.Differences})
	return fit, nil
}

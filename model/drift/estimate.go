package drift

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
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
type Ratios func(ctx context.Context, f *Fleet, start Theta, o Options) (Ending, error)

// Method says how to fit. The zero value is the fixed ratios with one worker.
type Method struct {
	Theta   Theta   // zero: FixedRatios
	Sigma0  float64 // zero: TypicalSigma
	Workers int
	Ratios  Ratios // nil: theta stays fixed
	// Hold takes theta and the coefficients from another fit of the same design,
	// made on the readings that may decide them; this one then gives the biases
	// and unit states of all readings.
	Hold *Fit
}

// Fit fits the fleet as far as its data carry: the amount decides between
// defaults, priors and a free fit; contradicted readings are removed or cut;
// biases nobody could compare are not estimated. The caveats are in Notes.
//
// A column whose standard error is beyond its MaxSE leaves the fit, which is then
// made again without it.
func (f *Fleet) Fit(ctx context.Context, m Method) (*Fit, error) {
	fit, err := f.whole(ctx, m)
	if err != nil {
		return nil, err
	}
	fit.shared = fit.sharedLevel()
	fit.moves = fit.movement()
	if fit.shared > 0 {
		fit.note("units of one area change level together, by about ±%.2f points from year to year, as with another gas: forecasts allow for it", fit.SharedSD())
	}
	return fit, nil
}

// whole is the fit without what is told of how units move.
func (f *Fleet) whole(ctx context.Context, m Method) (*Fit, error) {
	if m.Theta == (Theta{}) {
		m.Theta = FixedRatios
	}
	if m.Sigma0 == 0 {
		m.Sigma0 = TypicalSigma
	}
	if m.Hold != nil {
		return f.keeping(ctx, m)
	}
	fit, err := f.free(ctx, m)
	if err != nil {
		return nil, err
	}
	without, notes := f.holding(fit)
	if without == nil {
		return fit, nil
	}
	if fit.How != Defaults {
		if fit, err = without.free(ctx, m); err != nil {
			return nil, err
		}
	}
	fit.Notes = append(fit.Notes, notes...)
	return fit, nil
}

// free fits the columns of the fleet, none of them held.
func (f *Fleet) free(ctx context.Context, m Method) (*Fit, error) {
	if f.counts.Differences < MinFit {
		return f.defaults(ctx, m)
	}
	fit, err := f.measured(ctx, m)
	if !unusable(err) {
		return fit, err
	}
	fit, failed := f.defaults(ctx, m)
	if failed == nil {
		fit.note("not fitted: %v", err)
	}
	return fit, failed
}

// unusable reports whether a fit failed by what the records hold: too few of them
// are left after removal, or what is left never differs. Priors then stand in.
func unusable(err error) bool {
	return errors.Is(err, ErrTooFew) || errors.Is(err, ErrSame) || errors.Is(err, ErrPivot)
}

// measured cleans the fleet and fits it.
func (f *Fleet) measured(ctx context.Context, m Method) (*Fit, error) {
	n, rounded := f.counts.Differences, f.mostlyRounded()
	few := n < MinFree || rounded
	o := Options{Workers: m.Workers, Tails: true}
	if rounded {
		o.sigma = m.Sigma0
	}
	if few {
		o.PriorSigma = m.Sigma0
		f = f.excluding(map[string]string{Settling: fmt.Sprintf("it needs %d differences", MinFree)})
	}
	th, _ := f.comparable(m.Theta)
	cleaned, list, err := f.Clean(ctx, th, o)
	if err != nil {
		return nil, err
	}
	f = cleaned
	var search *Ending
	if m.Ratios != nil && !few {
		if f, search, list, err = f.stageB(ctx, m, o, list); err != nil {
			return nil, err
		}
		th = search.Theta
	}
	th, notes := f.comparable(th)
	fit, err := f.checked(ctx, th, o)
	if err != nil {
		return nil, err
	}
	fit.Unconfirmed, fit.Search = list, search
	fit.Ended = fmt.Sprintf("fixed ratios, %d differences", f.counts.Differences)
	if search != nil {
		fit.Ended = search.String()
		if search.Fallback == "" {
			fit.How = Estimated
		}
	}
	fit.Notes = append(fit.Notes, notes...)
	switch {
	case rounded:
		fit.Crit = math.NaN()
		fit.note("most displays hide more than the noise of a reading: that is taken to be %.3f points, ratios fixed, wide priors on the coefficients", m.Sigma0)
	case few:
		fit.note("%d differences: ratios fixed, wide priors on the coefficients, no variances reported", n)
	}
	fit.noteDropped()
	return fit, nil
}

// mostlyRounded reports whether the displays of most readings hide more than they
// show (W above 2): the noise of a reading then cannot be told from their steps. The
// same value comes back at visit after visit, and noise would run to nothing.
func (f *Fleet) mostlyRounded() bool {
	n := 0
	for r, w := range f.w {
		if !f.gone[r] && w > 2 {
			n++
		} else {
			n--
		}
	}
	return n > 0
}

// checked evaluates, and again without the certificates that the readings
// contradict.
func (f *Fleet) checked(ctx context.Context, th Theta, o Options) (*Fit, error) {
	fit, err := f.Evaluate(ctx, th, o)
	for range certificateRounds {
		if err != nil {
			return nil, err
		}
		worst := fit.contradicted()
		if worst < 0 {
			break
		}
		f = f.refusing(worst)
		fit, err = f.Evaluate(ctx, th, o)
	}
	return fit, err
}

// keeping cleans and evaluates with another fit's coefficients.
func (f *Fleet) keeping(ctx context.Context, m Method) (*Fit, error) {
	o := Options{Workers: m.Workers, Hold: m.Hold, Tails: true}
	if m.Hold.How == Defaults || f.mostlyRounded() {
		o.sigma = m.Hold.Sigma
	}
	cleaned, list, err := f.Clean(ctx, m.Hold.Theta, o)
	if err != nil {
		return nil, err
	}
	fit, err := cleaned.checked(ctx, m.Hold.Theta, o)
	if err != nil {
		return nil, err
	}
	fit.Unconfirmed = list
	fit.Ended = fmt.Sprintf("coefficients held, %d differences", cleaned.counts.Differences)
	return fit, nil
}

// stageB alternates estimation of the ratios and removal at a fixed limit.
func (f *Fleet) stageB(ctx context.Context, m Method, o Options, list []Unconfirmed) (*Fleet, *Ending, []Unconfirmed, error) {
	end, err := m.Ratios(ctx, f, m.Theta, o)
	for round := 0; err == nil && round < stageBRounds; round++ {
		th, _ := f.comparable(end.Theta)
		at, failed := f.solve(ctx, th, o)
		if failed != nil {
			return f, &end, list, failed
		}
		cleaned, found, failed := f.CleanOnce(ctx, f.rough(at), stageBLimit, m.Workers)
		if failed != nil || len(found) == 0 {
			return f, &end, list, failed
		}
		f, list = cleaned, append(list, found...)
		end, err = m.Ratios(ctx, f, th, o)
	}
	return f, &end, list, err
}

// comparable drops the analyzer parts that no difference can show, and says
// which are taken rather than measured.
func (f *Fleet) comparable(th Theta) (Theta, []string) {
	var notes []string
	c := f.counts
	switch {
	case f.in.Analyzers > 0 && c.CrossAnalyzer == 0 && len(f.in.Certificates) == 0:
		th.B1 = 0
		notes = append(notes, "analyzer bias not estimable: no two analyzers were used on one setting")
	case f.in.Analyzers == 0:
		th.B1 = 0
	case c.SeveralAnalyzers < minAnalyzers || c.CrossAnalyzer < minCross:
		notes = append(notes, fmt.Sprintf("analyzer sd taken, not measured: %d analyzers in %d comparisons", c.SeveralAnalyzers, c.CrossAnalyzer))
	}
	if c.CrossPeriod == 0 && len(f.in.Certificates) == 0 {
		th.B2 = 0
		if f.in.Periods > 0 {
			notes = append(notes, "bias by calibration period not estimable: no two periods were compared")
		}
	}
	return th, notes
}

// excluding returns the fleet without some columns, each with its reason.
func (f *Fleet) excluding(why map[string]string) *Fleet {
	out := *f
	out.exclude = map[int]string{}
	for k, c := range f.cols {
		if w, ok := why[c.Name]; ok {
			out.exclude[k] = w
		} else if w, ok := f.exclude[k]; ok {
			out.exclude[k] = w
		}
	}
	out.findAliased()
	return &out
}

// defaults is the fit of a fleet with too little to fit: prior means and their
// standard deviations. Units still carry what their own readings say.
func (f *Fleet) defaults(ctx context.Context, m Method) (*Fit, error) {
	out := *f
	out.used, out.drops, out.widen = nil, nil, nil
	hold := &Fit{fleet: &out, b: make([]float64, f.in.Analyzers+f.in.Periods)}
	var sd []float64
	for k, c := range f.cols {
		if c.Prior == nil {
			out.drops = append(out.drops, Dropped{c.Name, fmt.Sprintf("it needs %d differences", MinFit)})
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
	fit, err := out.Evaluate(ctx, th, Options{Workers: m.Workers, Hold: hold, sigma: m.Sigma0})
	if err != nil {
		return nil, err
	}
	fit.How, fit.Crit, fit.Notes = Defaults, math.NaN(), notes
	fit.Ended = fmt.Sprintf("nothing fitted, %d differences", f.counts.Differences)
	fit.note("%d differences: nothing was fitted; coefficients and noise are defaults, not measured", f.counts.Differences)
	return fit, nil
}

// optional reports whether a column may be left out without a note.
func (f *Fleet) optional(name string) bool {
	return slices.ContainsFunc(f.cols, func(c Column) bool { return c.Name == name && c.Optional })
}

func (fit *Fit) noteDropped() {
	f := fit.fleet
	for _, d := range f.drops {
		if f.optional(d.Column) {
			continue
		}
		fit.note("%q is not in the fit: %s", d.Column, d.Why)
	}
	for _, k := range f.widen {
		if _, held := f.held[k]; !held && k < len(f.next) && f.next[k] != (moments{}) {
			fit.note("%s", f.wideningNote(k))
		}
	}
}

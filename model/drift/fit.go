package drift

import "math"

// z95 and z90 are normal quantiles of two-sided 95 % and 90 % intervals.
const (
	z95 = 1.959963984540054
	z90 = 1.6448536269514722
)

// How says what a fit rests on.
type How uint8

// Ways a fit came about.
const (
	FixedTheta How = iota // generalized least squares at given ratios
	WithPriors            // the same, with the columns' priors
	Defaults              // too few differences: the priors themselves, not measured
	HeldBeta              // coefficients from another fit
	Estimated             // ratios estimated by REML
)

// String is the code by which the way is stored.
func (h How) String() string {
	return [...]string{
		"fixed ratios", "fixed ratios with wide priors", "defaults, not measured",
		"coefficients of another fit", "ratios estimated",
	}[h]
}

// Coefficient is one covariate's effect with its caveats, in points a unit of
// the covariate (a drift column: a unit of its rate and year). Without a value,
// Dropped says why.
type Coefficient struct {
	Name, Unit           string
	Coding, Source       string  // of the Column
	Scale                float64 // what the covariate was divided by in the fit: a power of two near its root mean square
	Value, SE, Low, High float64 // 95 % interval
	Dropped              Absence // nil: in the fit
}

// Bias is one analyzer column: how much it reads above the others of its
// Component, points. Biases of different components cannot be compared.
type Bias struct {
	Value, SD float64 // posterior; SD is near the prior's where little is known
	Cross     int     // differences to another analyzer, or period
	Component int     // -1: never compared with another
	Certified int     // certificates that observe it
	Units     int     // with a difference to another analyzer
}

// Known says whether the data say anything of the bias at all; without, it has no
// number.
func (b Bias) Known() bool { return b.Component >= 0 || b.Certified > 0 }

// Fit is a fitted fleet. It is read by any number of goroutines.
type Fit struct {
	How          How
	Theta        Theta
	Sigma        float64 // noise of one reading, points
	Crit         float64 // minus twice the restricted log-likelihood
	Counts       Counts
	Coefficients []Coefficient
	Analyzers    []Bias        // constant biases
	Periods      []Bias        // biases by calibration period, on top
	Steps        []BiasStep    // biases far outside what the spread of the others implies
	Unconfirmed  []Unconfirmed // readings removed and segments cut
	moves        moves         // how units move between readings
	shared       areaLevel     // that units of an area have in common
	Search       *Ending       // of the ratios; nil where they were not estimated
	Notes        []Note        // what a reader of the figures must know
	Held         Calibration   // of forecasts; see Calibrate

	posterior
	tails   bool
	options EvaluateOptions // of its evaluation
	unit    float64         // noise that priors and certificates were weighed in
	dof     float64
}

// roughFit is a fit without covariances and reports: beta, b and sigma.
func roughFit(s *solution) *Fit {
	fit := &Fit{Theta: s.th, Sigma: s.sigma, Crit: s.crit, dof: s.dof}
	fit.fleet, fit.beta = s.f, s.beta
	fit.b = make([]float64, len(s.u))
	for a, u := range s.u {
		fit.b[a] = s.scale[a] * u
	}
	return fit
}

func newFit(s *solution) *Fit {
	fit := roughFit(s)
	switch {
	case s.o.Hold != nil:
		fit.How = HeldBeta
	case s.o.PriorSigma > 0:
		fit.How = WithPriors
	}
	if s.cov == nil {
		s.cov = newJoint(s, s.coefCov())
	}
	fit.cov, fit.unit, fit.options = s.cov, s.o.unit(), s.o
	fit.tails, fit.Steps = s.z != nil, describeSteps(fit, s.z)
	fit.report()
	return fit
}

// report fills the exported figures from the scaled ones.
func (fit *Fit) report() {
	f := fit.fleet
	fit.Counts = f.counts
	q, nan := len(fit.b), math.NaN()
	fit.Coefficients = make([]Coefficient, 0, len(f.cols))
	for col, c := range f.cols {
		out := Coefficient{Name: c.Name, Unit: c.Unit, Coding: c.Coding, Source: c.Source, Scale: f.scale[col]}
		out.Value, out.SE, out.Low, out.High = nan, nan, nan, nan
		for _, d := range f.drops {
			if d.Column == c.Name {
				out.Dropped = d.Why
			}
		}
		for k, u := range f.used {
			if u == col {
				out.Value = fit.beta[k] / f.scale[col]
				out.SE = math.Sqrt(fit.cov.at(q+k, q+k)) / f.scale[col]
				out.Low, out.High = out.Value-z95*out.SE, out.Value+z95*out.SE
			}
		}
		fit.Coefficients = append(fit.Coefficients, out)
	}
	links := newLinks(f)
	certified := make([]int, q)
	f.certificates.each(func(_ int, c *Certificate) {
		for _, a := range c.columns(f.in.Analyzers) {
			certified[a]++
		}
	})
	bias := func(a int) Bias {
		return Bias{
			Value: fit.b[a], SD: math.Sqrt(fit.cov.at(a, a)), Cross: links.cross[a], Component: links.component(a),
			Certified: certified[a], Units: f.metBy[a],
		}
	}
	fit.Analyzers, fit.Periods = nil, nil
	for a := range f.in.Analyzers {
		fit.Analyzers = append(fit.Analyzers, bias(a))
	}
	for a := range f.in.Periods {
		fit.Periods = append(fit.Periods, bias(f.in.Analyzers+a))
	}
}

// Coefficient returns a covariate's effect by name; ok is false where the
// design has no such column.
func (fit *Fit) Coefficient(name string) (c Coefficient, ok bool) {
	for _, c := range fit.Coefficients {
		if c.Name == name {
			return c, true
		}
	}
	return Coefficient{}, false
}

// BiasSD returns the prior standard deviations of both analyzer parts, points.
func (fit *Fit) BiasSD() (constant, period float64) {
	return fit.Theta.B1 * fit.Sigma, fit.Theta.B2 * fit.Sigma
}

// Ended says how the fit ended.
func (fit *Fit) Ended() Ended { return Ended{fit.How, fit.Counts.Differences, fit.Search} }

func (fit *Fit) note(n Note) { fit.Notes = append(fit.Notes, n) }

func (fit *Fit) noteDropped() {
	f := fit.fleet
	for _, d := range f.drops {
		if f.optional(d.Column) {
			continue
		}
		fit.note(ColumnOut{Column: d.Column, Why: d.Why})
	}
	for _, k := range f.widen {
		if _, held := f.held[k]; !held && k < len(f.next) && f.next[k] != (moments{}) {
			fit.note(f.inseparable(k))
		}
	}
}

// Fleet returns the readings a fit was made of, removed ones and cuts included.
func (fit *Fit) Fleet() *Fleet { return fit.fleet }

// Predictor returns a new one.
func (fit *Fit) Predictor() *Predictor {
	n := fit.fleet.stride
	return &Predictor{
		fit: fit, without: -1, k: newKernel(fit.fleet, fit.Theta),
		increments: increments{fit: fit, x: make([]float64, n), unknown: make([]float64, n)},
	}
}

// sharedSD is the standard deviation of a level that the units of an area have in
// common for about a year, points; 0 where the readings show none.
func (fit *Fit) sharedSD() float64 { return math.Sqrt(float64(fit.shared)) }

// Widened says whether a column with a MaxSE is not in the fit though its covariate
// is known of some readings: every state has gained the variance of its prior.
func (fit *Fit) Widened(column string) bool {
	f := fit.fleet
	for _, k := range f.widen {
		if f.cols[k].Name == column && k < len(f.next) && f.next[k] != (moments{}) {
			return true
		}
	}
	return false
}

// Refused returns the certificates of Input that the readings contradict: they are
// not used.
func (fit *Fit) Refused() (out []int) {
	for i, r := range fit.fleet.certificates.refused {
		if r {
			out = append(out, i)
		}
	}
	return out
}

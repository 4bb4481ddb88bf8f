package drift

import (
	"fmt"
	"math"
)

// Settling is the name of the drift column min(t - last adjustment, 1 year).
const Settling = "settling after adjustment"

// settlingYears is where the settling column levels off.
const settlingYears = 1

// Prior is what is believed of a coefficient before the data: mean and standard
// deviation on the scale of the column.
type Prior struct{ Mean, SD float64 }

// Column is a covariate, as data.
type Column struct {
	Name, Unit string
	// Coding and Source are for readers: what 0 and 1 of the covariate are, and
	// which records it is from.
	Coding, Source string
	// Prior is used while there are too few differences to go without; a column
	// without one is then estimated freely, and is left out where nothing is fitted.
	Prior *Prior
	// Companion names the drift column that takes the time during which this
	// one's rate is not known. It has rate 0 everywhere in the Runs.
	Companion string
	// Instrument marks a level column that describes what a reading was made with
	// and not the unit: it is 0 in a true state, and the mean over the fleet's
	// readings in one that nobody has made yet. Its prior holds at every amount of
	// data.
	Instrument bool
	// MaxSE above 0 is the posterior standard error beyond which the column leaves
	// the fit: the readings then cannot tell it from the units, and every state
	// gains the variance of its prior.
	MaxSE float64
	// Optional marks a column that is there to be tried: leaving it out is no caveat.
	Optional bool
}

// Design names the columns of the model. Level columns are values on the day of
// a reading, measured from the reference conditions; drift columns are rates,
// integrated over time (see Run). Settling adds the settling column, which the
// package makes itself because it decides where a segment begins.
type Design struct {
	Level, Drift []Column
	Settling     bool
}

// columns returns level, drift and settling in the order of the coefficients.
func (d Design) columns() []Column {
	all := append(append([]Column{}, d.Level...), d.Drift...)
	if d.Settling {
		all = append(all, Column{
			Name: Settling, Unit: "points, first year", Coding: "0 at an adjustment, 1 a year after it and later",
			Source: "adjustments recorded, and those to be inferred",
		})
	}
	return all
}

// companions returns for each drift column the index of its companion, or -1.
func (d Design) companions() ([]int, error) {
	at := map[string]int{}
	for k, c := range d.Drift {
		if _, twice := at[c.Name]; twice {
			return nil, fmt.Errorf("drift column %q is named twice", c.Name)
		}
		at[c.Name] = k
	}
	out := make([]int, len(d.Drift))
	for k, c := range d.Drift {
		out[k] = -1
		if c.Companion == "" {
			continue
		}
		to, ok := at[c.Companion]
		if !ok || to == k {
			return nil, fmt.Errorf("drift column %q: its companion %q is not another drift column", c.Name, c.Companion)
		}
		out[k] = to
	}
	return out, nil
}

// integral is the covariate A(t) of one unit, counted from its first Run.
type integral struct {
	runs  []Run
	comps []int
}

// fitted adds A(t) to out, unknown rates moved to their companions.
func (g integral) fitted(t float64, out []float64) {
	g.each(t, func(run *Run, from, dt float64) {
		for k, rate := range run.Rate {
			switch {
			case !math.IsNaN(rate):
				out[k] += run.grown(k, from, dt)
			case g.firstOf(run, k):
				out[g.comps[k]] += dt
			}
		}
	})
}

// firstOf reports whether k is the first unknown column of its companion in the
// run: several columns that lack one figure move the time only once.
func (g integral) firstOf(run *Run, k int) bool {
	for j := range k {
		if g.comps[j] == g.comps[k] && math.IsNaN(run.Rate[j]) {
			return false
		}
	}
	return true
}

// expected adds the increment of A from one time to another to out, with imputed
// for what is not known, and the time not known to unknown.
func (g integral) expected(from, to float64, imputed, out, unknown []float64) {
	add := func(t, sign float64) {
		g.each(t, func(run *Run, start, dt float64) { run.expected(dt, sign, start, imputed, out, unknown) })
	}
	add(to, 1)
	add(from, -1)
}

// expected adds what the run gives over dt from a time on, times a sign.
func (run *Run) expected(dt, sign, start float64, imputed, out, unknown []float64) {
	for k, rate := range run.Rate {
		if math.IsNaN(rate) {
			unknown[k] += sign * dt
			out[k] += sign * dt * imputed[k]
			continue
		}
		out[k] += sign * run.grown(k, start, dt)
	}
}

// ahead does as expected, out and unknown being 0. It takes and returns what is the same
// for every day after the unit's last run begins: the increment to there, then what of it
// is not known; nil until such a day is asked for.
func (g integral) ahead(from, to float64, imputed, toLast, out, unknown []float64) []float64 {
	if len(g.runs) == 0 || to < g.runs[len(g.runs)-1].From {
		g.expected(from, to, imputed, out, unknown)
		return toLast
	}
	last, n := &g.runs[len(g.runs)-1], len(out)
	if toLast == nil {
		toLast = make([]float64, 2*n)
		g.expected(from, last.From, imputed, toLast[:n], toLast[n:])
	}
	copy(out, toLast[:n])
	copy(unknown, toLast[n:])
	last.expected(to-last.From, 1, last.From, imputed, out, unknown)
	return toLast
}

// grown is the integral of rate k of the run over dt from a time on.
func (run *Run) grown(k int, from, dt float64) float64 {
	inc := run.Rate[k] * dt
	if run.Grow != nil {
		inc += run.Grow[k] * dt * (from - run.From + dt/2)
	}
	return inc
}

// each walks the runs from the first one's beginning to t; before it, backwards.
func (g integral) each(t float64, visit func(run *Run, from, dt float64)) {
	for i := range g.runs {
		run := &g.runs[i]
		if i > 0 && run.From >= t {
			return
		}
		until := t
		if i+1 < len(g.runs) && g.runs[i+1].From < t {
			until = g.runs[i+1].From
		}
		visit(run, run.From, until-run.From)
	}
}

// check reports what is wrong with a series, in the words of the record.
func (in *Input) check(s *Series, comps []int) error {
	if err := in.Design.checkRuns(s, comps); err != nil {
		return fmt.Errorf("unit %q: %w", s.Unit, err)
	}
	for i := range s.Visits {
		v := &s.Visits[i]
		if math.IsNaN(v.T) || (i > 0 && v.T < s.Visits[i-1].T) {
			return fmt.Errorf("unit %q: visit %d is out of order (year %g)", s.Unit, i, v.T)
		}
		err := in.checkContext(v.Analyzer, v.Period, v.Level, v.Level == nil)
		for j := range v.Readings {
			if err != nil {
				break
			}
			r := &v.Readings[j]
			if r.W < 0 || math.IsNaN(r.W) || math.IsInf(r.Y, 0) {
				err = fmt.Errorf("variance multiple %g, deviation %g", r.W, r.Y)
				break
			}
			err = in.checkContext(r.Analyzer, r.Period, r.Level, false)
		}
		if err != nil {
			return fmt.Errorf("unit %q: visit %d: %w", s.Unit, i, err)
		}
	}
	return nil
}

func (d Design) checkRuns(s *Series, comps []int) error {
	if len(s.Runs) == 0 && len(d.Drift) > 0 {
		return fmt.Errorf("no run gives its drift rates")
	}
	for i, run := range s.Runs {
		if len(run.Rate) != len(d.Drift) || (run.Grow != nil && len(run.Grow) != len(d.Drift)) {
			return fmt.Errorf("run %d has %d rates for %d drift columns", i, len(run.Rate), len(d.Drift))
		}
		if i > 0 && run.From < s.Runs[i-1].From {
			return fmt.Errorf("run %d begins before the run it follows", i)
		}
		for k, rate := range run.Rate {
			if math.IsNaN(rate) && comps[k] < 0 {
				return fmt.Errorf("the rate of %q is not known and the column has no companion", d.Drift[k].Name)
			}
		}
	}
	return nil
}

// checkContext checks what a reading or a visit was made with.
func (in *Input) checkContext(analyzer, period int, level []float64, free bool) error {
	if analyzer >= in.Analyzers || period >= in.Periods {
		return fmt.Errorf("analyzer column %d, period column %d: there are %d and %d; -1 is unknown", analyzer, period, in.Analyzers, in.Periods)
	}
	if free {
		return nil
	}
	if len(level) != len(in.Design.Level) {
		return fmt.Errorf("%d level covariates for %d columns", len(level), len(in.Design.Level))
	}
	for k, x := range level {
		if math.IsNaN(x) {
			return fmt.Errorf("%q is missing; give the expected value of that day", in.Design.Level[k].Name)
		}
	}
	return nil
}

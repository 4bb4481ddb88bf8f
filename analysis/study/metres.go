package study

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/judge"
)

// PerMetre is one quantity: what a metre more of equivalent length does to CO2 at a
// fire of the units of one burner control, points (drift: points a year), on the mean
// of the units behind it, whose longest runs differ.
type PerMetre struct {
	Primary
	Counts               // of the rows of this study
	Estimates []Estimate // the one quoted first; none where Why says why
	Declared  bool
	P, Holm   float64 // of no effect, of the one quoted; adjusted over all quantities
	Why       Lack
}

// Estimate is one estimate of a quantity.
type Estimate struct {
	By       EstimateBy
	Contrast      // DF is infinite where errors are taken as normal
	Doubted  bool // the drift model itself advises against its figure
}

// EstimateBy is how an estimate was made.
type EstimateBy uint8

// Ways of making one, in the order in which they are quoted: the drift model knows
// analyzers and what drifts between two readings, and so has the smaller errors; the
// study's own fits take rows of a site together, and need no model of noise.
const (
	ByDriftModel    EstimateBy = iota
	ByWithinControl            // WithinFit
	BySharedColumns            // ControlFit: age, settling and time between are one for all
)

// Metres lists what a metre does, by question, burner control and fire, once s.Model
// is known. They are the family over which P is adjusted (Holm, Scand. J. Stat. 6,
// 1979; from memory).
func Metres(s *Study) (all []PerMetre) {
	for _, kind := range Kinds {
		for _, c := range commonest(s.rowsOf(s.Rows, kind, judge.High)) {
			for _, fire := range []judge.Fire{judge.High, judge.Low} {
				all = append(all, metre(s, Primary{kind, fire, c}))
			}
		}
	}
	if p := s.Settings.Primary; !slices.ContainsFunc(all, func(m PerMetre) bool { return m.Declared }) && p.Kind != "" {
		all = append(all, metre(s, p)) // of low less high, or of all controls
	}
	holm(all)
	return all
}

// metre gathers the estimates of one quantity.
func metre(s *Study, of Primary) PerMetre {
	rows := within(s.rowsOf(s.Rows, of.Kind, of.Fire), of.Control)
	out := PerMetre{Primary: of, Declared: of == s.Settings.Primary, Counts: countsOf(rows), P: math.NaN(), Holm: math.NaN()}
	if len(rows) == 0 {
		out.Why = TooFew{Needed: fewest}
		return out
	}
	factor := perMetre(rows)
	if s.Model != nil {
		for i := range s.Model.Effects {
			e := &s.Model.Effects[i]
			if e.Fit == string(of.Kind) && e.Fire == of.Fire && e.ByLength && e.Class == string(of.Control) && whole(e.Value, e.SE) {
				c := Contrast{e.Value, e.SE, math.Inf(1), e.Low, e.High}
				out.Estimates = append(out.Estimates, Estimate{ByDriftModel, c.Scaled(factor), e.Why != nil})
			}
		}
	}
	name := declaredTask(of).fit
	for i := range s.Effects {
		e := &s.Effects[i]
		if e.Kind != of.Kind || e.Fire != of.Fire || e.Control != of.Control || e.Response != InPoints || e.Measure != ByLength ||
			!whole(e.Contrast.Value, e.Contrast.SE) || !(e.Contrast.DF > 0) {
			continue
		}
		switch {
		case e.Fit == name && e.Name == VentName:
			out.Estimates = append(out.Estimates, Estimate{By: ByWithinControl, Contrast: e.Contrast.Scaled(factor)})
		case e.WithinControl:
			out.Estimates = append(out.Estimates, Estimate{By: BySharedColumns, Contrast: e.Contrast.Scaled(factor)})
		}
	}
	if of.Kind == Installation && slices.ContainsFunc(out.Estimates, func(e Estimate) bool { return e.By == ByWithinControl }) {
		out.Estimates = slices.DeleteFunc(out.Estimates, func(e Estimate) bool { return e.By == BySharedColumns }) // nothing is shared
	}
	slices.SortStableFunc(out.Estimates, func(a, b Estimate) int {
		return cmp.Or(cmp.Compare(one(a.Doubted), one(b.Doubted)), cmp.Compare(a.By, b.By))
	})
	if len(out.Estimates) == 0 {
		out.Why = TooFew{Rows: len(rows), Needed: fewest}
		for _, n := range s.NotMade {
			if why := n.Why; n == declaredTask(of).notMade(Whole, why) {
				out.Why = why
			}
		}
		return out
	}
	out.P = out.Estimates[0].p()
	return out
}

// p is that of no effect.
func (e *Estimate) p() float64 { return 2 * (1 - e.distribution().CDF(math.Abs(e.Value)/e.SE)) }

// distribution is that of a contrast over its standard error.
func (c *Contrast) distribution() interface {
	CDF(float64) float64
	Quantile(float64) float64
} {
	if math.IsInf(c.DF, 1) {
		return distuv.UnitNormal
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: c.DF}
}

// holm adjusts the p of all quantities that have one.
func holm(all []PerMetre) {
	var order []int
	for i := range all {
		if whole(all[i].P) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(all[a].P, all[b].P) })
	most := 0.0
	for k, i := range order {
		most = math.Max(most, math.Min(1, float64(len(order)-k)*all[i].P))
		all[i].Holm = most
	}
}

// Verdict is what an interval says of an effect beside a bound.
type Verdict uint8

// Verdicts.
const (
	Open    Verdict = iota // it may matter or not
	None                   // within the bound, by two one-sided tests of 5 % each
	Matters                // beyond the bound: the whole 95 % interval is
)

// Against holds a contrast to a bound.
func (c *Contrast) Against(bound float64) Verdict {
	switch {
	case c.equivalent(bound).Holds:
		return None
	case c.Low > bound || c.High < -bound:
		return Matters
	}
	return Open
}

// Needed is how many units like those behind the estimate quoted would show that there is no
// effect beyond the bound, if there is none, in four of five studies: each of two
// one-sided tests of 5 % then has power .9 (normal errors, which fall with the root of
// the number of units).
func (p *PerMetre) Needed(bound float64) int {
	const quantile95, quantile90 = 0.95, 0.9
	want := bound / (distuv.UnitNormal.Quantile(quantile95) + distuv.UnitNormal.Quantile(quantile90))
	se := p.Estimates[0].SE
	return int(math.Ceil(float64(p.Units) * se * se / (want * want)))
}

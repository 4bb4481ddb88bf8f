package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// learnedRules are what today's probability is compared with: what a planner or an analyst
// could make of the same records without a drift model.
var learnedRules = []string{"days", "last", "line", "regression", "logistic", "boosting"}

// yearsBack are the earlier origins rules learn at.
var yearsBack = []float64{1, 1.5, 2, 2.5, 3, 4, 5, 6}

// reachDays is within what the next as found must lie after an origin.
const reachDays = 548

// past is what a fire's records say at an origin, about a later day.
type past struct {
	unit          int
	years         float64 // from the last reading to the day in question
	last          float64 // points off target
	slope         float64 // own mean change a year
	far           float64 // mean of what was found, without a sign
	outside       float64 // share found outside
	found         float64 // as-found readings behind the two
	vent, noVent  float64
	age           float64
	air           float64 // expected on the day, less that of the last reading, in swings of the year
	low           float64 // 1 at low fire
	fixed, linked float64 // burner control
	next          float64 // what was found on the day in question
}

// pastOf looks at a fire's records of the time before an origin, for a later day;
// ok is false without a reading.
func pastOf(h *judge.History, fire judge.Fire, origin, on day.Day) (p past, ok bool) {
	was, from, have := 0.0, day.None, false
	rate, since := 0.0, 0.0
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Fire != fire || x.Day > origin {
			continue
		}
		d := x.CO2Percent - x.Target.CO2Percent
		if x.Condition == judge.AsFound {
			p.found++
			p.far += math.Abs(d)
			if math.Abs(d) > worlds.ActionPoints+worlds.Step/4 {
				p.outside++
			}
			if have && x.Day > from {
				rate, since = rate+d-was, since+float64(x.Day-from)/365.25
			}
		}
		was, from, have = d, x.Day, true
	}
	if !have {
		return p, false
	}
	p.last, p.years = was, float64(on-from)/365.25
	p.slope = rate / (since + 0.5) // drawn to nothing by half a year
	p.far, p.outside = (p.far+0.2)/(p.found+1), (p.outside+0.15)/(p.found+1)
	season := func(d day.Day) float64 { return -math.Cos(2 * math.Pi * (float64(d)/365.25 - 20/365.25)) }
	p.air = season(on) - season(from)
	if p.vent = h.VentRuns[0].LengthM / h.Targets[0].Target.LongestRunM; math.IsNaN(p.vent) {
		p.vent, p.noVent = 0.4, 1
	}
	p.age = float64(on-h.Unit.Installed) / 365.25
	if fire == judge.Low {
		p.low = 1
	}
	switch h.Unit.Control {
	case "fixed air":
		p.fixed = 1
	case "linkage":
		p.linked = 1
	}
	return p, true
}

// moved are the columns of the change to be expected: drift by control, fire, vent
// and age, the own slope, the season by control.
func (p *past) moved() []float64 {
	ratio := 1 - p.fixed - p.linked
	var out []float64
	for _, c := range []float64{ratio * (1 - p.low), ratio * p.low, p.fixed, p.linked} {
		out = append(out, c*p.years, c*p.vent*p.years, c*p.air)
	}
	return append(out, p.age*p.years, p.slope*p.years, p.slope*math.Min(p.years, 1), p.last)
}

// columns are the hand-made features of a chance, expected being the regression's.
func (p *past) columns(expected float64) []float64 {
	ratio := 1 - p.fixed - p.linked
	return []float64{
		1, p.years, math.Abs(p.last), math.Abs(p.last + p.slope*p.years), math.Abs(p.slope) * p.years, math.Abs(expected), expected * expected,
		p.far, p.outside, p.vent, p.noVent, p.age / 10, p.low, p.fixed, p.linked, p.fixed * p.vent * p.years, ratio * p.low * p.years,
		p.years * p.far,
	}
}

// pasts are the cases rules learn from, and those of today.
func (o *foreign) pasts() (learn, today []past) {
	asOf := o.fleet.AsOf()
	for i, h := range o.histories {
		for _, fire := range worlds.Fires() {
			if p, ok := pastOf(h, fire, asOf, asOf); ok {
				p.unit = i
				today = append(today, p)
			}
			for _, back := range yearsBack {
				origin := asOf - day.Day(back*365.25)
				for k := range h.Readings {
					x := &h.Readings[k]
					if x.Fire != fire || x.Condition != judge.AsFound || x.Day <= origin {
						continue
					}
					if p, ok := pastOf(h, fire, origin, x.Day); ok && x.Day <= origin+reachDays {
						p.unit, p.next = i, x.CO2Percent-x.Target.CO2Percent
						learn = append(learn, p)
					}
					break
				}
			}
		}
	}
	return learn, today
}

// learned orders the units by each rule. boosting is their order by gradient
// boosting, nil where nobody made it.
func (o *foreign) learned(t testing.TB, boosting []float64) map[string][]float64 {
	t.Helper()
	learn, today := o.pasts()
	out := map[string][]float64{}
	worse := func(name string, unit int, key float64) {
		if out[name] == nil {
			out[name] = make([]float64, len(o.histories))
		}
		out[name][unit] = math.Max(out[name][unit], key)
	}
	beta, chance := regressions(t, learn)
	for k := range today {
		p := &today[k]
		worse("days", p.unit, p.years)
		worse("last", p.unit, math.Abs(p.last))
		worse("line", p.unit, math.Abs(p.last+p.slope*p.years))
		expected := dot(beta, p.moved()) + p.last
		worse("regression", p.unit, math.Abs(expected))
		worse("logistic", p.unit, 1/(1+math.Exp(-dot(chance, p.columns(expected)))))
	}
	if boosting != nil {
		out["boosting"] = boosting
	}
	return out
}

// regressions learns the change by ordinary regression, and the chance of being
// found outside by logistic regression with a little shrinkage.
func regressions(t testing.TB, learn []past) (beta, chance []float64) {
	t.Helper()
	x, y := make([][]float64, len(learn)), make([]float64, len(learn))
	for i := range learn {
		x[i], y[i] = learn[i].moved(), learn[i].next-learn[i].last
	}
	beta = leastSquares(t, x, y, nil, 1)
	for i := range learn {
		x[i] = learn[i].columns(dot(beta, learn[i].moved()) + learn[i].last)
		y[i] = outsideOf(learn[i].next)
	}
	chance = make([]float64, len(x[0]))
	for range 12 { // Newton's steps, as weighted least squares
		weights, work := make([]float64, len(x)), make([]float64, len(x))
		for i := range x {
			eta := dot(chance, x[i])
			p := 1 / (1 + math.Exp(-eta))
			weights[i] = math.Max(p*(1-p), 1e-6)
			work[i] = eta + (y[i]-p)/weights[i]
		}
		chance = leastSquares(t, x, work, weights, 1)
	}
	return beta, chance
}

// outsideOf is 1 for a value found outside the limits.
func outsideOf(points float64) float64 {
	if math.Abs(points) > worlds.ActionPoints+worlds.Step/4 {
		return 1
	}
	return 0
}

// leastSquares solves for the coefficients, each drawn to nothing by as much as
// ridge observations of size 1 would.
func leastSquares(t testing.TB, x [][]float64, y, weights []float64, ridge float64) []float64 {
	t.Helper()
	n := len(x[0])
	a, b := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i, row := range x {
		w := 1.0
		if weights != nil {
			w = weights[i]
		}
		a.SymRankOne(a, w, mat.NewVecDense(n, row))
		b.AddScaledVec(b, w*y[i], mat.NewVecDense(n, row))
	}
	for k := range n {
		a.SetSym(k, k, a.At(k, k)+ridge)
	}
	var c mat.Cholesky
	require.True(t, c.Factorize(a))
	out := mat.NewVecDense(n, nil)
	require.NoError(t, c.SolveVecTo(out, b))
	return out.RawVector().Data
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

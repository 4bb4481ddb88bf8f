package hindsight

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// learned are the two regressions, learned from what was known at an origin.
type learned struct {
	controls []judge.Control
	rates    []float64  // ordinary regression: points a year of the interval's columns
	errSD    [2]float64 // of a change: sqrt(a + b years)
	logit    []float64
}

// learn fits the regressions on the past of an origin alone: the one on all
// intervals so far, the other on the horizon before the origin, whose outcomes
// were known by then.
func learn(histories []*judge.History, d day.Day, horizonDays int32, rules *judge.Config) *learned {
	l := &learned{}
	seen := map[judge.Control]bool{}
	for _, h := range histories {
		seen[h.Unit.Control] = true
	}
	for c := range seen {
		l.controls = append(l.controls, c)
	}
	slices.Sort(l.controls)
	var x, lx [][]float64
	var y, ly []float64
	var years []float64
	for _, h := range histories {
		for _, t := range h.Targets {
			p := pastOf(h, t.Fire, d, rules)
			for _, s := range p.steps {
				dt := float64(s.until-s.from) / daysPerYear
				x, y, years = append(x, l.rateColumns(&p, dt)), append(y, s.now-s.was), append(years, dt)
			}
		}
	}
	l.rates = leastSquares(x, y)
	l.errors(x, y, years)
	for _, h := range histories {
		for _, t := range h.Targets {
			now := pastOf(h, t.Fire, d, rules)
			for _, s := range now.steps {
				if s.until <= d-day.Day(horizonDays) {
					continue
				}
				then := pastOf(h, t.Fire, max(s.from, d-day.Day(horizonDays)), rules)
				side := then.band.Side(s.now)
				if side == judge.Unknown {
					continue
				}
				out := 0.0
				if side != judge.Within {
					out = 1
				}
				lx, ly = append(lx, l.features(&then, s.until)), append(ly, out)
			}
		}
	}
	l.logit = logistic(lx, ly)
	return l
}

// rateColumns are the interval's length, alone and times vent, age and controls.
func (l *learned) rateColumns(p *past, dt float64) []float64 {
	out := []float64{dt, dt * p.vent, dt * p.age}
	for i, c := range l.controls {
		if i == 0 {
			continue
		}
		v := 0.0
		if c == p.control {
			v = dt
		}
		out = append(out, v, v*p.vent)
	}
	return out
}

// errors fits the spread of a change: at once, and growing with time.
func (l *learned) errors(x [][]float64, y, years []float64) {
	if len(y) == 0 || l.rates == nil {
		l.errSD = [2]float64{0.02, 0.02}
		return
	}
	design, sq := make([][]float64, len(y)), make([]float64, len(y))
	for i := range y {
		r := y[i] - dot(l.rates, x[i])
		design[i], sq[i] = []float64{1, years[i]}, r*r
	}
	v := leastSquares(design, sq)
	if v == nil || v[0] <= 0 || v[1] < 0 {
		sum := 0.0
		for _, s := range sq {
			sum += s
		}
		v = []float64{sum / float64(len(sq)), 0}
	}
	l.errSD = [2]float64{v[0], v[1]}
}

// expected is the ordinary regression's deviation on a day, and its spread.
func (l *learned) expected(p *past, day day.Day) (points, sd float64) {
	dt := p.since(day)
	points = p.last
	if l.rates != nil {
		points += dot(l.rates, l.rateColumns(p, dt))
	}
	return points, math.Sqrt(l.errSD[0] + l.errSD[1]*dt)
}

// features are what a planner would look at: where it stood, how long ago, where
// its own line and its kind's drift lead, its habits, its kind.
func (l *learned) features(p *past, day day.Day) []float64 {
	dt := p.since(day)
	ahead, sd := l.expected(p, day)
	out := []float64{
		1, p.over(p.last), p.over(ahead), p.over(ahead) * p.over(ahead), p.over(p.last + p.slope*math.Min(dt, 3)), math.Min(dt, 5), p.abs,
		math.Min(p.founds, 5), p.age / 10, p.vent, math.Abs(p.slope), l.outside(p, ahead, sd, 0),
	}
	for i, c := range l.controls {
		if i > 0 {
			v := 0.0
			if c == p.control {
				v = 1
			}
			out = append(out, v, v*dt)
		}
	}
	return out
}

// outside is the normal chance beyond the band, a step shown in allowed for.
func (l *learned) outside(p *past, points, sd, step float64) float64 {
	chance := 0.0
	n := distuv.Normal{Mu: points, Sigma: math.Max(sd, 1e-6)}
	if p.band.Rich > 0 {
		chance += 1 - n.CDF(p.band.Rich+step/2)
	}
	if p.band.Lean < 0 {
		chance += n.CDF(p.band.Lean - step/2)
	}
	return chance
}

// fill gives a case what the simple rules say of it; an order looks at the planned
// day, as the model's does, or at the origin where that has passed.
func (l *learned) fill(c *Case, p past, ahead day.Day) {
	c.Order[DaysSince] = 1e4
	if p.visit != day.None {
		c.Order[DaysSince] = float64(p.day - p.visit)
	}
	c.Order[LastDeviation] = p.over(p.last)
	c.Order[StraightLine] = p.over(p.last + p.slope*p.since(ahead))
	points, sd := l.expected(&p, ahead)
	c.Order[Intervals] = l.outside(&p, points, sd, 0)
	c.Order[Logistic] = dot(l.logit, l.features(&p, ahead))
	points, sd = l.expected(&p, c.VisitDay)
	c.Chance[Intervals] = l.outside(&p, points, sd, c.StepPoints)
	if l.logit != nil {
		c.Chance[Logistic] = 1 / (1 + math.Exp(-dot(l.logit, l.features(&p, c.VisitDay))))
	}
}

// dot weighs columns by what was learned: 0 where nothing could be.
func dot(learned, columns []float64) (sum float64) {
	for i := range learned {
		sum += learned[i] * columns[i]
	}
	return sum
}

// ridge keeps columns apart that a small fleet cannot tell apart.
const ridge = 1e-3

// leastSquares solves the normal equations with a little ridge; nil without rows.
func leastSquares(x [][]float64, y []float64) []float64 {
	return weighted(x, func(i int) (w, z float64) { return 1, y[i] })
}

// weighted solves X'WX b = X'Wz with a little ridge.
func weighted(x [][]float64, of func(i int) (w, z float64)) []float64 {
	if len(x) == 0 {
		return nil
	}
	n := len(x[0])
	a, b := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i, row := range x {
		w, z := of(i)
		for j, v := range row {
			if v == 0 {
				continue
			}
			b.SetVec(j, b.AtVec(j)+w*v*z)
			for k := j; k < n; k++ {
				a.SetSym(j, k, a.At(j, k)+w*v*row[k])
			}
		}
	}
	for j := range n {
		a.SetSym(j, j, a.At(j, j)+ridge)
	}
	var c mat.Cholesky
	if !c.Factorize(a) {
		return nil
	}
	out := mat.NewVecDense(n, nil)
	if c.SolveVecTo(out, b) != nil {
		return nil
	}
	return out.RawVector().Data
}

// logistic fits by Newton's steps (iteratively reweighted least squares).
func logistic(x [][]float64, y []float64) []float64 {
	if len(x) == 0 {
		return nil
	}
	beta := make([]float64, len(x[0]))
	for range 25 {
		next := weighted(x, func(i int) (w, z float64) {
			eta := math.Max(-20, math.Min(20, dot(beta, x[i])))
			p := 1 / (1 + math.Exp(-eta))
			w = math.Max(p*(1-p), 1e-6)
			return w, eta + (y[i]-p)/w
		})
		if next == nil {
			return beta
		}
		moved := 0.0
		for j := range beta {
			moved = math.Max(moved, math.Abs(next[j]-beta[j]))
		}
		beta = next
		if moved < 1e-8 {
			break
		}
	}
	return beta
}

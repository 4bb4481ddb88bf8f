package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/mat"
)

// dense is the model on readings, not differences: one fixed intercept a
// segment, the full covariance of all readings, no shortcut. It is written from
// the model's equations and shares nothing with the package but the placing of
// readings.
type dense struct {
	f    *Fleet
	th   Theta
	unit []int
	fix  int // fixed effects: segments, then used columns
	segs int
	x    *mat.Dense
	vi   *mat.Dense
	y    *mat.VecDense
	xvx  *mat.Dense // inverse of X'V^-1X
	all  *mat.VecDense
	s2   float64
	crit float64
}

func denseOf(f *Fleet, th Theta) *dense {
	n := len(f.t)
	d := &dense{f: f, th: th, unit: make([]int, n)}
	seg := make([]int, n)
	for u := range f.in.Series {
		for r := f.start[u]; r < f.start[u+1]; r++ {
			d.unit[r] = u
			if r == f.start[u] || f.seg[r] != f.seg[r-1] {
				d.segs++
			}
			seg[r] = d.segs - 1
		}
	}
	d.fix = d.segs + len(f.used)
	d.x, d.y = mat.NewDense(n, d.fix, nil), mat.NewVecDense(n, f.y)
	v := mat.NewDense(n, n, nil)
	for i := range n {
		d.x.Set(i, seg[i], 1)
		for k, x := range d.covariates(i) {
			d.x.Set(i, d.segs+k, x)
		}
		for j := range n {
			v.Set(i, j, d.cov(i, j))
		}
	}
	d.vi = mat.NewDense(n, n, nil)
	if err := d.vi.Inverse(v); err != nil {
		panic(err)
	}
	var vix, xvx mat.Dense
	vix.Mul(d.vi, d.x)
	xvx.Mul(d.x.T(), &vix)
	d.xvx = mat.NewDense(d.fix, d.fix, nil)
	if err := d.xvx.Inverse(&xvx); err != nil {
		panic(err)
	}
	var xvy, res, vr mat.VecDense
	xvy.MulVec(vix.T(), d.y)
	d.all = mat.NewVecDense(d.fix, nil)
	d.all.MulVec(d.xvx, &xvy)
	res.MulVec(d.x, d.all)
	res.SubVec(d.y, &res)
	vr.MulVec(d.vi, &res)
	dof := float64(n - d.fix)
	d.s2 = mat.Dot(&res, &vr) / dof
	logV, _ := mat.LogDet(v)
	logX, _ := mat.LogDet(&xvx)
	d.crit = logV + logX + dof*(1+math.Log(2*math.Pi*d.s2))
	return d
}

// covariates of reading i on their own scale: columns of the fit.
func (d *dense) covariates(i int) []float64 {
	var out []float64
	for _, col := range d.f.used {
		out = append(out, d.f.f[i*d.f.stride+col]*d.f.scale[col])
	}
	return out
}

// cov is the covariance of two readings over sigma^2, their noise included.
func (d *dense) cov(i, j int) float64 {
	c := d.shared(i, d.unit[j], d.f.t[j], d.f.an[j], d.f.per[j])
	if i == j {
		c += d.f.w[i]
		if d.f.an[i] < 0 {
			c += d.th.B1 * d.th.B1
		}
		if d.f.per[i] < 0 {
			c += d.th.B2 * d.th.B2
		}
	}
	return c
}

// shared is the covariance of reading i with another at (unit, t, analyzer,
// period) without its noise.
func (d *dense) shared(i, unit int, t float64, an, per int32) float64 {
	c := 0.0
	if d.unit[i] == unit {
		c = d.th.Q*d.th.Q*math.Min(d.f.t[i], t) + d.th.Tau*d.th.Tau*d.f.t[i]*t
	}
	if d.f.an[i] == an && an >= 0 {
		c += d.th.B1 * d.th.B1
	}
	if d.f.per[i] == per && per >= 0 {
		c += d.th.B2 * d.th.B2
	}
	return c
}

// bias is the BLUP of an analyzer column and its posterior sd.
func (d *dense) bias(has func(i int) bool, th float64) (b, sd float64) {
	n := len(d.f.t)
	z := mat.NewVecDense(n, nil)
	for i := range n {
		if has(i) {
			z.SetVec(i, th*th)
		}
	}
	mean, used := d.predict(z, mat.NewVecDense(d.fix, nil))
	return mean, math.Sqrt(d.s2 * (th*th + used))
}

// predict is universal kriging: the mean of a quantity with covariance k to the
// readings and fixed part x, and its variance less that of the quantity itself,
// over sigma^2.
func (d *dense) predict(k, x *mat.VecDense) (mean, variance float64) {
	var res, vr, vk, xvk, g, xg mat.VecDense
	res.MulVec(d.x, d.all)
	res.SubVec(d.y, &res)
	vr.MulVec(d.vi, &res)
	vk.MulVec(d.vi, k)
	xvk.MulVec(d.x.T(), &vk)
	g.SubVec(x, &xvk)
	xg.MulVec(d.xvx, &g)
	return mat.Dot(x, d.all) + mat.Dot(k, &vr), -mat.Dot(k, &vk) + mat.Dot(&g, &xg)
}

// next predicts a reading and the state of a unit in the segment of reading L.
func (d *dense) next(L int, p Point, cov []float64) (reading, readVar, state, stateVar float64) {
	n := len(d.f.t)
	k, x := mat.NewVecDense(n, nil), mat.NewVecDense(d.fix, nil)
	only := mat.NewVecDense(n, nil)
	for i := range n {
		k.SetVec(i, d.shared(i, d.unit[L], p.T, int32(p.Analyzer), int32(p.Period)))
		only.SetVec(i, d.shared(i, d.unit[L], p.T, -1, -1))
	}
	for s := range d.segs {
		x.SetVec(s, d.x.At(L, s))
	}
	for i, c := range cov {
		x.SetVec(d.segs+i, c)
	}
	self := d.th.Q*d.th.Q*p.T + d.th.Tau*d.th.Tau*p.T*p.T
	reading, readVar = d.predict(k, x)
	state, stateVar = d.predict(only, x)
	readVar += self + 1 + d.th.B1*d.th.B1 + d.th.B2*d.th.B2
	return reading, d.s2 * readVar, state, d.s2 * (stateVar + self)
}

// worldRows invents a small fleet with both analyzer parts, unknown analyzers,
// unequal weights, one-reading segments and repeated times.
func worldRows(g *rand.Rand) []row {
	num := func(lo, hi float64) float64 { return lo + (hi-lo)*g.Float64() }
	var rows []row
	for u := range 4 + g.IntN(4) {
		rate := []float64{1, num(0, 2), num(0, 9)}
		at := num(0, 3)
		for s := range 2 + g.IntN(3) {
			for range 1 + g.IntN(4) {
				r := row{
					unit: fmt.Sprint(u), segment: fmt.Sprint(s), t: at, y: num(-0.5, 0.5),
					analyzer: g.IntN(6) - 1, period: -1,
					level: []float64{num(-15, 15)}, w: 1, rate: rate, grow: []float64{0, 0, 1},
				}
				if r.analyzer >= 0 && g.IntN(6) > 0 {
					r.period = 2*r.analyzer + g.IntN(2)
				}
				if g.IntN(4) == 0 {
					r.w = num(0.5, 4)
				}
				rows = append(rows, r)
				if g.IntN(8) > 0 {
					at += num(0.05, 2)
				}
			}
		}
	}
	return rows
}

func TestAgreesWithBruteForce(t *testing.T) {
	for seed := range uint64(150) {
		g := rand.New(rand.NewPCG(seed, 1))
		f := fleetOf(t, fixtureDesign, worldRows(g))
		if f.Counts().Differences < 9 {
			continue
		}
		ratio := func() float64 { return float64(min(1, g.IntN(5))) * (0.2 + 1.8*g.Float64()) }
		th := Theta{ratio(), ratio(), ratio(), ratio()}
		fit := evaluate(t, f, th)
		d := denseOf(f, th)
		near := func(want, got float64) {
			t.Helper()
			assert.InDelta(t, want, got, 1e-8*(1+math.Abs(want)), "seed %d", seed)
		}
		near(d.crit, fit.Crit)
		near(math.Sqrt(d.s2), fit.Sigma)
		for k, col := range f.used {
			near(d.all.AtVec(d.segs+k), fit.Coefficients[col].Value)
			near(math.Sqrt(d.s2*d.xvx.At(d.segs+k, d.segs+k)), fit.Coefficients[col].SE)
		}
		for a, b := range fit.Analyzers {
			value, sd := d.bias(func(i int) bool { return f.an[i] == int32(a) }, th.B1)
			near(value, b.Value)
			near(sd, b.SD)
		}
		for a, b := range fit.Periods {
			value, sd := d.bias(func(i int) bool { return f.per[i] == int32(a) }, th.B2)
			near(value, b.Value)
			near(sd, b.SD)
		}
		checkPredictions(t, g, fit, d)
		if t.Failed() {
			return
		}
	}
}

func checkPredictions(t *testing.T, g *rand.Rand, fit *Fit, d *dense) {
	f := fit.fleet
	p := fit.Predictor()
	for u := range f.in.Series {
		L := int(f.start[u+1]) - 1
		point := Point{
			T: f.t[L] + 3*g.Float64(), Level: []float64{20*g.Float64() - 10},
			Lo: -0.2, Hi: 0.2, Analyzer: g.IntN(f.in.Analyzers+1) - 1, Period: -1,
		}
		if point.Analyzer >= 0 {
			point.Period = g.IntN(f.in.Periods+1) - 1
		}
		full := make([]float64, f.stride)
		copy(full, point.Level)
		integral{f.in.Series[u].Runs, f.comps}.fitted(point.T, full[1:])
		var cov []float64
		for _, col := range f.used {
			cov = append(cov, full[col])
		}
		reading, readVar, state, stateVar := d.next(L, point, cov)
		got := p.Predictive(u).At(point)
		assert.InDelta(t, reading, got.Reading.Mean, 1e-8)
		assert.InDelta(t, state, got.State.Mean, 1e-8)
		assert.InDelta(t, readVar, got.Reading.SD*got.Reading.SD, 1e-8)
		assert.InDelta(t, stateVar, got.State.SD*got.State.SD, 1e-8)
		assert.InDelta(t, got.State.Mean, got.Parts.Sum(), 1e-12)
	}
}

package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// scored are fleets of every kind of part that the slope is made of.
var scored = []struct {
	name    string
	options EvaluateOptions
	make    func(in *Input)
}{
	{"sound", EvaluateOptions{}, func(*Input) {}},
	{"priors", EvaluateOptions{PriorSigma: 0.065}, func(*Input) {}},
	{"workers", EvaluateOptions{Workers: 3}, func(*Input) {}},
	{"analyzers not known", EvaluateOptions{}, func(in *Input) {
		for u := range in.Series {
			for v := range in.Series[u].Visits {
				vis := &in.Series[u].Visits[v]
				for r := range vis.Readings {
					switch (u + v) % 5 {
					case 0:
						vis.Readings[r].Analyzer, vis.Readings[r].Period = -1, -1
					case 2:
						vis.Readings[r].Period = -1
					}
				}
			}
		}
	}},
	{"certificates", EvaluateOptions{}, func(in *Input) {
		for p := range in.Periods {
			if p%3 == 0 {
				in.Certificates = append(in.Certificates, Certificate{
					Analyzer: p / 8, Period: p, Level: []float64{0}, Y: 0.02 * float64(p%5-2),
					SD: 0.03,
				})
			}
		}
	}},
	{"no periods", EvaluateOptions{}, func(in *Input) { *in = oneBlock(*in) }},
	{"no covariates", EvaluateOptions{}, func(in *Input) {
		in.Design = Design{}
		for u := range in.Series {
			in.Series[u].Runs = nil
			for v := range in.Series[u].Visits {
				vis := &in.Series[u].Visits[v]
				vis.Level = nil
				for r := range vis.Readings {
					vis.Readings[r].Level = nil
				}
			}
		}
	}},
	{"readings of unequal noise", EvaluateOptions{}, func(in *Input) {
		for u := range in.Series {
			for v := range in.Series[u].Visits {
				for r := range in.Series[u].Visits[v].Readings {
					in.Series[u].Visits[v].Readings[r].W = 1 + float64((u+v)%3)
				}
			}
		}
	}},
}

// slopeAt is the slope in the ratios of variances that are not zero.
func slopeAt(t *testing.T, f *Fleet, th Theta, o EvaluateOptions) (free []int, slope []float64, information []float64) {
	t.Helper()
	f, o, err := f.aligned(o)
	require.NoError(t, err)
	s, err := evaluation{f, th, o}.profile(ctx, &space{})
	require.NoError(t, err)
	for k, x := range th.array() {
		if x != 0 {
			free = append(free, k)
		}
	}
	slope, h, err := s.score(ctx, free)
	require.NoError(t, err)
	for i := range free {
		for j := range free {
			information = append(information, h.At(i, j))
		}
	}
	return free, slope, information
}

// differenced is the slope in the square of ratio k from central differences of four
// points (error of the fourth order; Abramowitz and Stegun 1964, 25.3.6, from memory).
func differenced(t *testing.T, f *Fleet, th Theta, k int, o EvaluateOptions) float64 {
	t.Helper()
	at := th.array()
	phi := at[k] * at[k]
	step := phi / 200
	crit := func(times float64) float64 {
		moved := at
		moved[k] = math.Sqrt(phi + times*step)
		c, _, err := f.Criterion(ctx, thetaOf(moved), o)
		require.NoError(t, err)
		return c
	}
	return (crit(-2) - 8*crit(-1) + 8*crit(1) - crit(2)) / (12 * step)
}

// The slope is that of the criterion, by central differences to 1e-6 of the largest
// term it is the difference of, at ratios of every size and at one that is zero.
func TestSlopeIsThatOfTheCriterion(t *testing.T) {
	for _, c := range scored {
		t.Run(c.name, func(t *testing.T) {
			in := invented(60, 4, 31)
			c.make(&in)
			f, err := NewFleet(in)
			require.NoError(t, err)
			g := rand.New(rand.NewPCG(5, 7))
			size := func() float64 { return math.Exp(3*g.Float64() - 1.5) }
			for round := range 6 {
				th := Theta{size(), size(), size(), size()}
				at := th.array()
				if round > 1 {
					at[round-2] = 0
				}
				if f.in.Periods == 0 {
					at[3] = 0
				}
				th = thetaOf(at)
				free, slope, _ := slopeAt(t, f, th, c.options)
				for i, k := range free {
					want := differenced(t, f, th, k, c.options)
					assert.InDelta(t, want, slope[i], 1e-6*(1+math.Abs(want)), "ratio %d of %v", k, th)
				}
			}
		})
	}
}

// Slope and average information are those of explicit matrices over the readings, with an
// intercept a segment, V_k from the covariances of two ratios.
func TestInformationAgainstExplicitMatrices(t *testing.T) {
	for _, kind := range []int{0, 3, 5, 6, 7} {
		c := scored[kind]
		t.Run(c.name, func(t *testing.T) {
			in := invented(7, 3, 12)
			c.make(&in)
			f, err := NewFleet(in)
			require.NoError(t, err)
			th := Theta{1.3, 0.8, 0.6, 0.9}
			if f.in.Periods == 0 {
				th.B2 = 0
			}
			free, slope, information := slopeAt(t, f, th, c.options)
			d := denseOf(f, th)
			n := len(f.t)
			var vix, p0 mat.Dense
			vix.Mul(d.vi, d.x)
			p0.Product(&vix, d.xvx, vix.T())
			p0.Sub(d.vi, &p0)
			var e mat.VecDense
			e.MulVec(&p0, d.y)
			at, dof := th.array(), float64(n-d.fix)
			moved := make([]*mat.VecDense, len(free))
			square := make([]float64, len(free))
			for i, k := range free {
				more := at
				more[k] = math.Sqrt(at[k]*at[k] + 1)
				up, vk := &dense{f: f, th: thetaOf(more), unit: d.unit}, mat.NewDense(n, n, nil)
				for r := range n {
					for s := range n {
						vk.Set(r, s, up.cov(r, s)-d.cov(r, s))
					}
				}
				moved[i] = mat.NewVecDense(n, nil)
				moved[i].MulVec(vk, &e)
				square[i] = mat.Dot(&e, moved[i])
				var pv mat.Dense
				pv.Mul(&p0, vk)
				assert.InDelta(t, mat.Trace(&pv)-square[i]/d.s2, slope[i], 1e-7*(1+math.Abs(slope[i])), "ratio %d", k)
			}
			for i := range free {
				var pf mat.VecDense
				pf.MulVec(&p0, moved[i])
				for j := range free {
					want := mat.Dot(moved[j], &pf)/d.s2 - square[i]*square[j]/(d.s2*d.s2*dof)
					assert.InDelta(t, want, information[i*len(free)+j], 1e-7*(1+math.Abs(want)), "ratios %d and %d", free[i], free[j])
				}
			}
		})
	}
}

package study

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// clusterForm holds, for q contrasts, what the variance of their estimated
// covariance is made of: w_sg = A_g X_g M c_s and X_g' w_sg. The working model has
// independent errors of one size.
type clusterForm struct {
	m    *mat.SymDense
	w    [][]*mat.VecDense // by cluster and contrast: w_sg
	xw   [][]*mat.VecDense // X_g' w_sg
	mxw  [][]*mat.VecDense // M X_g' w_sg
	sums map[[2]int]*mat.Dense
}

// form prepares contrasts, given as weights of the coefficients.
func (r *Regression) form(contrasts [][]float64) *clusterForm {
	k := len(r.Beta)
	f := &clusterForm{m: &r.m, sums: map[[2]int]*mat.Dense{}}
	var mc []*mat.VecDense
	for _, c := range contrasts {
		v := mat.NewVecDense(k, nil)
		v.MulVec(&r.m, mat.NewVecDense(k, c))
		mc = append(mc, v)
	}
	for _, p := range r.parts {
		n, _ := p.x.Dims()
		var w, xw, mxw []*mat.VecDense
		for _, v := range mc {
			a, b, c := mat.NewVecDense(n, nil), mat.NewVecDense(k, nil), mat.NewVecDense(k, nil)
			a.MulVec(p.ax, v)
			b.MulVec(p.x.T(), a)
			c.MulVec(&r.m, b)
			w, xw, mxw = append(w, a), append(xw, b), append(mxw, c)
		}
		f.w, f.xw, f.mxw = append(f.w, w), append(f.xw, xw), append(f.mxw, mxw)
	}
	return f
}

// own is w_sg' w_tg.
func (f *clusterForm) own(g, s, t int) float64 { return mat.Dot(f.w[g][s], f.w[g][t]) }

// across is w_sg' H_gh w_th.
func (f *clusterForm) across(g, s, h, t int) float64 { return mat.Dot(f.mxw[g][s], f.xw[h][t]) }

// sum is M times the sum over clusters of (X_g' w_sg)(X_g' w_tg)'.
func (f *clusterForm) sum(s, t int) *mat.Dense {
	key := [2]int{s, t}
	if f.sums[key] == nil {
		k := f.m.SymmetricDim()
		total := mat.NewDense(k, k, nil)
		for g := range f.xw {
			total.RankOne(total, 1, f.xw[g][s], f.xw[g][t])
		}
		out := &mat.Dense{}
		out.Mul(f.m, total)
		f.sums[key] = out
	}
	return f.sums[key]
}

// products is the sum over pairs of clusters g, h of (w_sg' (I-H)_gh w_th)(w_ug'
// (I-H)_gh w_vh), without a loop over pairs.
func (f *clusterForm) products(s, t, u, v int) float64 {
	total := 0.0
	for g := range f.w {
		st, uv := f.own(g, s, t), f.own(g, u, v)
		total += st*uv - st*f.across(g, u, g, v) - uv*f.across(g, s, g, t)
	}
	// sum over g, h of a_sg'M a_th a_uv'..: trace(M S_us' M S_tv)
	var p mat.Dense
	p.Mul(f.sum(u, s), f.sum(t, v))
	return total + mat.Trace(&p)
}

// Contrast is a weighted sum of coefficients with its error.
type Contrast struct {
	Value, SE, DF float64
	Low, High     float64 // 95 % interval
}

// quantile975 is the place of the upper end of a 95 % interval.
const quantile975 = 0.975

// Coefficient returns one coefficient with its 95 % interval.
func (r *Regression) Coefficient(i int) Contrast {
	return contrastOf(r.Beta[i], r.SE[i], r.DF[i])
}

// combine returns the sum of all coefficients times the weights given, with its
// own degrees of freedom.
func (r *Regression) combine(weights []float64) Contrast {
	k := len(r.Beta)
	c := mat.NewVecDense(k, weights)
	return contrastOf(mat.Dot(c, mat.NewVecDense(k, r.Beta)), math.Sqrt(mat.Inner(c, r.Covariance, c)), r.degrees(weights))
}

// contrastOf makes the interval by Student's t; NaN where df is.
func contrastOf(value, se, df float64) Contrast {
	half := math.NaN()
	if df > 0 {
		half = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(quantile975) * se
	}
	return Contrast{value, se, df, value - half, value + half}
}

// Scaled returns the contrast times a factor.
func (c Contrast) Scaled(by float64) Contrast {
	low, high := c.Low*by, c.High*by
	return Contrast{c.Value * by, c.SE * math.Abs(by), c.DF, math.Min(low, high), math.Max(low, high)}
}

// Equivalence is the result of two one-sided tests against bounds.
type Equivalence struct {
	Bound     float64
	P         float64 // the larger of the two
	Low, High float64 // 90 % interval: inside the bounds where P < 0.05
	Holds     bool
}

// equivalent tests whether a contrast lies between -bound and bound, by two
// one-sided tests of 5 % each (Schuirmann, J. Pharmacokinet. Biopharm. 15, 1987;
// from memory). That it does not hold says nothing about an effect.
func (c Contrast) equivalent(bound float64) Equivalence {
	t := c.distribution()
	const level, quantile95 = 0.05, 0.95
	p := math.Max(1-t.CDF((c.Value+bound)/c.SE), t.CDF((c.Value-bound)/c.SE))
	half := t.Quantile(quantile95) * c.SE
	return Equivalence{Bound: bound, P: p, Low: c.Value - half, High: c.Value + half, Holds: p < level}
}

// Joint is a test that several coefficients are all zero.
type Joint struct{ F, DF1, DF2, P float64 }

// wald tests whether all named coefficients are zero, by Hotelling's T squared
// with estimated degrees of freedom eta: the covariance estimate is taken as a
// Wishart matrix whose total variance is the one it has under the working model,
//
//	eta = q (q+1) / sum over s, t of Var(D_st)
//
// D the estimate freed of its mean; then F (eta-q+1)/eta has q and eta-q+1 degrees of
// freedom ("HTZ" of Pustejovsky and Tipton, J. Bus. Econ. Stat. 36, 2018, after Zhang;
// from memory, compared with their implementation in the tests). For one coefficient it is
// the square of t by Satterthwaite.
func (r *Regression) wald(coefficients []int) (Joint, error) {
	nan := math.NaN()
	none := Joint{nan, nan, nan, nan}
	q := len(coefficients)
	v, working, b := mat.NewSymDense(q, nil), mat.NewSymDense(q, nil), mat.NewVecDense(q, nil)
	for a, i := range coefficients {
		b.SetVec(a, r.Beta[i])
		for c := a; c < q; c++ {
			v.SetSym(a, c, r.Covariance.At(i, coefficients[c]))
			working.SetSym(a, c, r.m.At(i, coefficients[c]))
		}
	}
	var root mat.Cholesky
	var s mat.VecDense
	if !root.Factorize(v) || root.SolveVecTo(&s, b) != nil {
		return none, fmt.Errorf("test of %d coefficients: their errors are not independent", q)
	}
	contrasts, err := r.whitened(coefficients, working)
	if err != nil {
		return none, err
	}
	f, variance := r.form(contrasts), 0.0
	for s := range q {
		for t := range q {
			variance += f.products(s, s, t, t) + f.products(s, t, t, s)
		}
	}
	eta := float64(q*(q+1)) / variance
	left := eta - float64(q) + 1
	if !(left > 0) {
		return none, fmt.Errorf("test of %d coefficients: %.1f degrees of freedom", q, eta)
	}
	j := Joint{F: mat.Dot(b, &s) / float64(q) * left / eta, DF1: float64(q), DF2: left}
	j.P = 1 - distuv.F{D1: j.DF1, D2: j.DF2}.CDF(j.F)
	return j, nil
}

// whitened returns contrasts of the coefficients that the working model gives
// covariance one: the rows of L^-1 C, L L' the working covariance.
func (r *Regression) whitened(coefficients []int, working *mat.SymDense) ([][]float64, error) {
	q := len(coefficients)
	var root mat.Cholesky
	var l, inverse mat.TriDense
	if !root.Factorize(working) {
		return nil, fmt.Errorf("test of %d coefficients: %w", q, ErrAliased)
	}
	root.LTo(&l)
	if err := inverse.InverseTri(&l); err != nil {
		return nil, fmt.Errorf("test of %d coefficients: %w", q, ErrAliased)
	}
	out := make([][]float64, q)
	for s := range q {
		out[s] = make([]float64, len(r.Beta))
		for a, i := range coefficients {
			out[s][i] = inverse.At(s, a)
		}
	}
	return out, nil
}

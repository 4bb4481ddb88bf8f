package study

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// Mixed is a linear mixed model with independent random coefficients by cluster,
//
//	y = X beta + sum over k of b_k(cluster) z_k + e
//
// b_k normal with standard deviation SD[k], e with ResidualSD, by restricted maximum
// likelihood. The columns z_k are columns of X.
type Mixed struct {
	Beta, SE   []float64
	SD         []float64 // of the random coefficients
	ResidualSD float64
	Criterion  float64 // minus twice the restricted log-likelihood
}

// crossProducts are [X Z y]'[X Z y] of one cluster.
type crossProducts struct{ xx, xz, zz, xy, zy *mat.Dense }

// mixedProblem is what an evaluation needs.
type mixedProblem struct {
	clusters []crossProducts
	n, p, q  int
	yy       float64
}

// fitMixed fits the data with random coefficients for the columns named.
func fitMixed(d Data, random []int) (*Mixed, error) {
	groups, _ := groupsOf(d.Cluster)
	m := &mixedProblem{n: len(d.Y), p: len(d.Names), q: len(random)}
	if m.n <= m.p {
		return nil, fmt.Errorf("%d rows, %d coefficients: %w", m.n, m.p, ErrFewRows)
	}
	for _, rows := range groups {
		x, z, y := mat.NewDense(len(rows), m.p, nil), mat.NewDense(len(rows), m.q, nil), mat.NewDense(len(rows), 1, nil)
		for a, i := range rows {
			x.SetRow(a, d.X[i])
			for k, c := range random {
				z.Set(a, k, d.X[i][c])
			}
			y.Set(a, 0, d.Y[i])
			m.yy += d.Y[i] * d.Y[i]
		}
		one := crossProducts{&mat.Dense{}, &mat.Dense{}, &mat.Dense{}, &mat.Dense{}, &mat.Dense{}}
		one.xx.Mul(x.T(), x)
		one.xz.Mul(x.T(), z)
		one.zz.Mul(z.T(), z)
		one.xy.Mul(x.T(), y)
		one.zy.Mul(z.T(), y)
		m.clusters = append(m.clusters, one)
	}
	best, err := m.search()
	if err != nil {
		return nil, err
	}
	return m.at(best)
}

// search finds the ratios of the random standard deviations to the residual one,
// from two starts; each may end at zero.
func (m *mixedProblem) search() ([]float64, error) {
	criterion := func(theta []float64) float64 {
		fit, err := m.at(theta)
		if err != nil {
			return math.Inf(1)
		}
		return fit.Criterion
	}
	var best []float64
	lowest := math.Inf(1)
	for _, start := range []float64{1, 0.2} {
		x := make([]float64, m.q)
		for i := range x {
			x[i] = start
		}
		set := optimize.Settings{FuncEvaluations: 600, Converger: &optimize.FunctionConverge{Absolute: 1e-9, Iterations: 40}}
		result, err := optimize.Minimize(optimize.Problem{Func: criterion}, x, &set, &optimize.NelderMead{SimplexSize: 0.4})
		if result != nil && result.F < lowest {
			lowest, best = result.F, result.X
		} else if err != nil && best == nil {
			return nil, fmt.Errorf("mixed model: %w", err)
		}
	}
	for k := range best { // a ratio of nought is on the edge: try it outright
		edge := append([]float64(nil), best...)
		edge[k] = 0
		if f := criterion(edge); f <= lowest+1e-6 {
			best, lowest = edge, f
		}
	}
	if best == nil || math.IsInf(lowest, 1) {
		return nil, errors.New("mixed model: no ratio of variances can be evaluated")
	}
	return best, nil
}

// at evaluates the profiled restricted likelihood at ratios theta: with V = I + Z
// diag(theta^2) Z' by cluster,
//
//	sum log|V| + log|X'V^-1 X| + (n-p)(1 + log(2 pi rss/(n-p)))
func (m *mixedProblem) at(theta []float64) (*Mixed, error) {
	xvx, xvy := mat.NewDense(m.p, m.p, nil), mat.NewDense(m.p, 1, nil)
	yvy, logs := m.yy, 0.0
	for _, c := range m.clusters {
		// W = I + T Z'Z T, V^-1 = I - Z T W^-1 T Z'
		w := mat.NewSymDense(m.q, nil)
		for i := range m.q {
			for j := i; j < m.q; j++ {
				w.SetSym(i, j, theta[i]*theta[j]*c.zz.At(i, j))
			}
			w.SetSym(i, i, 1+w.At(i, i))
		}
		var root mat.Cholesky
		if !root.Factorize(w) {
			return nil, errors.New("mixed model: a variance is not positive")
		}
		logs += root.LogDet()
		tx, ty := mat.NewDense(m.q, m.p, nil), mat.NewDense(m.q, 1, nil)
		for i := range m.q {
			for j := range m.p {
				tx.Set(i, j, theta[i]*c.xz.At(j, i))
			}
			ty.Set(i, 0, theta[i]*c.zy.At(i, 0))
		}
		var sx, sy, a, b, e mat.Dense
		if root.SolveTo(&sx, tx) != nil || root.SolveTo(&sy, ty) != nil {
			return nil, errors.New("mixed model: a variance is not positive")
		}
		a.Mul(tx.T(), &sx)
		b.Mul(tx.T(), &sy)
		e.Mul(ty.T(), &sy)
		xvx.Add(xvx, c.xx)
		xvx.Sub(xvx, &a)
		xvy.Add(xvy, c.xy)
		xvy.Sub(xvy, &b)
		yvy -= e.At(0, 0)
	}
	return m.solve(theta, xvx, xvy, yvy, logs)
}

// solve makes the fit from the sums over clusters.
func (m *mixedProblem) solve(theta []float64, xvx, xvy *mat.Dense, yvy, logs float64) (*Mixed, error) {
	s := mat.NewSymDense(m.p, nil)
	for i := range m.p {
		for j := i; j < m.p; j++ {
			s.SetSym(i, j, (xvx.At(i, j)+xvx.At(j, i))/2)
		}
	}
	var root mat.Cholesky
	var beta mat.Dense
	var inverse mat.SymDense
	if !root.Factorize(s) || root.SolveTo(&beta, xvy) != nil || root.InverseTo(&inverse) != nil {
		return nil, fmt.Errorf("mixed model: %w", ErrAliased)
	}
	rss := yvy
	for i := range m.p {
		rss -= beta.At(i, 0) * xvy.At(i, 0)
	}
	free := float64(m.n - m.p)
	variance := rss / free
	if !(variance > 0) {
		return nil, errors.New("mixed model: nothing is left over")
	}
	out := &Mixed{ResidualSD: math.Sqrt(variance), Criterion: logs + root.LogDet() + free*(1+math.Log(2*math.Pi*variance))}
	for i := range m.p {
		out.Beta, out.SE = append(out.Beta, beta.At(i, 0)), append(out.SE, math.Sqrt(variance*inverse.At(i, i)))
	}
	for _, t := range theta {
		out.SD = append(out.SD, math.Abs(t)*out.ResidualSD)
	}
	return out, nil
}

package study

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Regression is a least-squares fit whose standard errors allow for readings of
// one cluster going together.
//
// The errors are the bias-reduced ones of linearization (CR2): the residuals of a
// cluster are set right by the inverse symmetric root of their part of I - H, with
// independent errors of one size as the working model. Each coefficient has its own
// degrees of freedom by Satterthwaite's approximation under the same model, so that
// few clusters, or a covariate that lives in few of them, give wide intervals (Bell
// and McCaffrey, Survey Methodology 28, 2002; from memory).
type Regression struct {
	Names      []string
	Beta       []float64
	SE, DF     []float64 // of each coefficient
	Covariance *mat.SymDense
	Residuals  []float64
	Fitted     []float64
	Leverage   []float64
	Rows       int
	Clusters   int
	ResidualSD float64

	root *mat.Cholesky // of X'X
}

// Errors of Regress.
var (
	ErrFewRows  = errors.New("fewer rows than coefficients")
	ErrClusters = errors.New("fewer than two clusters")
	ErrAliased  = errors.New("columns that repeat each other")
)

// Data is what a regression works on: a row of X and a cluster for each y.
type Data struct {
	Names   []string
	X       [][]float64
	Y       []float64
	Cluster []string
}

// Regress fits the data by least squares with errors clustered.
func Regress(d Data) (*Regression, error) {
	n, k := len(d.Y), len(d.Names)
	if n <= k {
		return nil, fmt.Errorf("%d rows, %d coefficients: %w", n, k, ErrFewRows)
	}
	x := mat.NewDense(n, k, nil)
	for i, row := range d.X {
		x.SetRow(i, row)
	}
	groups, _ := groupsOf(d.Cluster)
	if len(groups) < 2 {
		return nil, fmt.Errorf("%d: %w", len(groups), ErrClusters)
	}
	var xx mat.SymDense
	xx.SymOuterK(1, x.T())
	root := &mat.Cholesky{}
	const worst = 1e12 // condition number beyond which digits are lost
	if !root.Factorize(&xx) || root.Cond() > worst {
		return nil, fmt.Errorf("%v: %w", d.Names, ErrAliased)
	}
	y := mat.NewVecDense(n, d.Y)
	var xy, beta mat.VecDense
	xy.MulVec(x.T(), y)
	if err := root.SolveVecTo(&beta, &xy); err != nil {
		return nil, fmt.Errorf("%v: %w", d.Names, ErrAliased)
	}
	r := &Regression{Names: d.Names, Rows: n, Clusters: len(groups), root: root, Beta: beta.RawVector().Data}
	r.residuals(x, d.Y)
	if err := r.cluster(x, groups); err != nil {
		return nil, err
	}
	return r, nil
}

// groupsOf lists the rows of each cluster in order of first sight.
func groupsOf(clusters []string) (groups [][]int, of map[string]int) {
	of = map[string]int{}
	for i, c := range clusters {
		at, ok := of[c]
		if !ok {
			at = len(groups)
			of[c], groups = at, append(groups, nil)
		}
		groups[at] = append(groups[at], i)
	}
	return groups, of
}

// residuals fills what is known of each row.
func (r *Regression) residuals(x *mat.Dense, y []float64) {
	n, k := x.Dims()
	sum := 0.0
	var m mat.SymDense
	_ = r.root.InverseTo(&m) // the factor was found sound
	for i := range n {
		row := mat.NewVecDense(k, x.RawRowView(i))
		fitted := mat.Dot(row, mat.NewVecDense(k, r.Beta))
		r.Fitted, r.Residuals = append(r.Fitted, fitted), append(r.Residuals, y[i]-fitted)
		r.Leverage = append(r.Leverage, mat.Inner(row, &m, row))
		sum += (y[i] - fitted) * (y[i] - fitted)
	}
	r.ResidualSD = math.Sqrt(sum / float64(n-k))
}

// cluster reckons the covariance and the degrees of freedom.
func (r *Regression) cluster(x *mat.Dense, groups [][]int) error {
	_, k := x.Dims()
	var m mat.SymDense
	if err := r.root.InverseTo(&m); err != nil {
		return fmt.Errorf("%v: %w", r.Names, ErrAliased)
	}
	meat := mat.NewSymDense(k, nil)
	parts := make([]clusterPart, len(groups))
	for g, rows := range groups {
		xg, eg := mat.NewDense(len(rows), k, nil), mat.NewVecDense(len(rows), nil)
		for a, i := range rows {
			xg.SetRow(a, x.RawRowView(i))
			eg.SetVec(a, r.Residuals[i])
		}
		ag, err := shrinkage(xg, &m)
		if err != nil {
			return err
		}
		var ax, axm mat.Dense
		ax.Mul(ag, xg)
		axm.Mul(&ax, &m)
		var u mat.VecDense
		u.MulVec(ax.T(), eg)
		meat.SymRankOne(meat, 1, &u)
		parts[g] = clusterPart{xg, &axm}
	}
	var half, v mat.Dense
	half.Mul(&m, meat)
	v.Mul(&half, &m)
	r.Covariance = mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			r.Covariance.SetSym(i, j, (v.At(i, j)+v.At(j, i))/2)
		}
		r.SE = append(r.SE, math.Sqrt(r.Covariance.At(i, i)))
		r.DF = append(r.DF, satterthwaite(parts, &m, i))
	}
	return nil
}

// clusterPart is a cluster's rows, and A X M of them: A the shrinkage, M the
// inverse of X'X.
type clusterPart struct{ x, axm *mat.Dense }

// shrinkage returns (I - X_g M X_g')^(-1/2), with 0 for directions a cluster alone
// decides.
func shrinkage(xg *mat.Dense, m *mat.SymDense) (*mat.Dense, error) {
	n, _ := xg.Dims()
	var xm, h mat.Dense
	xm.Mul(xg, m)
	h.Mul(&xm, xg.T())
	left := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			left.SetSym(i, j, -h.At(i, j))
		}
		left.SetSym(i, i, 1-h.At(i, i))
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(left, true) {
		return nil, errors.New("a cluster's leverage has no eigenvalues")
	}
	var q, qd, out mat.Dense
	eigen.VectorsTo(&q)
	roots := mat.NewDiagDense(n, nil)
	const none = 1e-9
	for i, v := range eigen.Values(nil) {
		if v > none {
			roots.SetDiag(i, 1/math.Sqrt(v))
		}
	}
	qd.Mul(&q, roots)
	out.Mul(&qd, q.T())
	return &out, nil
}

// satterthwaite returns the degrees of freedom of one coefficient: with p_g = A_g
// X_g M c, the variance estimate is a quadratic form with the matrix B_gh = p_g'
// (I - H)_gh p_h, and has (tr B)^2 / tr(B B) of them.
func satterthwaite(parts []clusterPart, m *mat.SymDense, coefficient int) float64 {
	k := m.SymmetricDim()
	across := make([]*mat.VecDense, len(parts)) // X_g' p_g
	own := make([]float64, len(parts))
	for g, p := range parts {
		v := p.axm.ColView(coefficient)
		own[g] = mat.Dot(v, v)
		across[g] = mat.NewVecDense(k, nil)
		across[g].MulVec(p.x.T(), v)
	}
	trace, square := 0.0, 0.0
	for g := range parts {
		for h := g; h < len(parts); h++ {
			b := -mat.Inner(across[g], m, across[h])
			if g == h {
				b += own[g]
				trace += b
				square += b * b
				continue
			}
			square += 2 * b * b
		}
	}
	return trace * trace / square
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
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: r.DF[i]}.Quantile(quantile975) * r.SE[i]
	return Contrast{r.Beta[i], r.SE[i], r.DF[i], r.Beta[i] - half, r.Beta[i] + half}
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

// Equivalent tests whether a contrast lies between -bound and bound, by two
// one-sided tests of 5 % each (Schuirmann, J. Pharmacokinet. Biopharm. 15, 1987;
// from memory). That it does not hold says nothing about an effect.
func (c Contrast) Equivalent(bound float64) Equivalence {
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: c.DF}
	const level, quantile95 = 0.05, 0.95
	p := math.Max(1-t.CDF((c.Value+bound)/c.SE), t.CDF((c.Value-bound)/c.SE))
	half := t.Quantile(quantile95) * c.SE
	return Equivalence{Bound: bound, P: p, Low: c.Value - half, High: c.Value + half, Holds: p < level}
}

// Wald tests whether all named coefficients are zero: F and its p-value. The
// statistic is taken as Hotelling's with the smallest degrees of freedom among
// them, nu: F (nu-q+1)/nu has q and nu-q+1 (Pustejovsky and Tipton, J. Bus. Econ.
// Stat. 36, 2018, with their estimated nu in place of the smallest; from memory).
func (r *Regression) Wald(coefficients []int) (f, p float64, err error) {
	q := len(coefficients)
	v, b := mat.NewSymDense(q, nil), mat.NewVecDense(q, nil)
	df := math.Inf(1)
	for a, i := range coefficients {
		b.SetVec(a, r.Beta[i])
		df = math.Min(df, r.DF[i])
		for c := a; c < q; c++ {
			v.SetSym(a, c, r.Covariance.At(i, coefficients[c]))
		}
	}
	var root mat.Cholesky
	if !root.Factorize(v) {
		return math.NaN(), math.NaN(), fmt.Errorf("test of %d coefficients: their errors are not independent", q)
	}
	var s mat.VecDense
	if err := root.SolveVecTo(&s, b); err != nil {
		return math.NaN(), math.NaN(), fmt.Errorf("test of %d coefficients: %w", q, err)
	}
	left := df - float64(q) + 1
	if left <= 0 {
		return math.NaN(), math.NaN(), fmt.Errorf("test of %d coefficients: %.1f degrees of freedom", q, df)
	}
	f = mat.Dot(b, &s) / float64(q) * left / df
	return f, 1 - distuv.F{D1: float64(q), D2: left}.CDF(f), nil
}

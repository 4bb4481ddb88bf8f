package study

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Regression is a least-squares fit whose standard errors allow for readings of
// one cluster going together.
//
// The errors are the bias-reduced ones of linearization (CR2): the residuals of a cluster
// are set right by the inverse symmetric root of their part of I - H, with independent
// errors of one size as the working model. Each contrast has its own degrees of freedom by
// Satterthwaite's approximation under the same model, so that few clusters, or a covariate
// that lives in few of them, give wide intervals (Bell and McCaffrey, Survey Methodology
// 28, 2002; Pustejovsky and Tipton, J. Bus. Econ. Stat. 36, 2018; both from memory,
// compared with an implementation in the tests).
type Regression struct {
	Names      []string
	Beta       []float64
	SE, DF     []float64 // of each coefficient; DF NaN for the nuisance ones
	Covariance *mat.SymDense
	Residuals  []float64
	Fitted     []float64
	Leverage   []float64
	Rows       int
	Clusters   int
	ResidualSD float64

	root  *mat.Cholesky // of X'X
	m     mat.SymDense  // its inverse
	parts []clusterPart
}

// Errors of Regress.
var (
	ErrFewRows  = errors.New("fewer rows than coefficients")
	ErrClusters = errors.New("fewer than two clusters")
	ErrAliased  = errors.New("columns that repeat each other")
)

// Data is what a regression works on: a row of X and a cluster for each y. The
// last Nuisance columns are fitted without degrees of freedom of their own.
type Data struct {
	Names    []string
	X        [][]float64
	Y        []float64
	Cluster  []string
	Nuisance int
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
	r := &Regression{Names: d.Names, Rows: n, Clusters: len(groups), root: &mat.Cholesky{}}
	var xx mat.SymDense
	xx.SymOuterK(1, x.T())
	const worst = 1e12 // condition number beyond which digits are lost
	if !r.root.Factorize(&xx) || r.root.Cond() > worst || r.root.InverseTo(&r.m) != nil {
		return nil, fmt.Errorf("%v: %w", d.Names, ErrAliased)
	}
	var xy, beta mat.VecDense
	xy.MulVec(x.T(), mat.NewVecDense(n, d.Y))
	if err := r.root.SolveVecTo(&beta, &xy); err != nil {
		return nil, fmt.Errorf("%v: %w", d.Names, ErrAliased)
	}
	r.Beta = beta.RawVector().Data
	r.residuals(x, d.Y)
	if err := r.cluster(x, groups); err != nil {
		return nil, err
	}
	for i := range k {
		r.SE = append(r.SE, math.Sqrt(r.Covariance.At(i, i)))
		df := math.NaN()
		if i < k-d.Nuisance {
			df = r.degrees(r.unit(i))
		}
		r.DF = append(r.DF, df)
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

// unit returns the weights that pick one coefficient.
func (r *Regression) unit(i int) []float64 {
	c := make([]float64, len(r.Beta))
	c[i] = 1
	return c
}

// residuals fills what is known of each row.
func (r *Regression) residuals(x *mat.Dense, y []float64) {
	n, k := x.Dims()
	sum := 0.0
	beta := mat.NewVecDense(k, r.Beta)
	for i := range n {
		row := mat.NewVecDense(k, x.RawRowView(i))
		fitted := mat.Dot(row, beta)
		r.Fitted, r.Residuals = append(r.Fitted, fitted), append(r.Residuals, y[i]-fitted)
		r.Leverage = append(r.Leverage, mat.Inner(row, &r.m, row))
		sum += (y[i] - fitted) * (y[i] - fitted)
	}
	r.ResidualSD = math.Sqrt(sum / float64(n-k))
}

// clusterPart is a cluster's rows X, and A X of them: A the shrinkage.
type clusterPart struct{ x, ax *mat.Dense }

// cluster reckons the covariance and keeps what degrees of freedom take.
func (r *Regression) cluster(x *mat.Dense, groups [][]int) error {
	_, k := x.Dims()
	var root mat.Cholesky
	var l mat.TriDense
	if !root.Factorize(&r.m) {
		return fmt.Errorf("%v: %w", r.Names, ErrAliased)
	}
	root.LTo(&l)
	meat := mat.NewSymDense(k, nil)
	for _, rows := range groups {
		xg, eg := mat.NewDense(len(rows), k, nil), mat.NewVecDense(len(rows), nil)
		for a, i := range rows {
			xg.SetRow(a, x.RawRowView(i))
			eg.SetVec(a, r.Residuals[i])
		}
		ax, err := shrunk(xg, &l)
		if err != nil {
			return err
		}
		var u mat.VecDense
		u.MulVec(ax.T(), eg)
		meat.SymRankOne(meat, 1, &u)
		r.parts = append(r.parts, clusterPart{xg, ax})
	}
	var half, v mat.Dense
	half.Mul(&r.m, meat)
	v.Mul(&half, &r.m)
	r.Covariance = mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			r.Covariance.SetSym(i, j, (v.At(i, j)+v.At(j, i))/2)
		}
	}
	return nil
}

// shrunk returns (I - X M X')^(-1/2) X of a cluster's rows, with 0 for directions
// that the cluster alone decides; M = L L'. With U = X L and U'U = V S V' the root
// is I + U V D V' U', D = ((1-s)^(-1/2) - 1)/s: no matrix of rows by rows is made. A
// cluster of fewer rows than columns takes the root of I - UU' itself.
func shrunk(xg *mat.Dense, l *mat.TriDense) (*mat.Dense, error) {
	n, k := xg.Dims()
	var u mat.Dense
	u.Mul(xg, l)
	if n < k {
		return shrunkRows(xg, &u)
	}
	return shrunkColumns(xg, &u)
}

// none is from where a share of leverage counts as nought, or as one.
const none = 1e-9

// shrunkRows goes by the rows of U.
func shrunkRows(xg, u *mat.Dense) (*mat.Dense, error) {
	n, _ := xg.Dims()
	var uu, v, vx, out mat.Dense
	uu.Mul(u, u.T())
	eigen, err := eigenOf(&uu)
	if err != nil {
		return nil, err
	}
	eigen.VectorsTo(&v)
	d := mat.NewDiagDense(n, nil)
	for i, s := range eigen.Values(nil) {
		if s <= 1-none {
			d.SetDiag(i, 1/math.Sqrt(1-s))
		}
	}
	vx.Mul(v.T(), xg)
	vx.Mul(d, &vx)
	out.Mul(&v, &vx)
	return &out, nil
}

// eigenOf factorizes a matrix that is symmetric to rounding.
func eigenOf(m *mat.Dense) (*mat.EigenSym, error) {
	n, _ := m.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, m.At(i, j))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(s, true) {
		return nil, errors.New("a cluster's leverage has no eigenvalues")
	}
	return &eigen, nil
}

// shrunkColumns goes by the columns of U.
func shrunkColumns(xg, u *mat.Dense) (*mat.Dense, error) {
	_, k := xg.Dims()
	var uu, v, uv, half, add mat.Dense
	uu.Mul(u.T(), u)
	eigen, err := eigenOf(&uu)
	if err != nil {
		return nil, err
	}
	eigen.VectorsTo(&v)
	d := mat.NewDiagDense(k, nil)
	for i, s := range eigen.Values(nil) {
		switch {
		case s < none: // the limit of D
			d.SetDiag(i, 0.5)
		case s > 1-none:
			d.SetDiag(i, -1/s)
		default:
			d.SetDiag(i, (1/math.Sqrt(1-s)-1)/s)
		}
	}
	uv.Mul(u, &v)
	half.Mul(uv.T(), xg)
	half.Mul(d, &half)
	add.Mul(&uv, &half)
	out := mat.DenseCopyOf(xg)
	out.Add(out, &add)
	return out, nil
}

// degrees returns the degrees of freedom of a contrast c: with p_g = A_g X_g M c
// the variance estimate is a quadratic form with the matrix B_gh = p_g' (I - H)_gh
// p_h, and has (tr B)^2 / tr(B B) of them.
func (r *Regression) degrees(c []float64) float64 {
	f := r.form([][]float64{c})
	trace, sum := 0.0, 0.0
	for g := range r.parts {
		trace += f.own(g, 0, 0) - f.across(g, 0, g, 0)
	}
	sum = f.products(0, 0, 0, 0)
	return trace * trace / sum
}

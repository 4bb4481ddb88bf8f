package study

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Spline is a natural cubic spline: cubic between its knots, straight beyond the
// first and the last.
type Spline struct{ Knots []float64 }

// ErrKnots says that values are too few or too alike for knots.
var ErrKnots = errors.New("the values give no three different knots")

// newSpline puts count knots (3 or 4) at quantiles of the values: 10, 50 and 90 %,
// or 5, 35, 65 and 95 % (Harrell, Regression Modeling Strategies; from memory).
func newSpline(values []float64, count int) (Spline, error) {
	places := map[int][]float64{3: {0.1, 0.5, 0.9}, 4: {0.05, 0.35, 0.65, 0.95}}[count]
	sorted := slices.Sorted(slices.Values(values))
	if len(sorted) == 0 || places == nil {
		return Spline{}, ErrKnots
	}
	var knots []float64
	for _, p := range places {
		knots = append(knots, stat.Quantile(p, stat.Empirical, sorted, nil))
	}
	knots = slices.Compact(knots)
	if len(knots) < 3 {
		return Spline{}, ErrKnots
	}
	return Spline{knots}, nil
}

// basis returns the basis at x, one fewer than knots: x itself, then what bends, in
// units of x.
func (s Spline) basis(x float64) []float64 {
	k := len(s.Knots)
	last, before := s.Knots[k-1], s.Knots[k-2]
	scale := (last - s.Knots[0]) * (last - s.Knots[0])
	cube := func(v float64) float64 { v = math.Max(v, 0); return v * v * v }
	out := []float64{x}
	for _, t := range s.Knots[:k-2] {
		bend := cube(x-t) - cube(x-before)*(last-t)/(last-before) + cube(x-last)*(before-t)/(last-before)
		out = append(out, bend/scale)
	}
	return out
}

// Band is a curve with its bands of 95 %.
type Band struct {
	X, Y            []float64
	Low, High       []float64 // at each place by itself
	AllLow, AllHigh []float64 // over all places together
	Critical        float64   // how many errors the band over all reaches
}

// curve returns a regression's curve at the rows given, with bands by itself and
// over all places: the greatest of the standardized deviations of draws (sup-t).
// The rows are contrasts of coefficients; the same seed gives the same band.
func (r *Regression) curve(x []float64, rows [][]float64, draws int, seed uint64) (Band, error) {
	k := len(r.Beta)
	var root mat.Cholesky
	if !root.Factorize(r.Covariance) {
		return Band{}, errors.New("the errors of the coefficients are not independent")
	}
	var l mat.TriDense
	root.LTo(&l)
	df := slices.Min(r.DF)
	out := Band{X: x}
	var errs []float64
	for _, row := range rows {
		v := mat.NewVecDense(k, row)
		out.Y = append(out.Y, mat.Dot(v, mat.NewVecDense(k, r.Beta)))
		errs = append(errs, math.Sqrt(mat.Inner(v, r.Covariance, v)))
	}
	random := rand.New(rand.NewPCG(seed, 1))
	tops := make([]float64, draws)
	for d := range tops {
		z := mat.NewVecDense(k, nil)
		for i := range k {
			z.SetVec(i, random.NormFloat64())
		}
		var step mat.VecDense
		step.MulVec(&l, z)
		spread := math.Sqrt(df / distuv.ChiSquared{K: df, Src: random}.Rand())
		for i, row := range rows {
			if errs[i] > 0 {
				tops[d] = math.Max(tops[d], math.Abs(mat.Dot(mat.NewVecDense(k, row), &step))*spread/errs[i])
			}
		}
	}
	slices.Sort(tops)
	const share = 0.95
	out.Critical = stat.Quantile(share, stat.Empirical, tops, nil)
	point := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(quantile975)
	for i, y := range out.Y {
		out.Low, out.High = append(out.Low, y-point*errs[i]), append(out.High, y+point*errs[i])
		out.AllLow, out.AllHigh = append(out.AllLow, y-out.Critical*errs[i]), append(out.AllHigh, y+out.Critical*errs[i])
	}
	return out, nil
}

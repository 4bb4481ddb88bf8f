package study

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// made draws a fleet of sites that share a vent: y = 1 + slope z + site + noise.
func made(seed uint64, sites, each int, slope, siteSD float64) Data {
	r := rand.New(rand.NewPCG(seed, 2))
	d := Data{Names: []string{"constant", "vent"}}
	for s := range sites {
		z, common := r.Float64(), siteSD*r.NormFloat64()
		for range each {
			d.X, d.Y = append(d.X, []float64{1, z}), append(d.Y, 1+slope*z+common+0.1*r.NormFloat64())
			d.Cluster = append(d.Cluster, strconv.Itoa(s))
		}
	}
	return d
}

// Identity: where every row is its own cluster, CR2 is HC2, the squared residual
// over one less the leverage; written out here for two columns.
func TestOwnClustersAreHC2(t *testing.T) {
	d := made(1, 12, 1, -0.3, 0.2)
	r, err := Regress(d)
	require.NoError(t, err)
	n, sz, szz := float64(len(d.Y)), 0.0, 0.0
	for _, x := range d.X {
		sz, szz = sz+x[1], szz+x[1]*x[1]
	}
	det, want := n*szz-sz*sz, 0.0
	for i, x := range d.X {
		w := (n*x[1] - sz) / det // row of (X'X)^-1 X' for the slope
		h := (szz - 2*sz*x[1] + n*x[1]*x[1]) / det
		want += w * w * r.Residuals[i] * r.Residuals[i] / (1 - h)
	}
	require.InDelta(t, math.Sqrt(want), r.SE[1], 1e-12)
}

// Identity: clusters of equal size that share their row give the errors of the
// classical fit of cluster means, and its degrees of freedom (n - 2 at most).
func TestClustersOfOneVentAreTheirMeans(t *testing.T) {
	d := made(2, 14, 5, -0.3, 0.2)
	r, err := Regress(d)
	require.NoError(t, err)
	means := Data{Names: d.Names}
	for i := 0; i < len(d.Y); i += 5 {
		sum := 0.0
		for k := range 5 {
			sum += d.Y[i+k]
		}
		means.X, means.Y, means.Cluster = append(means.X, d.X[i]), append(means.Y, sum/5), append(means.Cluster, d.Cluster[i])
	}
	m, err := Regress(means)
	require.NoError(t, err)
	require.InDelta(t, m.Beta[1], r.Beta[1], 1e-12)
	require.InDelta(t, m.SE[1], r.SE[1], 1e-10)
	require.InDelta(t, m.DF[1], r.DF[1], 1e-8)
	require.Less(t, r.DF[1], 12.0)
}

// Identity: the root of I - UU' times X is one by rows and by columns of U, also where
// a cluster alone decides a direction.
func TestShrinkageByRowsAndColumns(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	for _, n := range []int{1, 3, 7} {
		x, u := mat.NewDense(n, 4, nil), mat.NewDense(n, 4, nil)
		for i := range n {
			for k := range 4 {
				x.Set(i, k, random.NormFloat64())
				u.Set(i, k, 0.2*random.NormFloat64())
			}
		}
		if n == 3 { // one direction wholly the cluster's
			u.SetRow(0, []float64{1, 0, 0, 0})
			u.SetRow(1, []float64{0, 0.3, 0.1, 0})
			u.SetRow(2, []float64{0, 0, 0.2, 0.4})
		}
		a, err := shrunkRows(x, u)
		require.NoError(t, err)
		b, err := shrunkColumns(x, u)
		require.NoError(t, err)
		require.True(t, mat.EqualApprox(a, b, 1e-9), n)
	}
}

// Where sites share vents, intervals cover at 0.92 to 0.98 and tests of nothing
// reject at 3 to 7 %, over 400 fixed seeds; errors that take rows for independent
// would not.
func TestCoverageWhereSitesShareVents(t *testing.T) {
	covered, rejected, plain := 0, 0, 0
	const seeds = 400
	for seed := range uint64(seeds) {
		r, err := Regress(made(1000+seed, 25, 4, -0.3, 0.2))
		require.NoError(t, err)
		if c := r.Coefficient(1); c.Low <= -0.3 && -0.3 <= c.High {
			covered++
		}
		if math.Abs(r.Beta[1]+0.3) <= 1.984*r.ResidualSD*math.Sqrt(r.m.At(1, 1)) { // t of 98 degrees
			plain++
		}
		none, err := Regress(made(5000+seed, 25, 4, 0, 0.2))
		require.NoError(t, err)
		j, err := none.wald([]int{1})
		require.NoError(t, err)
		if j.P < 0.05 {
			rejected++
		}
	}
	t.Logf("covered %d, by independent rows %d, false alarms %d, of %d", covered, plain, rejected, seeds)
	require.InDelta(t, 0.95, float64(covered)/seeds, 0.03)
	require.InDelta(t, 0.05, float64(rejected)/seeds, 0.02)
	require.Less(t, float64(plain)/seeds, 0.85)
}

// Identities of a natural spline: straight beyond the outer knots, and smooth to the
// second derivative at each knot.
func TestSplineIsNatural(t *testing.T) {
	s := Spline{[]float64{0.1, 0.35, 0.6, 0.9}}
	second := func(x, h float64) float64 { return (s.basis(x + h)[1] - 2*s.basis(x)[1] + s.basis(x - h)[1]) / h / h }
	for _, x := range []float64{-0.5, 0, 1, 2} {
		require.InDelta(t, 0, second(x, 0.05), 1e-9)
	}
	require.Greater(t, math.Abs(second(0.5, 0.01)), 1.0)
	for _, k := range s.Knots {
		require.InDelta(t, second(k-1e-3, 1e-4), second(k+1e-3, 1e-4), 0.1)
	}
}

// A planted curve of the spline's own kind lies wholly within the band over all
// places for 0.92 to 0.98 of 400 fixed seeds, less often within the band by itself,
// and the test of non-linearity finds it; on a straight line it rejects at 3 to 7 %.
func TestPlantedCurve(t *testing.T) {
	s := Spline{[]float64{0.1, 0.35, 0.65, 0.9}}
	var x []float64
	var rows [][]float64
	for k := range 19 {
		x = append(x, 0.05*float64(k+1))
		rows = append(rows, append([]float64{1}, s.basis(x[k])...))
	}
	seeds := 100
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		seeds = 400
	}
	wider := math.Sqrt(400 / float64(seeds)) // sampling error goes by the root of the count
	inAll, inEach, found, alarms := 0, 0, 0, 0
	for seed := range uint64(seeds) {
		for _, bend := range []float64{1, 0} {
			truth := func(z float64) float64 { b := s.basis(z); return 0.1 - 0.2*b[0] + bend*(0.8*b[1]-1.2*b[2]) }
			fit, err := Regress(curved(seed, s, truth))
			require.NoError(t, err)
			j, err := fit.wald([]int{2, 3})
			require.NoError(t, err)
			if bend == 0 {
				alarms += count(j.P < 0.05)
				continue
			}
			found += count(j.P < 0.05)
			band, err := fit.curve(x, rows, 400, seed)
			require.NoError(t, err)
			all, each := true, true
			for k, v := range x {
				all = all && band.AllLow[k] < truth(v) && truth(v) < band.AllHigh[k]
				each = each && band.Low[k] < truth(v) && truth(v) < band.High[k]
			}
			inAll, inEach = inAll+count(all), inEach+count(each)
		}
	}
	t.Logf("of %d: within the band over all %d, by itself %d; bend found %d, false alarms %d", seeds, inAll, inEach, found, alarms)
	require.InDelta(t, 0.95, float64(inAll)/float64(seeds), 0.03*wider)
	require.Less(t, inEach, inAll)
	require.Greater(t, found, seeds*9/10)
	require.InDelta(t, 0.05, float64(alarms)/float64(seeds), 0.02*wider)
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// curved draws 200 rows in 50 sites about a curve.
func curved(seed uint64, s Spline, truth func(float64) float64) Data {
	r := rand.New(rand.NewPCG(seed, 9))
	d := Data{Names: []string{"constant", "z", "bend 1", "bend 2"}}
	common := 0.0
	for i := range 200 {
		if i%4 == 0 {
			common = 0.03 * r.NormFloat64()
		}
		v := r.Float64()
		d.X, d.Y = append(d.X, append([]float64{1}, s.basis(v)...)), append(d.Y, truth(v)+common+0.05*r.NormFloat64())
		d.Cluster = append(d.Cluster, strconv.Itoa(i/4))
	}
	return d
}

// Two one-sided tests: P is below 0.05 exactly where the 90 % interval lies inside.
func TestEquivalenceIsTheInterval(t *testing.T) {
	for _, c := range []Contrast{
		{Value: 0, SE: 0.02, DF: 30},
		{Value: 0.02, SE: 0.02, DF: 30},
		{Value: 0.04, SE: 0.001, DF: 5},
		{Value: 0, SE: 0.2, DF: 9},
	} {
		e := c.equivalent(0.05)
		require.Equal(t, e.Low > -0.05 && e.High < 0.05, e.Holds, "%+v", c)
	}
}

// At the bound itself equivalence is claimed in 3 to 7 % of 400 fixed seeds, where it
// has no right to be; well inside it nearly always.
func TestEquivalenceAtTheBound(t *testing.T) {
	const seeds, bound = 400, 0.3
	at, inside := 0, 0
	for seed := range uint64(seeds) {
		r, err := Regress(made(9000+seed, 25, 4, bound, 0.05))
		require.NoError(t, err)
		at += count(r.Coefficient(1).equivalent(bound).Holds)
		r, err = Regress(made(9000+seed, 25, 4, 0.05, 0.05))
		require.NoError(t, err)
		inside += count(r.Coefficient(1).equivalent(bound).Holds)
	}
	t.Logf("claimed at the bound %d, inside it %d, of %d", at, inside, seeds)
	require.InDelta(t, 0.05, float64(at)/seeds, 0.02)
	require.Greater(t, inside, seeds*9/10)
}

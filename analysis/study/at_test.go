package study

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/judge"
)

// Identities of a hull: mixtures of points lie in it; what lies beyond a plane that
// has all points on one side does not.
func TestHull(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	var points [][]float64
	for range 60 {
		points = append(points, []float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()})
	}
	for range 200 {
		a, b, c := points[r.IntN(60)], points[r.IntN(60)], points[r.IntN(60)]
		u, v := r.Float64(), r.Float64()
		mixed, beyond := make([]float64, 3), make([]float64, 3)
		normal := []float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		far := math.Inf(-1)
		for _, p := range points {
			far = math.Max(far, floats.Dot(normal, p))
		}
		for k := range mixed {
			mixed[k] = u*a[k] + (1-u)*(v*b[k]+(1-v)*c[k])
		}
		lift := (far + 0.05 - floats.Dot(normal, mixed)) / floats.Dot(normal, normal)
		for k := range beyond {
			beyond[k] = mixed[k] + lift*normal[k]
		}
		require.True(t, inHull(mixed, points))
		require.False(t, inHull(beyond, points))
	}
	square := [][]float64{{0, 0}, {1, 0}, {0, 1}}
	require.False(t, inHull([]float64{0.9, 0.9}, square), "in the range of each, in no mixture")
}

// What the study says of a configuration is its own fit read there: of a unit that
// is in the data at no distance, the drift at its burner control; and far out it is
// marked.
func TestAtReadsTheFit(t *testing.T) {
	w := demo.Plain()
	w.FactoryTests, w.Fans = true, demo.FansOfAll
	s := newStudied(t, worlds.Demo(demo.Options{Units: 300, Years: 12, Seed: 5, AsOf: asOf, World: w}), nil)
	var u *UnitVent
	for i := range s.Units {
		if s.Units[i].Control == "ratio" && s.Units[i].Rows > 0 && whole(s.Units[i].OfRun, s.Units[i].OfFan) {
			u = &s.Units[i]
			break
		}
	}
	c := Unknown()
	c.LengthM, c.DiameterM, c.Elbows90, c.Elbows45, c.Line, c.InputKW, c.Fuel = u.LengthM, u.DiameterM, u.Elbows90, u.Elbows45, u.Line,
		u.InputKW, u.Fuel
	a, err := s.At(c)
	require.NoError(t, err)
	require.InDelta(t, u.OfRun, a.OfRun, 1e-9)
	require.Len(t, a.Nearest, nearest)
	require.True(t, slices.ContainsFunc(a.Nearest, func(n Near) bool { return n.Serial == u.Serial }))
	e := expectedOf(t, &a, Drift, ByLength)
	f, err := (task{Drift, judge.High, responses[0], byLength, ControlFit, (*design).byControl, ""}).regress(s.rowsOf(s.Rows, Drift,
		judge.High))
	require.NoError(t, err)
	age := 0.0
	for _, r := range f.rows {
		age += r.AgeYears / float64(len(f.rows))
	}
	want := f.Beta[f.column(constantName)] + a.OfRun*f.Beta[f.column(VentName)] + age*f.Beta[f.column(ageName)]
	require.InDelta(t, want, e.Mean.Value, 1e-9)
	require.Less(t, e.OneLow, e.Mean.Low)

	c.LengthM = 500
	a, err = s.At(c)
	require.NoError(t, err)
	require.NotEmpty(t, a.Outside)
	far := expectedOf(t, &a, Drift, ByLength)
	require.True(t, far.Outside)
	require.Greater(t, far.Mean.SE, e.Mean.SE)

	c = Unknown() // what is not given comes from the nearest units, and is said
	c.LengthM, c.Elbows90, c.DiameterM = 12, 3, 0.2
	a, err = s.At(c)
	require.NoError(t, err)
	require.NotEmpty(t, a.Assumed)
	require.Equal(t, PooledFit, expectedOf(t, &a, Drift, ByLength).Fit)
	c.Line = "no such line"
	_, err = s.At(c)
	require.ErrorIs(t, err, ErrConfiguration)
}

func expectedOf(t *testing.T, a *Answer, kind Kind, measure string) Expected {
	t.Helper()
	for _, e := range a.Expected {
		if e.Kind == kind && e.Measure == measure && e.Fire == judge.High && e.Response == "CO2" {
			return e
		}
	}
	t.Fatalf("nothing expected of %s by %s: %v", kind, measure, a.NotMade)
	return Expected{}
}

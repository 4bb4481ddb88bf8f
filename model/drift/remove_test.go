package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// Identity: the diagonals of P and a = P r from the back recursion are those of
// the explicit matrix P = R^-1 - c R^-1 h h'R^-1 of the unit.
func TestDeletionAgainstExplicitMatrices(t *testing.T) {
	for seed := range uint64(20) {
		f := fleetOf(t, fixtureDesign, worldRows(rand.New(rand.NewPCG(seed, 3))))
		if f.Counts().Differences < 9 {
			continue
		}
		fit := evaluate(t, f, Theta{1, 0.8, 0.7, 0.6})
		d := deletion{kernel: newKernel(f, fit.Theta)}
		for u := range f.in.Series {
			d.run(fit, u)
			n := len(d.diffs)
			if n == 0 {
				continue
			}
			v, r := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
			for i := range n {
				r.SetVec(i, d.rest(fit, &d.diffs[i]))
				v.Set(i, i, d.diffs[i].diag)
				if i > 0 {
					v.Set(i, i-1, d.diffs[i].off)
					v.Set(i-1, i, d.diffs[i].off)
				}
			}
			for i := range n * n {
				h := d.diffs[i/n].h * d.diffs[i%n].h
				v.Set(i/n, i%n, v.At(i/n, i%n)+0.8*0.8*h)
			}
			var p mat.Dense
			var a mat.VecDense
			require.NoError(t, p.Inverse(v))
			a.MulVec(&p, r)
			for i := range n {
				assert.InDelta(t, p.At(i, i), d.diag[i], 1e-9)
				assert.InDelta(t, a.AtVec(i), d.a[i], 1e-9)
				if i > 0 {
					assert.InDelta(t, p.At(i, i-1), d.off[i], 1e-9)
				}
			}
		}
	}
}

// plain is a unit never adjusted, with a reading a year and the given steps on
// top of small noise.
func plain(g *rand.Rand, name string, steps ...float64) Series {
	s := Series{Unit: name, Runs: []Run{{Rate: []float64{1}}}}
	for i, y := range steps {
		s.Visits = append(s.Visits, visit(float64(i), No, found(y+0.025*g.NormFloat64())))
	}
	return s
}

func plainFleet(t *testing.T, odd ...Series) *Fleet {
	g := rand.New(rand.NewPCG(5, 5))
	in := Input{Design: oneRate, Rules: DefaultConfig(), Series: odd}
	for range 200 {
		in.Series = append(in.Series, plain(g, "ordinary", 0, 0, 0, 0, 0, 0))
	}
	f, err := NewFleet(in)
	require.NoError(t, err)
	return f
}

// A reading both neighbours contradict is removed and bridged; a step that
// lasts, a last reading off, and either reading of a pair only cut the segment.
func TestCutDoNotDelete(t *testing.T) {
	g := rand.New(rand.NewPCG(6, 6))
	f := plainFleet(t,
		plain(g, "typed wrong in the middle", 0, 0, 1, 0, 0, 0),
		plain(g, "a step that lasts", 0, 0, 0, 1, 1, 1),
		plain(g, "last reading off", 0, 0, 0, 0, 0, 1),
		plain(g, "first reading off", 1, 0, 0, 0, 0, 0),
		plain(g, "a pair", 0, 1))
	cleaned, list, err := f.Clean(ctx, Theta{Q: 1, Tau: 1}, EvaluateOptions{})
	require.NoError(t, err)
	require.Len(t, list, 5)
	want := []struct {
		action Action
		visit  int
		after  int
	}{{Removed, 2, 3}, {Cut, 3, -1}, {Cut, 5, -1}, {Cut, 1, -1}, {Cut, 1, -1}}
	for _, u := range list {
		w := want[u.Unit]
		assert.Equal(t, w.action, u.Action, f.in.Series[u.Unit].Unit)
		assert.Equal(t, w.visit, u.Visit)
		assert.Equal(t, w.visit-1, u.BeforeVisit)
		assert.Equal(t, w.after, u.AfterVisit)
		assert.Greater(t, u.T, 5.0)
	}
	// One reading less and one difference less; four differences less by cuts.
	assert.Equal(t, f.Counts().Readings-1, cleaned.Counts().Readings)
	assert.Equal(t, f.Counts().Differences-5, cleaned.Counts().Differences)
	var pairs [][2]int
	cleaned.eachDiff(0, func(i, j int) { pairs = append(pairs, [2]int{i, j}) })
	assert.Equal(t, [][2]int{{0, 1}, {1, 3}, {3, 4}, {4, 5}}, pairs)
	assert.False(t, f.gone[2], "the fleet it came from stays whole")
}

// Clean data lose nothing, and the noise estimated after removal is that of the
// same fleet without the planted errors.
func TestRemovalRestoresTheNoise(t *testing.T) {
	in := invented(400, 12, 3)
	f, err := NewFleet(in)
	require.NoError(t, err)
	clean, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	assert.LessOrEqual(t, len(clean.Unconfirmed), 3)
	g := rand.New(rand.NewPCG(8, 8))
	typed := 0
	for u := range in.Series {
		for v := range in.Series[u].Visits {
			if vis := &in.Series[u].Visits[v]; vis.Adjusted == No && g.Float64() < 0.02 {
				vis.Readings[0].Y += math.Copysign(1.5, g.Float64()-0.5)
				typed++
			}
		}
	}
	require.Greater(t, typed, 20)
	f, err = NewFleet(in)
	require.NoError(t, err)
	raw, err := f.Evaluate(ctx, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	dirty, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	assert.Greater(t, raw.Sigma, 1.5*clean.Sigma)
	assert.InEpsilon(t, clean.Sigma, dirty.Sigma, 0.1)
	assert.GreaterOrEqual(t, len(dirty.Unconfirmed), typed*8/10)
}

// The limit is five robust scales: what is just beyond goes, what is at it
// stays.
func TestRemovalLimit(t *testing.T) {
	assert.Equal(t, 5, removeLimit)
	f := plainFleet(t)
	worst := []suspect{{0, 2, 1, -1, Cut, 5}, {1, 8, 7, -1, Cut, 5.001}}
	next, list := removalPass{worst: worst, scale: 1}.removed(f, 5)
	require.Len(t, list, 1)
	assert.Equal(t, 1, list[0].Unit)
	assert.Equal(t, f.Counts().Differences-1, next.Counts().Differences)
}

// Identity: the robust scale of the t of clean normal data is near 1.
func TestRobustScale(t *testing.T) {
	f := plainFleet(t)
	fit := evaluate(t, f, Theta{})
	all, err := newRemovalPass(ctx, fit, 1)
	require.NoError(t, err)
	assert.InDelta(t, 1, all.scale, 0.08)
}

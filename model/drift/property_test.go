package drift

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// anyTheta draws ratios of either sign, zeros included.
func anyTheta(t *rapid.T) Theta {
	one := func(name string) float64 {
		return rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(-3, 3)).Draw(t, name)
	}
	return Theta{one("q"), one("tau"), one("b1"), 0}
}

// same compares the criterion, sigma and coefficients of two row sets.
func same(t *rapid.T, a, b []row, th Theta) {
	t.Helper()
	x, err := fleetOf2(a).Evaluate(ctx, th, EvaluateOptions{})
	require.NoError(t, err)
	y, err := fleetOf2(b).Evaluate(ctx, th, EvaluateOptions{})
	require.NoError(t, err)
	assert.InDelta(t, x.Crit, y.Crit, 1e-8)
	assert.InEpsilon(t, x.Sigma, y.Sigma, 1e-9)
	for k := range x.Coefficients {
		assert.InEpsilon(t, x.Coefficients[k].Value, y.Coefficients[k].Value, 1e-6)
		assert.InEpsilon(t, x.Coefficients[k].SE, y.Coefficients[k].SE, 1e-6)
	}
}

func fleetOf2(rows []row) *Fleet {
	f, err := NewFleet(inputOf(fixtureDesign, rows))
	if err != nil {
		panic(err)
	}
	return f
}

// A segment's level is free: adding a constant to all its readings changes
// nothing.
func TestLevelOfSegmentIsFree(t *testing.T) {
	rows := fixture(t)
	rapid.Check(t, func(t *rapid.T) {
		shift := map[string]float64{}
		moved := slices.Clone(rows)
		for i := range moved {
			key := moved[i].unit + "/" + moved[i].segment
			if _, ok := shift[key]; !ok {
				shift[key] = rapid.Float64Range(-3, 3).Draw(t, "shift")
			}
			moved[i].y += shift[key]
		}
		same(t, rows, moved, anyTheta(t))
	})
}

// Only differences of time matter: each unit may count its years from any day.
func TestTimeOriginIsFree(t *testing.T) {
	rows := fixture(t)
	rapid.Check(t, func(t *rapid.T) {
		shift := map[string]float64{}
		in := inputOf(fixtureDesign, rows)
		for u := range in.Series {
			s := &in.Series[u]
			if _, ok := shift[s.Unit]; !ok {
				shift[s.Unit] = rapid.Float64Range(-20, 20).Draw(t, "shift")
			}
			s.Runs[0].From += shift[s.Unit]
			for v := range s.Visits {
				s.Visits[v].T += shift[s.Unit]
			}
		}
		th := anyTheta(t)
		f, err := NewFleet(in)
		require.NoError(t, err)
		a, err := f.Evaluate(ctx, th, EvaluateOptions{})
		require.NoError(t, err)
		b, err := fleetOf2(rows).Evaluate(ctx, th, EvaluateOptions{})
		require.NoError(t, err)
		assert.InDelta(t, b.Crit, a.Crit, 1e-8)
	})
}

// Neither the order of units nor the numbers of analyzers mean anything; nor
// does the order of a unit's segments, as far as its levels go.
func TestOrderAndLabelsAreFree(t *testing.T) {
	rows := fixture(t)
	rapid.Check(t, func(t *rapid.T) {
		var byUnit [][]row
		for i, r := range rows {
			if i == 0 || rows[i-1].unit != r.unit {
				byUnit = append(byUnit, nil)
			}
			byUnit[len(byUnit)-1] = append(byUnit[len(byUnit)-1], r)
		}
		label := rapid.Permutation([]int{0, 1, 2, 3, 4, 5}).Draw(t, "labels")
		var moved []row
		for _, u := range rapid.Permutation(byUnit).Draw(t, "units") {
			for _, r := range u {
				r.analyzer = label[r.analyzer]
				moved = append(moved, r)
			}
		}
		same(t, rows, moved, anyTheta(t))
	})
}

// A unit's segments are exchangeable: shifting whole segments in time, so that
// they come in another order, leaves the differences as they are. Age is left
// out, for it does depend on time.
func TestSegmentsMayComeInAnyOrder(t *testing.T) {
	rows := fixture(t)
	design := Design{Level: []Column{{Name: "temp"}}, Drift: []Column{{Name: "time"}, {Name: "vent"}}}
	for i := range rows {
		rows[i].rate, rows[i].grow = rows[i].rate[:2], nil
	}
	fit := evaluate(t, fleetOf(t, design, rows), Theta{1, 1, 1, 0})
	var moved []row
	for end := len(rows); end > 0; {
		start := end - 1 // whole units, their segments last to first
		for start > 0 && rows[start-1].unit == rows[end-1].unit {
			start--
		}
		at := 0.0
		for hi := end; hi > start; {
			lo := hi - 1
			for lo > start && rows[lo-1].segment == rows[hi-1].segment {
				lo--
			}
			for _, r := range rows[lo:hi] {
				r.t += at - rows[lo].t
				moved = append(moved, r)
			}
			at, hi = moved[len(moved)-1].t, lo
		}
		end = start
	}
	again := evaluate(t, fleetOf(t, design, moved), Theta{1, 1, 1, 0})
	assert.InDelta(t, fit.Crit, again.Crit, 1e-9)
	assert.InDelta(t, fit.Sigma, again.Sigma, 1e-12)
}

// The signs of the ratios mean nothing.
func TestSignsOfTheta(t *testing.T) {
	f := fleetOf(t, fixtureDesign, fixture(t))
	rapid.Check(t, func(t *rapid.T) {
		th := anyTheta(t)
		a, _, err := f.Criterion(ctx, th, EvaluateOptions{})
		require.NoError(t, err)
		b, _, err := f.Criterion(ctx, Theta{-th.Q, -th.Tau, -th.B1, -th.B2}, EvaluateOptions{})
		require.NoError(t, err)
		assert.Equal(t, a, b)
	})
}

// The digits do not depend on the number of workers, whether shards keep the
// analyzer block as a matrix (27 columns) or as a list (180).
func TestSameBitsForAnyWorkers(t *testing.T) {
	for _, analyzers := range []int{3, 20} {
		f, err := NewFleet(invented(400, analyzers, 7))
		require.NoError(t, err)
		one, err := f.Fit(ctx, Options{Workers: 1})
		require.NoError(t, err)
		for _, workers := range []int{2, 3, 8} {
			many, err := f.Fit(ctx, Options{Workers: workers})
			require.NoError(t, err)
			assert.Equal(t, math.Float64bits(one.Crit), math.Float64bits(many.Crit))
			assert.Equal(t, one.beta, many.beta)
			assert.Equal(t, one.Analyzers, many.Analyzers)
			assert.Equal(t, one.cov, many.cov)
			assert.Equal(t, one.Unconfirmed, many.Unconfirmed)
		}
	}
}

func TestThetaBeyondItsCap(t *testing.T) {
	f := fleetOf(t, fixtureDesign, fixture(t))
	crit, _, err := f.Criterion(ctx, Theta{Q: 101}, EvaluateOptions{})
	require.ErrorIs(t, err, ErrTheta)
	assert.True(t, math.IsInf(crit, 1))
	_, _, err = f.Criterion(ctx, Theta{Q: math.NaN()}, EvaluateOptions{})
	require.ErrorIs(t, err, ErrTheta)
}

package analysis

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// rich is a fire that stands above its band with a chance, and after a visit with
// another, on days from 0 on.
func rich(days day.Day, without, visited float64) FireForecast {
	f := FireForecast{Fire: "high", ActRichPercent: 0.4, ActLeanPercent: 0.4}
	for d := day.Day(0); d <= days; d += 10 {
		f.Harm = append(f.Harm, HarmPoint{
			Day:     d,
			Without: drift.Harm{Rich: without, RichBeyond: 0.2 * without},
			Visited: drift.Harm{Rich: visited, RichBeyond: 0.2 * visited},
		})
	}
	return f
}

// A unit that is out on every day and in on every day after a visit: ninety days are
// avoided, each with a fifth of a point beyond, whose worth is half as much again.
func TestBenefitOfASureThing(t *testing.T) {
	f := &Forecast{Fires: []FireForecast{rich(400, 1, 0)}}
	b, ok := f.Benefit(0, 365, DefaultVisitConfig())
	require.True(t, ok)
	assert.InDelta(t, 90, b.Days, 1e-9)
	assert.InDelta(t, 0.2, b.Points, 1e-9)
	assert.InDelta(t, 90*1.5, b.Key, 1e-9)
	late, _ := f.Benefit(7, 365, DefaultVisitConfig())
	assert.InDelta(t, 90, late.Days, 1e-9, "ninety days from the visit")
	double, _ := f.Benefit(0, 365, VisitConfig{UnseenDays: 90, RichWeight: 2, LeanWeight: 1})
	assert.InDelta(t, 2*b.Key, double.Key, 1e-9)
}

// A unit without a forecast has no benefit.
func TestNoForecastNoBenefit(t *testing.T) {
	b, ok := (&Forecast{Fires: []FireForecast{{Fire: "high"}}}).Benefit(0, 365, DefaultVisitConfig())
	assert.False(t, ok)
	assert.True(t, math.IsNaN(b.Key))
}

// On each day the fire counts that stands worse: two fires alike avoid no more than one.
func TestTheWorseFireCounts(t *testing.T) {
	one, _ := (&Forecast{Fires: []FireForecast{rich(400, 0.8, 0.1)}}).Benefit(0, 365, DefaultVisitConfig())
	two, _ := (&Forecast{Fires: []FireForecast{rich(400, 0.8, 0.1), rich(400, 0.5, 0.1)}}).Benefit(0, 365, DefaultVisitConfig())
	assert.Equal(t, one, two)
}

// The key does not jump when the planned day passes, and grows with the chance without
// a visit.
func TestBenefitIsSteady(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rich(400, 0, 0)
		for i := range f.Harm {
			f.Harm[i].Without.Rich = rapid.Float64Range(0, 1).Draw(t, "chance")
			f.Harm[i].Visited.Rich = rapid.Float64Range(0, 1).Draw(t, "after")
		}
		unit := &Forecast{Fires: []FireForecast{f}}
		before, _ := unit.Benefit(0, 1, DefaultVisitConfig())
		after, _ := unit.Benefit(0, -1, DefaultVisitConfig())
		assert.Equal(t, before.Key, after.Key)
		planned := day.Day(rapid.IntRange(-10, 300).Draw(t, "planned"))
		day, next := planned, planned+1
		a, _ := unit.Benefit(0, day, DefaultVisitConfig())
		b, _ := unit.Benefit(0, next, DefaultVisitConfig())
		assert.InDelta(t, a.Key, b.Key, 1+1e-9, "a day counts at most as one")
		for i := range f.Harm {
			f.Harm[i].Without.Rich = math.Min(1, f.Harm[i].Without.Rich+0.1)
		}
		worse, _ := unit.Benefit(0, planned, DefaultVisitConfig())
		assert.GreaterOrEqual(t, worse.Key, a.Key-1e-9)
	})
}

// The key grows with the deviation on its side: the further a unit stands from the middle
// of its limits, with whatever spread and drift, the more a visit avoids.
func TestTheKeyGrowsWithTheDeviation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width, sd := rapid.Float64Range(0.1, 0.8).Draw(t, "half width"), rapid.Float64Range(0.02, 0.5).Draw(t, "sd")
		perYear := rapid.Float64Range(0, 0.5).Draw(t, "drift a year")
		side := rapid.SampledFrom([]float64{1, -1}).Draw(t, "side")
		key := func(deviation float64) float64 {
			f := FireForecast{Fire: "high", ActRichPercent: width, ActLeanPercent: width}
			for d := day.Day(0); d <= 400; d += 14 {
				at := func(y, sd float64) drift.Harm {
					return drift.Mixture{{Weight: 1, Mean: side * (y + perYear*float64(d)/365), SD: sd}}.Harm(-width, width)
				}
				f.Harm = append(f.Harm, HarmPoint{Day: d, Without: at(deviation, sd), Visited: at(0, 0.1)})
			}
			b, _ := (&Forecast{Fires: []FireForecast{f}}).Benefit(0, 200, DefaultVisitConfig())
			return b.Key
		}
		near, further := rapid.Float64Range(0, 1.5).Draw(t, "deviation"), rapid.Float64Range(0, 0.5).Draw(t, "further")
		require.LessOrEqual(t, key(near), key(near+further)+1e-9)
	})
}

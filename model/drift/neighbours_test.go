package drift

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sharing is a fleet of ten areas with something added that the units of an area have
// in common.
func sharing(t *testing.T, add func(area int, years float64) float64) *Fit {
	in := invented(300, 12, 7)
	for u := range in.Series {
		s := &in.Series[u]
		s.Area, s.Site = 1+u%10, 1+u/4
		for v := range s.Visits {
			for r := range s.Visits[v].Readings {
				s.Visits[v].Readings[r].Y += add(s.Area, s.Visits[v].T)
			}
		}
	}
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(context.Background(), Options{})
	require.NoError(t, err)
	return fit
}

// A level that the units of an area have in common for a year is found, to what ten
// areas can show; nothing is found where there is none, and drift in common is not
// taken for one.
func TestSharedLevelIsFound(t *testing.T) {
	const planted = 0.15
	g := rand.New(rand.NewPCG(5, 6))
	level, speed := [11][9]float64{}, [11]float64{}
	for a := range level {
		for y := range level[a] {
			level[a][y] = planted * g.NormFloat64()
		}
		speed[a] = 0.15 * g.NormFloat64()
	}
	found := sharing(t, func(area int, years float64) float64 { return level[area][int(years)] }).sharedSD()
	assert.InDelta(t, planted, found, 0.05)
	assert.Zero(t, sharing(t, func(int, float64) float64 { return 0 }).sharedSD())
	assert.Zero(t, sharing(t, func(area int, years float64) float64 { return speed[area] * years }).sharedSD())
}

// Readings of one analyzer, units of one site and those without an area are not
// compared.
func TestWhatIsNotCompared(t *testing.T) {
	ends := func(unit, site int, an int32) []end {
		return []end{{residual: 2, years: 1, unit: 1, site: 1, an: 1}, {residual: -3, years: 2, starts: true, unit: unit, site: site, an: an}}
	}
	for _, c := range []struct {
		unit, site int
		an         int32
		n          float64
	}{{2, 2, 2, 1}, {1, 2, 2, 0}, {2, 1, 2, 0}, {2, 2, 1, 0}} {
		sum, n := products(ends(c.unit, c.site, c.an))
		assert.Equal(t, c.n, n)
		assert.Equal(t, 6*c.n, sum)
	}
	fit := sharing(t, func(int, float64) float64 { return 0 })
	for u := range fit.fleet.in.Series {
		fit.fleet.in.Series[u].Area = 0
	}
	assert.Empty(t, endsOf(fit))
}

// A shared level widens a state the more the longer ago its reading was, up to a year;
// a reading is as wide as before, because its noise holds the level already.
func TestSharedLevelWidensStates(t *testing.T) {
	fit := sharing(t, func(int, float64) float64 { return 0 })
	at := func(shared, years float64) Forecast {
		one := *fit
		one.shared = areaLevel(shared)
		s := &fit.fleet.in.Series[0]
		return one.Predictor().Predictive(0).At(Point{
			T: s.Visits[len(s.Visits)-1].T + years, Level: make([]float64, 1), Lo: -1, Hi: 1,
			Analyzer: -1, Period: -1,
		})
	}
	for _, years := range []float64{0, 0.5, 1, 2} {
		bare, wide := at(0, years), at(0.002, years)
		assert.InDelta(t, 0.002*math.Min(1, years), wide.State.SD*wide.State.SD-bare.State.SD*bare.State.SD, 1e-9)
		assert.InDelta(t, bare.Reading.SD, wide.Reading.SD, 1e-9)
		assert.InDelta(t, bare.State.Mean, wide.State.Mean, 1e-12)
	}
}

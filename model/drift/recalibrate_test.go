package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A past reading is forecast as if the record ended before its visit: by a unit whose
// record does, with the same fit, identically.
func TestPastForecastKnowsNothingLater(t *testing.T) {
	g := rand.New(rand.NewPCG(6, 6))
	whole := plain(g, "whole", 0, 0, 0, 0, 0, 0)
	short := whole
	short.Visits = whole.Visits[:4]
	fit := oddFit(t, whole, short)
	fit.Held.Population = fit.fleet.population()
	p := fit.Predictor()
	r := int(fit.fleet.start[0])
	for int(fit.fleet.vis[r]) < 4 {
		r++
	}
	x := whole.Visits[4].Readings[0]
	require.Equal(t, AsFound, x.Kind)
	got, ok := p.pastOf(0, r, -0.3, 0.3)
	require.True(t, ok)
	want := p.Predictive(1).At(Point{
		T: whole.Visits[4].T, Level: x.Level, Lo: -0.3, Hi: 0.3, Analyzer: x.Analyzer, Period: x.Period,
		Made: true,
	})
	require.Len(t, got.components, len(want.States))
	one := got.components[0]
	assert.InDelta(t, want.States[0].Mean, one.state, 1e-12)
	assert.InDelta(t, want.States[0].SD, math.Sqrt(one.variance), 1e-12)
	assert.InDelta(t, want.Shown[0].Mean, one.rich+0.3, 1e-12)
	assert.InDelta(t, want.Ahead, one.years, 1e-12)
	assert.InDelta(t, -1, p.without, 0, "later forecasts know all")
}

// What the unit's state made somebody read or write down teaches nothing, nor does a
// reading the fit has removed.
func TestPastsAreOfTheCalendar(t *testing.T) {
	g := rand.New(rand.NewPCG(6, 6))
	count := func(change func(*Visit)) int {
		s := plain(g, "u", 0, 0, 0, 0, 0, 0)
		for v := range s.Visits {
			change(&s.Visits[v])
		}
		fit := oddFit(t, s)
		return len(pasts(fit, []int{0}, []Point{{Lo: -0.3, Hi: 0.3}}))
	}
	assert.Equal(t, pastEach, count(func(*Visit) {}))
	assert.Zero(t, count(func(v *Visit) { v.Chosen = true }))
	assert.Zero(t, count(func(v *Visit) { v.Before = ChangeFuel }))
	assert.Zero(t, count(func(v *Visit) { v.Readings[0].Use = ForState }))
}

// taught makes past forecasts of one year ahead whose states are truly drawn by so much.
func taught(n int, draw float64) []past {
	g := rand.New(rand.NewPCG(3, 3))
	const spread, noise, band = 0.3, 0.08, 0.4
	true1 := Recalibration{Draw: draw, From: 1, To: 1, Readings: 1}
	all := make([]past, n)
	for i := range all {
		mean, sd := 0.35*g.NormFloat64(), 0.1+0.25*g.Float64()
		y := mean*true1.left(sd*sd, spread, 1) + math.Hypot(sd, noise)*g.NormFloat64()
		all[i] = past{
			components: []component{{
				weight: 1, state: mean, variance: sd * sd, years: 1,
				rich: mean - band, lean: -band - mean, sd: math.Hypot(math.Hypot(sd, noise), softly),
			}},
			rich: beyondEnd(y-band, softly), lean: beyondEnd(-band-y, softly),
		}
	}
	return all
}

// What was planted is learned, forecasts that were right are left nearly as they are,
// and few readings teach nothing.
func TestRecalibrationIsLearned(t *testing.T) {
	const spread = 0.3
	for _, draw := range []float64{0, 0.8} {
		c := learnFrom(taught(3000, draw), spread)
		assert.InDelta(t, draw, c.Draw, 0.2)
		assert.InDelta(t, 0, c.Later, 0.05, "all are of one year")
		assert.Equal(t, 3000, c.Readings)
	}
	few := learnFrom(taught(250, 0.8), spread)
	assert.Less(t, few.Draw, learnFrom(taught(3000, 0.8), spread).Draw+0.1)
	assert.Equal(t, Recalibration{}, learnFrom(taught(minHeldOut-1, 0.8), spread))
}

// The less surely a state is known the more it is drawn, one that was just read is
// not, the years end where past forecasts do, and no state is turned over or blown up.
func TestWhatIsLeftOfAState(t *testing.T) {
	c := Recalibration{Draw: 0.5, Later: 0.8, From: 0.8, To: 2, Readings: 900}
	assert.InDelta(t, 1, c.left(0, 0.3, 1), 0)
	assert.InDelta(t, 1/1.5, c.left(0.09, 0.3, 1), 1e-12)
	assert.Less(t, c.left(0.09, 0.3, 1), c.left(0.05, 0.3, 1))
	assert.Less(t, c.left(0.09, 0.3, 2), c.left(0.09, 0.3, 1))
	assert.InDelta(t, c.left(0.09, 0.3, 2), c.left(0.09, 0.3, 5), 0)
	assert.InDelta(t, c.left(0.09, 0.3, 0.8), c.left(0.09, 0.3, 0.1), 0)
	assert.InDelta(t, 1/0.6, (&Recalibration{Draw: -9, From: 1, To: 1, Readings: 900}).left(0.09, 0.3, 1), 1e-12)
	assert.InDelta(t, 1, (&Recalibration{Draw: 5}).left(0.09, 0.3, 1), 0, "learned from nothing")

	hold := Calibration{Population: Population{Spread: 0.3}, Past: c}
	d := dayState{mean: 0.3, variance: 0.0899, scale: 1, ahead: 1}
	hold.hold(&d)
	assert.InDelta(t, 0.3*c.left(0.0899, 0.3, 1), d.mean, 1e-12)
	assert.InDelta(t, d.mean-0.3, d.parts.Fleet, 1e-12)
	assert.InDelta(t, 0.0899, d.variance, 1e-12, "the interval stays as wide")
	far := dayState{mean: 0.95, variance: 0.05, scale: 1, ahead: 1, parts: Parts{Last: 0.95}}
	hold.hold(&far)
	assert.InDelta(t, 0.95, far.mean, 1e-12, "last read far off: it speaks for itself")
}

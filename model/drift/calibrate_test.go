package drift

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Damping and pulling bring a scatter down to the one wanted, and leave a smaller
// one alone: identities of the two ways.
func TestScatterIsBroughtDown(t *testing.T) {
	for _, c := range []struct {
		own, assumed float64
		damp, pull   bool
	}{{0.01, 0.02, false, false}, {0.03, 0.09, true, false}, {0.0625, 0.5, true, false}, {0.09, 0.2, true, true}} {
		damp, pull := scatter{c.own, c.assumed}.reduced(0.25)
		assert.Equal(t, c.damp, damp > 0)
		assert.Equal(t, c.pull, pull > 0)
		left := (c.own + (1-damp)*(1-damp)*c.assumed) * (1 - pull) * (1 - pull)
		assert.InDelta(t, math.Min(c.own+c.assumed, 0.0625), left, 1e-12)
	}
}

// The spread of as-found readings is that of their middle four fifths, drawn
// towards the prior; as-left readings, those judged unfit and a few wild ones count
// for nothing.
func TestPopulationIsWhatIsFound(t *testing.T) {
	series := make([]Series, 101)
	for u := range series {
		y := -0.5 + 0.01*float64(u)
		if u > 95 {
			y = 9
		}
		series[u] = Series{
			Unit: "u", Start: 0, Runs: []Run{{Rate: []float64{}}},
			Visits: []Visit{{T: 1, Analyzer: -1, Period: -1, Adjusted: Yes, Readings: []Reading{
				{Y: y, Kind: AsFound, Analyzer: -1, Period: -1}, {Y: 0.01, Kind: AsLeft, Analyzer: -1, Period: -1}, {
					Y: 5, Kind: AsFound, Use: ForState,
					Analyzer: -1, Period: -1,
				},
			}}},
		}
	}
	f, err := NewFleet(Input{Rules: DefaultConfig(), Series: series})
	require.NoError(t, err)
	p := f.population()
	own := 101.0 / 109
	assert.Equal(t, 101, p.Readings)
	assert.InDelta(t, 0, p.Mean, 1e-12)
	assert.InDelta(t, math.Sqrt(own*math.Pow(0.8/(2*z80), 2)+(1-own)*0.0625), p.Spread, 1e-9)

	f, err = NewFleet(Input{Rules: DefaultConfig(), Series: series[:1]})
	require.NoError(t, err)
	assert.Equal(t, Population{Spread: TypicalSpread, Readings: 1}, f.population())
}

// A held state is no less certain than the population; without a calibration nothing
// changes.
func TestHeldStates(t *testing.T) {
	d := dayState{mean: 0.5, variance: 0.5, own: 0.04, scale: 1}
	same := d
	(&Calibration{}).hold(&same)
	assert.Equal(t, d, same)
	c := Calibration{Population: Population{Mean: -0.1, Spread: 0.3}, Damp: 0.5, Pull: 0.2}
	apart := d
	apart.parts.Last = 0.81
	c.hold(&apart)
	assert.InDelta(t, 0.5, apart.mean, 1e-12, "last read over three spreads off: not pulled")
	c.hold(&d)
	assert.InDelta(t, 0.38, d.mean, 1e-12)
	assert.InDelta(t, 0.09, d.variance, 1e-12) // (.04 + .46/4) .64 = .0992 is over .09
	assert.InDelta(t, -0.12, d.parts.Fleet, 1e-12)
	assert.InDelta(t, math.Sqrt(0.09/(0.04+0.46/4)), d.scale, 1e-12)
}

// Where drift was not measured, no state is less certain than the population, and of
// two that would be, the one less certain before stays so: their order by chance does
// not end in ties.
func TestHeldStatesStayApart(t *testing.T) {
	c := Calibration{Population: Population{Spread: 0.25}, Assumed: true}
	before := 0.0
	for _, variance := range []float64{0.01, 0.05, 0.0625, 0.1, 0.5, 1, 4} {
		d := dayState{variance: variance, scale: 1}
		c.hold(&d)
		assert.Greater(t, d.variance, before)
		assert.Less(t, d.variance, math.Min(variance, 0.0625))
		assert.InDelta(t, d.variance, d.scale*d.scale*variance, 1e-15)
		before = d.variance
	}
	d := dayState{variance: 1e-9, scale: 1}
	c.hold(&d)
	assert.InEpsilon(t, 1e-9, d.variance, 1e-12, "one that is certain is left alone")
}

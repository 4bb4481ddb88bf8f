package drift

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// instrumentDesign is the test worlds' design with the age of the instrument.
func instrumentDesign() Design {
	d := worldDesign
	d.Level = append(append([]Column{}, d.Level...), Column{
		Name: "since", Unit: "points a year", Prior: &Prior{0, 0.1}, Instrument: true,
		MaxSE: 0.05,
	})
	return d
}

// aged gives every reading of a fleet the years since its analyzer's calibration,
// and lets analyzers lose so many points a year.
func aged(in Input, lost float64, since func(v *Visit) float64) Input {
	in.Design = instrumentDesign()
	for u := range in.Series {
		for k := range in.Series[u].Visits {
			v := &in.Series[u].Visits[k]
			a := since(v)
			v.Level = append(append([]float64{}, v.Level...), a)
			for r := range v.Readings {
				x := &v.Readings[r]
				x.Level = append(append([]float64{}, x.Level...), a)
				x.Y -= lost * a
			}
		}
	}
	return in
}

// within is the part of the year that has gone: periods are calendar years.
func within(v *Visit) float64 { return v.T - math.Floor(v.T) }

// The slope since calibration is estimated at any amount of data with its prior as one
// observation, and its part of a forecast belongs to the analyzer.
func TestAgeingIsEstimated(t *testing.T) {
	for _, units := range []int{40, 300} {
		f, err := NewFleet(aged(invented(units, 8, 3), 0.2, within))
		require.NoError(t, err)
		fit, err := f.Fit(ctx, Options{})
		require.NoError(t, err)
		c, ok := fit.Coefficient("since")
		require.True(t, ok)
		assert.Nil(t, c.Dropped)
		assert.InDelta(t, -0.2, c.Value, 3*c.SE)
		assert.False(t, fit.Widened("since"))
		o := fit.Predictor().Predictive(0)
		now := o.At(Point{T: 9, Level: []float64{0, 0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1})
		assert.InDelta(t, now.State.Mean, now.Parts.Sum(), 1e-12)
		r := f.in.Series[0].Visits[o.LastVisit].Readings[o.LastReading]
		bias, _ := fit.ReadsOn(r.Analyzer, r.Period, r.Level)
		assert.InDelta(t, -bias, now.Parts.Analyzer, 1e-12, "the bias of the day, ageing included")
		line := fit.ReadsAlong(r.Analyzer, r.Period, "since")
		value, sd := line.At(r.Level[1])
		_, want := fit.ReadsOn(r.Analyzer, r.Period, r.Level)
		assert.InDelta(t, bias, value, 1e-12)
		assert.InDelta(t, want, sd, 1e-9)
	}
}

// Where nothing separates instruments from units the column leaves the fit, and a
// state gains the variance of its prior times the age of its reading's analyzer.
func TestAgeingIsHeld(t *testing.T) {
	same := func(v *Visit) float64 { return 0.5 } // all of one age: no difference tells
	f, err := NewFleet(aged(invented(60, 8, 3), 0, same))
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	assert.True(t, fit.Widened("since"))
	plain := invented(60, 8, 3)
	g, err := NewFleet(plain)
	require.NoError(t, err)
	without, err := g.Fit(ctx, Options{})
	require.NoError(t, err)
	a := fit.Predictor().Predictive(0).At(Point{T: 9, Level: []float64{0, 0}, Analyzer: -1, Period: -1}).State
	b := without.Predictor().Predictive(0).At(Point{T: 9, Level: []float64{0}, Analyzer: -1, Period: -1}).State
	assert.InDelta(t, b.Mean, a.Mean, 1e-9)
	assert.InDelta(t, b.SD*b.SD+0.1*0.1*0.5*0.5, a.SD*a.SD, 1e-9)
	assert.Contains(t, fit.Notes, Inseparable{Column: "since", Unit: "points a year", SD: 0.1})

	drifting := func(v *Visit) float64 { return v.T + 0.001*math.Floor(3*v.T) } // one long period: ageing is time
	f, err = NewFleet(aged(invented(60, 8, 3), 0, drifting))
	require.NoError(t, err)
	fit, err = f.Fit(ctx, Options{})
	require.NoError(t, err)
	c, _ := fit.Coefficient("since")
	assert.IsType(t, KnownTooPoorly{}, c.Dropped)
	assert.True(t, fit.Widened("since"))
}

// The next reading's instrument has aged as the fleet's have: its mean and variance are
// in the prediction of a reading, and in no state.
func TestNextInstrumentHasAged(t *testing.T) {
	f, err := NewFleet(aged(invented(300, 8, 3), 0.2, within))
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	p := fit.Predictor()
	at := Point{T: 9, Level: []float64{0, 0}, Analyzer: -1, Period: -1}
	next := p.Predictive(0).At(at)
	at.Made = true
	right := p.Predictive(0).At(at)
	c, _ := fit.Coefficient("since")
	m := f.next[1]
	assert.InDelta(t, 0.45, m.mean, 0.05)
	assert.InDelta(t, 1.0/12, m.variance, 0.02)
	assert.Equal(t, right.State, next.State)
	assert.InDelta(t, right.Reading.Mean+c.Value*m.mean, next.Reading.Mean, 1e-9)
	assert.Greater(t, next.Reading.SD*next.Reading.SD-right.Reading.SD*right.Reading.SD, 0.5*c.Value*c.Value*m.variance)
}

// A certificate is one observation: with a small error it pins b1 + b2 + slope x
// length, through the joint posterior as dense algebra has it.
func TestCertificateIsAnObservation(t *testing.T) {
	in := aged(invented(60, 6, 4), 0.1, within)
	in.Certificates = []Certificate{{Analyzer: 2, Period: 2*8 + 3, Level: []float64{0, 1}, Y: 0.25, SD: 0.03}}
	f, err := NewFleet(in)
	require.NoError(t, err)
	with, err := f.Evaluate(ctx, FixedRatios, EvaluateOptions{PriorSigma: TypicalSigma})
	require.NoError(t, err)
	in.Certificates = nil
	g, err := NewFleet(in)
	require.NoError(t, err)
	without, err := g.Evaluate(ctx, FixedRatios, EvaluateOptions{PriorSigma: TypicalSigma})
	require.NoError(t, err)
	prior, sd := without.ReadsOn(2, 2*8+3, []float64{0, 1})
	got, after := with.ReadsOn(2, 2*8+3, []float64{0, 1})
	// sequential updating, at the noise of each fit
	s2 := square(0.03 * without.Sigma / TypicalSigma)
	k := sd * sd / (sd*sd + s2)
	assert.InDelta(t, prior+k*(0.25-prior), got, 1e-9)
	assert.InDelta(t, sd*math.Sqrt(1-k)/without.Sigma, after/with.Sigma, 1e-9)
	in.Certificates = []Certificate{{Analyzer: 9, Period: 0, Y: 1, SD: 0.1}}
	_, err = NewFleet(in)
	require.ErrorContains(t, err, "certificate 0")
}

// Forty units of another analyzer that all fall by 0.6 when a new one takes over: the
// step stays with the new one, is named as a difference to the ones before it, and none
// is cut; no fleet without a step names one.
func TestStepIsADifference(t *testing.T) {
	for seed := range uint64(6) {
		f, err := NewFleet(invented(120, 8, 40+seed))
		require.NoError(t, err)
		fit, err := f.Fit(ctx, Options{})
		require.NoError(t, err)
		assert.Empty(t, fit.Steps, "seed %d", seed)
	}
	in := invented(120, 8, 5)
	in.Analyzers, in.Periods = 9, 9*8
	for u := range 40 {
		v := &in.Series[u].Visits[len(in.Series[u].Visits)-1]
		v.Readings, v.Adjusted, v.Analyzer, v.Period = v.Readings[:1], No, 8, 8*8
		v.Readings[0].Analyzer, v.Readings[0].Period = 8, 8*8
		v.Readings[0].Y -= 0.6
	}
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	require.Len(t, fit.Steps, 1)
	s := fit.Steps[0]
	assert.Equal(t, 8, s.Analyzer)
	assert.Less(t, s.Z, -4.0)
	assert.InDelta(t, -0.6, s.Difference, 0.12)
	assert.False(t, s.After)
	bias, _ := fit.ReadsOn(8, 8*8, nil)
	assert.Less(t, bias, -0.45, "it stays with the new one")
	assert.Empty(t, fit.Unconfirmed)
	normal, err := fit.Fleet().Evaluate(ctx, fit.Theta, EvaluateOptions{PriorSigma: TypicalSigma})
	require.NoError(t, err)
	shared, _ := normal.ReadsOn(8, 8*8, nil)
	assert.Greater(t, shared, bias, "normal biases share it out")
}

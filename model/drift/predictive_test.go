package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// oddFit fits 200 ordinary units and returns the forecasts' maker; the odd ones
// come first.
func oddFit(t *testing.T, odd ...Series) *Fit {
	t.Helper()
	f := plainFleet(t, odd...)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	return fit
}

func band(t float64) Point { return Point{T: t, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1} }

func series(visits ...Visit) Series {
	return Series{Unit: "odd", Start: 0, Visits: visits, Runs: []Run{{Rate: []float64{1}}}}
}

// What the state of today is computed from, and with which weights: the figures are the
// rules' own (0.9 flagged, 0.7 no flag, 0.8 midway, 0.5 unconfirmed).
func TestStatesTheRecordLeavesOpen(t *testing.T) {
	work := visit(1, Unknown)
	work.Work = true
	doubtful := left(0.4)
	doubtful.Use = ForState
	doubtful.W = 9
	fuel := visit(1, No)
	fuel.Before = ChangeFuel
	target := visit(1, No)
	target.Before = ChangeTarget
	older := visit(0, No, found(0.3))
	older.TargetStep = -0.1
	for _, c := range []struct {
		name    string
		series  Series
		weights []float64
		means   []float64 // deviation each state starts from
		marks   Mark
		last    [2]int
	}{
		{"as left", series(visit(0, Yes, found(0.3), left(0.05))), []float64{1}, []float64{0.05}, 0, [2]int{0, 1}},
		{"as found, not adjusted", series(visit(0, No, found(0.3))), []float64{1}, []float64{0.3}, 0, [2]int{0, 0}},
		{"as found in order, no flag", series(visit(0, Unknown, found(0.1))), []float64{1}, []float64{0.1}, 0, [2]int{0, 0}},
		{"as found far out, no flag", series(visit(0, Unknown, found(0.3))), []float64{0.7, 0.3}, []float64{0, 0.3}, MaybeSet, [2]int{0, 0}},
		{
			"adjusted, as left not recorded", series(visit(0, Yes, found(0.3))),
			[]float64{0.9, 0.1},
			[]float64{0, 0.3},
			SetNotRecorded,
			[2]int{0, 0},
		},
		{
			"adjusted, nothing recorded", series(visit(0, No, found(0.3)), visit(1, Yes)),
			[]float64{0.9, 0.1},
			[]float64{0, 0.3},
			SetNotRecorded,
			[2]int{0, 0},
		},
		{
			"not adjusted, nothing recorded: believed", series(visit(0, No, found(0.3)), visit(1, No)),
			[]float64{1},
			[]float64{0.3},
			0,
			[2]int{0, 0},
		},
		{"work without values", series(visit(0, No, found(0.3)), work), []float64{0.8, 0.2}, []float64{0, 0.3}, SetNotRecorded, [2]int{0, 0}},
		{
			"two open visits", series(visit(0, No, found(0.3)), visit(1, Unknown), visit(1.5, Yes)),
			[]float64{0.9, 0.07, 0.03},
			[]float64{0, 0, 0.3},
			SetNotRecorded | MaybeSet,
			[2]int{0, 0},
		},
		{
			"as left in doubt: written wrongly, or left so", series(visit(0, Yes, found(0.1), doubtful)),
			[]float64{0.5, 0.5},
			[]float64{0, 0.4},
			NotInFit,
			[2]int{0, 1},
		},
		{"fuel changed since", series(visit(0, No, found(0.3)), fuel), []float64{1}, []float64{0}, ChangedSince, [2]int{-1, -1}},
		{"target changed since: restated", series(older, target), []float64{1}, []float64{0.2}, 0, [2]int{0, 0}},
		{"no record since it was installed", series(), []float64{1}, []float64{0}, NoRecord, [2]int{-1, -1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			fit := oddFit(t, c.series)
			o := fit.Predictor().Predictive(0)
			require.Len(t, o.parts, len(c.weights))
			for i, b := range o.parts {
				assert.InDelta(t, c.weights[i], b.weight, 1e-12)
				assert.InDelta(t, c.means[i], b.y, 1e-12)
			}
			unit := o.Marks &^ (NoHistory | AnalyzerUnknown)
			assert.Equal(t, c.marks, unit)
			assert.Equal(t, c.last, [2]int{o.LastVisit, o.LastReading})
			for _, b := range o.parts {
				if b.reading < 0 {
					sd := 0.1
					if c.marks&ChangedSince != 0 {
						sd = 0.2
					}
					assert.InDelta(t, 1+math.Pow(sd/fit.Sigma, 2), b.w, 1e-9)
				}
			}
			f := o.At(band(2))
			assert.InDelta(t, f.State.Mean, f.Parts.Sum(), 1e-12)
			assert.InDelta(t, f.POut, f.PRich+f.PLean, 1e-12)
			assert.InDelta(t, f.POut, o.POut(band(2)), 1e-12)
			assert.InDelta(t, 0.05, f.States.Below(f.State.Low), 1e-9)
			assert.InDelta(t, 0.05, f.States.Above(f.State.High), 1e-9)
			assert.Less(t, f.State.SD, f.Reading.SD)
		})
	}
}

// Identity: of a unit without differences the state after D years is the last
// reading, moved by the fleet's rate, with variance
// sigma^2 (1 + Q^2 D + Tau^2 D^2) + D^2 var(rate).
func TestUnitWithOneReading(t *testing.T) {
	fit := oddFit(t, series(visit(0, No, found(0.12))))
	rate, _ := fit.Coefficient("time")
	got := fit.Predictor().Predictive(0).At(band(2))
	assert.NotZero(t, got.Marks&NoHistory)
	assert.InDelta(t, 0.12+2*rate.Value, got.State.Mean, 1e-12)
	s2 := fit.Sigma * fit.Sigma
	assert.InDelta(t, s2*(1+2+4)+4*rate.SE*rate.SE, got.State.SD*got.State.SD, 1e-12)
	assert.InDelta(t, s2, got.Reading.SD*got.Reading.SD-got.State.SD*got.State.SD, 1e-12)
}

// A last reading a cut isolates: the two states and their weights follow the
// formula written out here with the forecast made without that reading.
func TestIsolatedLastReading(t *testing.T) {
	g := rand.New(rand.NewPCG(6, 6))
	odd := plain(g, "last reading off", 0, 0, 0, 0, 0, 0.7)
	short := odd
	short.Visits = odd.Visits[:5]
	fit := oddFit(t, odd, short)
	p := fit.Predictor()
	o := p.Predictive(0)
	require.NotNil(t, o.Last)
	assert.NotZero(t, o.Marks&LastUnconfirmed)
	rest := p.Predictive(1).At(band(5))
	assert.InDelta(t, rest.Reading.Mean, o.Last.Expected, 1e-12)
	assert.InDelta(t, rest.Reading.SD, o.Last.SD, 1e-12)

	y := odd.Visits[5].Readings[0].Y
	delta, v0 := y-rest.Reading.Mean, rest.Reading.SD*rest.Reading.SD
	normal := func(v float64) float64 { return math.Exp(-delta*delta/2/v) / math.Sqrt(2*math.Pi*v) }
	f0 := 0.985 * math.Exp(-0.04) * normal(v0)
	fT := 0.015 * normal(v0+0.64)
	fJ := (1 - 0.7) * (1 - math.Exp(-0.04)) * normal(v0+0.65*0.65)
	assert.InDelta(t, fT/(f0+fT+fJ), o.Last.Wrong, 1e-12)

	f := o.At(band(5.5))
	assert.InDelta(t, p.Predictive(1).At(band(5.5)).POut, f.POutWithout, 1e-12)
	assert.Greater(t, f.POutKept, 0.9)
	assert.InDelta(t, o.Last.Wrong*f.POutWithout+(1-o.Last.Wrong)*f.POutKept, f.POut, 1e-12)
}

// The share of technicians who adjust what is far out decides between a typing
// error and a jump left alone; it is taken from the record where it can be.
func TestShareAdjusted(t *testing.T) {
	var units []Series
	for i := range 40 {
		a := No
		if i%4 > 0 {
			a = Yes
		}
		units = append(units, series(visit(0, a, found(0.5)), visit(1, No, found(0.05))))
	}
	f := plainFleet(t, units...)
	s := f.sharesOf()
	assert.Equal(t, []float64{0.75, 40, 0.75, 40}, []float64{s.AdjustedOff, float64(s.Off), s.AdjustedFar, float64(s.Far)})
	somebody := &Visit{}
	assert.Equal(t, 0.75, f.technicians.noFlagShare(somebody))
	for u := range units {
		units[u].Visits[0].Adjusted = Yes
	}
	assert.Equal(t, 0.9, plainFleet(t, units...).technicians.noFlagShare(somebody), "never more")
	assert.Equal(t, 0.7, plainFleet(t, units[:19]...).technicians.noFlagShare(somebody), "too few to estimate")
}

// A covariate nobody knows widens the forecast by beta^2 var(z) D^2 and moves
// the mean by the imputed rate; the fit keeps the unit through the companion column.
func TestUnknownRate(t *testing.T) {
	in := invented(300, 8, 11)
	nan := math.NaN()
	in.Series[0].Runs = []Run{{Rate: []float64{1, nan, 0, 3}, Grow: []float64{0, 0, 0, 1}}}
	in.Series[1].Runs = []Run{{Rate: []float64{1, nan, 0, 3}, Grow: []float64{0, 0, 0, 1}}}
	in.Series[1].Imputed = Imputation{Rate: []float64{0, 0.9, 0, 0}, Var: make([]float64, 4)}
	in.Series[1].Visits = in.Series[0].Visits
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	vent, _ := fit.Coefficient("vent")
	own, _ := fit.Coefficient("vent unknown")
	assert.Nil(t, own.Dropped)
	p := fit.Predictor()
	last := in.Series[0].Visits[len(in.Series[0].Visits)-1].T
	day := Point{T: last + 2, Level: []float64{0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1}
	a, b := p.Predictive(0).At(day), p.Predictive(1).At(day)
	assert.NotZero(t, a.Marks&CovariateUnknown)
	assert.InDelta(t, 2*vent.Value*(0.9-f.imputed.Rate[1]), b.State.Mean-a.State.Mean, 1e-9)
	assert.InDelta(t, 0.5, f.imputed.Rate[1], 0.06, "median of the invented vents, uniform on 0..1")
	assert.InDelta(t, 1.0/12, f.imputed.Var[1], 0.015, "their variance")

	in.Series[1].Imputed.Var[1] = 0.04
	wide := p.Predictive(1).At(day)
	assert.InDelta(t, b.State.Mean, wide.State.Mean, 1e-12)
	assert.InDelta(t, math.Pow(2*vent.Value*0.2, 2), math.Pow(wide.State.SD, 2)-math.Pow(b.State.SD, 2), 1e-12)
}

// What is not known of a day's level covariates adds gamma^2 var.
func TestLevelOfTheDayIsNotKnown(t *testing.T) {
	rows := fixture(t)
	for i := range rows {
		rows[i].level = []float64{rows[i].level[0], float64(i % 7)}
	}
	design := Design{Level: []Column{{Name: "temp"}, {Name: "other"}}, Drift: fixtureDesign.Drift}
	fit := evaluate(t, fleetOf(t, design, rows), Theta{1, 1, 1, 0})
	o := fit.Predictor().Predictive(0)
	day := Point{T: 6, Level: []float64{3, 1}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1}
	known := o.At(day)
	day.LevelVar = []float64{16, 9}
	vague := o.At(day)
	a, b := fit.Coefficients[0].Value, fit.Coefficients[1].Value
	assert.InDelta(t, 16*a*a+9*b*b, math.Pow(vague.State.SD, 2)-math.Pow(known.State.SD, 2), 1e-12)
}

// Months are scanned: already outside, between two days, or not within.
func TestFirstPassage(t *testing.T) {
	g := rand.New(rand.NewPCG(4, 4))
	fit := oddFit(t, series(visit(3, No, found(0.5))), plain(g, "rising", -0.1, -0.03, 0.04, 0.11), series(visit(3, No, found(0))))
	p := fit.Predictor()
	days := make([]Point, 61)
	for m := range days {
		days[m] = band(3.1 + float64(m)/12)
	}
	already := p.Predictive(0).FirstPassage(days, 0.5)
	assert.Equal(t, Already, already.When)
	assert.Equal(t, 3.1, already.Middle)
	o := p.Predictive(1)
	within := o.FirstPassage(days, 0.5)
	require.Equal(t, Within, within.When)
	assert.InDelta(t, 0.5, o.POut(band(within.Middle)), 0.01)
	assert.InDelta(t, 0.25, o.POut(band(within.Early)), 0.01)
	assert.Less(t, within.Early, within.Middle)
	assert.True(t, math.IsNaN(within.Late) || within.Late > within.Middle)
	wide := make([]Point, len(days))
	for m := range days {
		wide[m] = Point{T: days[m].T, Lo: -9, Hi: 9, Analyzer: -1, Period: -1}
	}
	assert.Equal(t, NotWithin, p.Predictive(2).FirstPassage(wide, 0.5).When)
	none := Point{T: 4, Lo: math.NaN(), Hi: math.NaN(), Analyzer: -1, Period: -1}
	assert.Equal(t, NotJudged, p.Predictive(2).FirstPassage([]Point{none}, 0.5).When)
}

func TestExtrapolationIsMarked(t *testing.T) {
	o := oddFit(t, series(visit(0, No, found(0)))).Predictor().Predictive(0)
	assert.Zero(t, o.At(band(3)).Marks&Extrapolated)
	assert.NotZero(t, o.At(band(3.1)).Marks&Extrapolated)
	assert.True(t, math.IsNaN(o.At(band(-1)).State.Mean), "no forecast of the past")
}

package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// moderate plants typing errors that removal at fixed ratios leaves in: a third of a
// point, five standard deviations of the noise but fewer of what a reading may be off.
func moderate(in *Input) {
	g := rand.New(rand.NewPCG(4, 4))
	every(in, func(_ *Series, v *Visit) {
		if v.Adjusted == No && g.Float64() < 0.02 {
			v.Readings[0].Y += math.Copysign(0.33, g.Float64()-0.5)
		}
	})
}

// After the search for the ratios nothing is left that lies beyond four standard
// deviations of its deletion statistic; at fixed ratios something is.
func TestRoundsAfterTheSearch(t *testing.T) {
	in := invented(300, 12, 3)
	moderate(&in)
	f, err := NewFleet(in)
	require.NoError(t, err)
	largest := func(fit *Fit) (t float64) {
		all, err := newRemovalPass(ctx, fit, 1)
		if err != nil {
			panic(err)
		}
		for _, s := range all.worst {
			t = max(t, s.t)
		}
		return t
	}
	fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
	require.NoError(t, err)
	require.Equal(t, Estimated, fit.How)
	assert.LessOrEqual(t, largest(fit), float64(stageBLimit))
	only, _, err := f.Clean(ctx, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	first := evaluate(t, only, fit.Theta)
	assert.Greater(t, largest(first), float64(stageBLimit))
	assert.Greater(t, first.Sigma, 1.02*fit.Sigma)
}

// Where nothing is fitted the reader is told by how many differences.
func TestNothingFittedIsSaid(t *testing.T) {
	in := invented(60, 6, 5)
	every(&in, func(_ *Series, v *Visit) {
		v.Readings = v.Readings[len(v.Readings)-1:]
		v.Readings[0].Kind, v.Adjusted = AsLeft, Yes
	})
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	assert.Contains(t, fit.Notes, NothingFitted{})
	assert.Equal(t, Ended{How: Defaults}, fit.Ended())
}

// Below the differences that ratios take, a search is not even begun, whatever it would
// find: the ratios stay, and the record speaks of no search.
func TestNoSearchOnFewDifferences(t *testing.T) {
	f, err := NewFleet(invented(55, 6, 21))
	require.NoError(t, err)
	n := f.Counts().Differences
	require.Greater(t, n, minSearchDiffs, "a search would find ratios")
	require.Less(t, n, MinFree)
	end, err := Search{}.Ratios(ctx, f, FixedRatios, EvaluateOptions{})
	require.NoError(t, err)
	require.Nil(t, end.Fallback)
	fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
	require.NoError(t, err)
	assert.Equal(t, WithPriors, fit.How)
	assert.Nil(t, fit.Search)
	assert.Equal(t, FixedRatios, fit.Theta)
}

// How often a far reading is left alone is taken from the record where it says so often
// enough: how an unconfirmed last reading is weighed is the formula with that share. In a fleet in which
// a quarter of what is far is adjusted a jump is likelier, and a mistake less so.
func TestUnconfirmedGoesByTheShareAdjusted(t *testing.T) {
	wrong := func(adjusted int) (estimated, written float64) {
		odd := []Series{series(visit(0, Yes, left(0)), visit(1, No, left(1))), series(visit(0, Yes, left(0)))}
		for i := range 40 {
			a := No
			if i < adjusted {
				a = Yes
			}
			odd = append(odd, series(visit(0, Yes, left(0.45)), visit(1, a, found(0.5)), visit(2, Yes)))
		}
		fit := oddFit(t, odd...)
		shares := fit.fleet.sharesOf()
		require.InDelta(t, float64(adjusted)/41, shares.AdjustedFar, 0.03) // the odd one is not found
		rest := fit.Predictor().Predictive(1).At(band(1))
		delta, v0 := 1-rest.Reading.Mean, rest.Reading.SD*rest.Reading.SD
		normal := func(v float64) float64 { return math.Exp(-delta*delta/2/v) / math.Sqrt(2*math.Pi*v) }
		f0, fT := 0.985*math.Exp(-0.04)*normal(v0), 0.015*normal(v0+0.64)
		fJ := (1 - shares.AdjustedFar) * (1 - math.Exp(-0.04)) * normal(v0+0.65*0.65)
		o := fit.Predictor().Predictive(0)
		require.NotNil(t, o.Last)
		return o.Last.Wrong, fT / (f0 + fT + fJ)
	}
	few, written := wrong(10)
	assert.InDelta(t, written, few, 1e-12)
	many, written := wrong(36)
	assert.InDelta(t, written, many, 1e-12)
	assert.Greater(t, many, few+0.1)
}

// Identity: what a forecast takes for the drift of a burner just set is the rate times
// the time, and the settling of the first year, which does not go on after it.
func TestForecastsSettleForAYear(t *testing.T) {
	in := invented(200, 8, 22)
	require.True(t, in.Design.Settling)
	just := Series{Unit: "just set", Visits: []Visit{{
		T: 8, Adjusted: Yes, Analyzer: -1, Period: -1,
		Readings: []Reading{{Kind: AsLeft, Analyzer: -1, Period: -1, Level: []float64{0}}},
	}}, Runs: []Run{{Rate: []float64{1, 0, 0, 0}}}}
	in.Series = append(in.Series, just)
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit := evaluate(t, f, FixedRatios)
	rate, _ := fit.Coefficient("time")
	settling, ok := fit.Coefficient(Settling)
	require.True(t, ok)
	require.NotZero(t, settling.Value)
	o := fit.Predictor().Predictive(200)
	for _, ahead := range []float64{0.25, 1, 3} {
		got := o.At(Point{T: 8 + ahead, Level: []float64{0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1})
		assert.InDelta(t, rate.Value*ahead+settling.Value*math.Min(ahead, 1), got.Parts.Drift, 1e-12, "%g years", ahead)
	}
}

// The wandering is searched for: over some fleets it and the noise come out as planted. A
// search that left it out would take it for noise.
func TestWanderingIsSearchedFor(t *testing.T) {
	const fleets = 4
	wander, noise := 0.0, 0.0
	for seed := range uint64(fleets) {
		f, err := NewFleet(invented(200, 8, 800+seed))
		require.NoError(t, err)
		fit, err := f.Fit(ctx, Options{Ratios: Search{}.Ratios})
		require.NoError(t, err)
		wander, noise = wander+fit.sqrtQ()/fleets, noise+fit.Sigma/fleets
	}
	assert.InEpsilon(t, trueWander, wander, 0.2)
	assert.InEpsilon(t, trueNoise, noise, 0.2)
}

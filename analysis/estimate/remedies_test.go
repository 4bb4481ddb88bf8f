package estimate_test

import (
	"context"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// hasNote says whether a line with some words is among those of the fleet or of
// its fits.
func (o *world) hasNote(said string) bool {
	notes := o.out.Notes
	for _, f := range o.out.Fits {
		notes = slices.Concat(notes, f.Notes)
	}
	return slices.ContainsFunc(words.Notes(notes), func(n string) bool { return strings.Contains(n, said) })
}

// steps are the suspected steps at high fire.
func (o *world) steps() []estimate.StepSuspected { return o.out.Fits[0].Steps }

// A step of a fifth of a point in one area is suspected there, near its day and of
// its size; without one nothing is; known, it is a coefficient and not suspected.
func TestLevelStepIsSuspectedAndKnown(t *testing.T) {
	calm := estimated(t, 11, 300, modelsWorld(), quick)
	require.Empty(t, calm.steps())
	day := day.Of(2021, 1, 10)
	w := plainWith(func(w *demo.World) {
		w.LevelSteps = []demo.LevelStep{{Area: "North 1", Day: day, CO2Points: -0.25}}
	})
	o := estimated(t, 11, 300, w, quick)
	require.Len(t, o.steps(), 1)
	s := o.steps()[0]
	require.Equal(t, "North 1", s.Area)
	require.InDelta(t, int32(day), int32(s.Day), 200)
	require.InDelta(t, -0.25, s.Points, 4*s.SE)
	require.True(t, o.hasNote("step of level is suspected in North 1"))
	known := estimated(t, 11, 300, w, quick, func(r *estimate.Config) {
		r.LevelSteps = []estimate.LevelStep{{Area: "North 1", Day: day, Reason: "another gas"}}
	})
	require.Empty(t, known.steps())
	for _, c := range known.out.Fits[0].Effects {
		if strings.HasPrefix(c.Name, "level from 2021-01-10") {
			require.InDelta(t, -0.25, c.Value, 3*c.SE)
			return
		}
	}
	t.Fatal("the known step has no coefficient")
}

// A step of the whole fleet is named once, not once an area.
func TestStepOfAllAreasIsNamedOnce(t *testing.T) {
	z := func(group int, at, size float64) drift.StepTest {
		return drift.StepTest{Group: group, T: at, Size: size, SE: 0.02, Z: size / 0.02}
	}
	names := []string{"*", "a", "b", "c"}
	got := estimate.Suspects([]drift.StepTest{z(estimate.WholeFleet, 30, -0.2), z(0, 30, -0.18), z(1, 30.5, -0.21), z(2, 20, 0.3)}, names)
	require.Len(t, got, 2)
	require.Equal(t, "*", got[0].Area)
	require.Equal(t, "c", got[1].Area)
	got = estimate.Suspects([]drift.StepTest{z(1, 30, 0.3), z(1, 30.5, 0.2), z(2, 20, 0.09)}, names)
	require.Len(t, got, 1)
	require.Equal(t, "b", got[0].Area)
	byAnalyzers := estimate.StepSuspected{Area: "b", Day: asOf, Points: 0.2, Z: 9, Kept: 0.2}
	require.True(t, byAnalyzers.ByAnalyzers())
}

// Selective technicians are flagged, honest ones are not; the coefficients are then
// from the others' readings, the states from all.
func TestSelectiveRecordingIsFlagged(t *testing.T) {
	honest := estimated(t, 21, 300, modelsWorld(), quick, brief)
	for _, x := range honest.out.Technicians {
		require.False(t, x.Flagged, "%+v", x)
	}
	w := plainWith(func(w *demo.World) { w.SelectiveShare = 0.3 })
	o := estimated(t, 21, 600, w, quick, brief)
	flagged := 0
	for _, x := range o.out.Technicians {
		if x.Flagged {
			flagged++
			require.LessOrEqual(t, x.Near[1], x.AsFounds/20, "%+v", x)
		}
	}
	require.Greater(t, flagged, 3)
	require.True(t, o.hasNote("technicians record as-found readings selectively"))
	require.NotSame(t, o.out.Fits[0].Fit, o.out.Fits[0].Beta)
	require.IsType(t, estimate.InTwo{}, o.out.Fits[0].Ended())
}

// Where all technicians are selective no coefficient is shown.
func TestAllSelectiveWithholdsCoefficients(t *testing.T) {
	o := estimated(t, 22, 300, plainWith(func(w *demo.World) { w.SelectiveShare = 1 }), quick)
	require.True(t, o.hasNote("drift rates are not usable"))
	for _, c := range o.out.Fits[0].Effects {
		require.False(t, c.Usable)
		require.True(t, math.IsNaN(c.Value))
	}
	require.NotEmpty(t, o.judged()) // the list stays
}

// As-found readings that read low are told from fast drift after an adjustment where
// call-outs make as-found readings follow as-found readings; neither is by default.
func TestAsFoundReadLow(t *testing.T) {
	low := plainWith(func(w *demo.World) {
		w.AsFoundLow, w.CallOutsPerYear, w.AdjustShare = 0.12, 0.6, 0.6
		settleAll(w, 0)
	})
	o := estimated(t, 31, 400, low, quick, brief)
	require.True(t, o.out.Fits[0].AsFound.Used, "%+v", o.out.Fits[0].AsFound)
	require.True(t, o.hasNote("as-found readings seem to be low by"))
	require.InDelta(t, -0.12, o.out.Fits[0].AsFound.AsFoundPoints, 0.05)
	fast := estimated(t, 31, 400, plainWith(func(w *demo.World) {
		w.CallOutsPerYear, w.AdjustShare = 0.6, 0.6
		settleAll(w, -0.12)
	}), quick, brief)
	require.False(t, fast.out.Fits[0].AsFound.Used, "%+v", fast.out.Fits[0].AsFound)
	require.True(t, fast.hasNote("z of settling after adjustment"))
}

func settleAll(w *demo.World, points float64) {
	effects := map[judge.Control]demo.ControlEffects{}
	for k, e := range w.Effects {
		e.High.Settling, e.Low.Settling = points, points
		effects[k] = e
	}
	w.Effects = effects
}

// Lengths typed in where nobody measured are suspected and treated as missing; an
// honest register has none; a declared error is undone and both effects shown.
func TestVentRecords(t *testing.T) {
	honest := demoFleet(t, 1, 300)
	require.Empty(t, honest.out.Vents.Suspected)
	o := estimated(t, 41, 300, plainWith(func(w *demo.World) { w.VentTyped = 0.3 }), quick, brief)
	require.Len(t, o.out.Vents.Suspected, 1)
	require.InDelta(t, demo.TypedVentFt*0.3048, o.out.Vents.Suspected[0].LengthM, 1e-6) // foot: NIST SP 811
	require.True(t, o.hasNote("suspected default, treated as missing"))
	unknown, ok := o.out.Fits[0].Beta.Coefficient("vent unknown, ratio")
	require.True(t, ok)
	require.Nil(t, unknown.Dropped)
	o = estimated(t, 41, 300, plainWith(func(w *demo.World) { w.VentErrorSD = 0.5 }), quick, func(r *estimate.Config) { r.VentErrorSD = 0.5 })
	require.True(t, o.hasNote("to have an error of 50 %"))
	var with, as estimate.Effect
	for _, e := range o.out.Fits[0].Effects {
		switch e.Name {
		case "vent, fixed air":
			with = e
		case "vent, fixed air, as recorded":
			as = e
		}
	}
	require.Contains(t, with.Unit, "error of 50 %")
	require.Contains(t, as.Unit, "taken as exact")
	require.Greater(t, math.Abs(with.Value), math.Abs(as.Value)) // attenuation undone
}

// The rule itself: more than a tenth of the units, more than three times any
// length near it.
func TestSuspectedVentRule(t *testing.T) {
	even := map[int]int{1000: 30, 2000: 31, 3000: 32, 4000: 29}
	require.Empty(t, estimate.VentsSuspected(even, 122))
	even[2500] = 120
	got := estimate.VentsSuspected(even, 242)
	require.Equal(t, []estimate.TypedVent{{LengthM: 2.5, Units: 120}}, got)
	even[3000] = 40
	require.Empty(t, estimate.VentsSuspected(even, 250))
	require.Empty(t, estimate.VentsSuspected(map[int]int{1000: 9, 2000: 1, 3000: 1}, 100))
}

// CO2 in half points where nothing finer is recorded: the order stands, the
// coefficients are not usable. Where O2 is finer, O2 is read.
func TestCoarseDisplays(t *testing.T) {
	o := estimated(t, 51, 300, plainWith(func(w *demo.World) { w.DisplayStep, w.Gases = 0.5, demo.OnlyCO2 }), quick)
	require.True(t, o.hasNote("steps of 0.5 points"))
	for _, c := range o.out.Fits[0].Effects {
		require.False(t, c.Usable)
	}
	o = estimated(t, 51, 300, plainWith(func(w *demo.World) { w.DisplayStep, w.Display = 0.5, true }), quick)
	for _, s := range o.out.Sources {
		switch s.Name {
		case "north": // both gases
			require.True(t, s.UsesO2)
			require.Less(t, s.StepPoints, 0.06) // 0.1 % O2, 11.8/20.9 of it
		case "south": // CO2 only
			require.False(t, s.UsesO2)
			require.Equal(t, 0.5, s.StepPoints)
		case "west": // O2 only
			require.Less(t, s.StepPoints, 0.06)
		}
	}
	require.InDelta(t, 0.1, estimate.StepOf(tenths(50)), 1e-12)
	require.True(t, math.IsNaN(estimate.StepOf(tenths(10))))
}

func tenths(n int) (v []float64) {
	for k := range n {
		v = append(v, 8+float64(k%17)/10)
	}
	return v
}

// Noisy analyzers are named, one that made most of the newest readings as well;
// weights do not follow.
func TestAnalyzersAreRated(t *testing.T) {
	o := estimated(t, 61, 300, plainWith(func(w *demo.World) { w.NoiseSpread, w.OneContractor = 0.8, 0.7 }), quick)
	require.True(t, o.hasNote("of the newest readings: its bias is"))
	require.True(t, o.hasNote("times the others'"))
	share := 0.0
	for _, a := range o.out.Fits[0].Analyzers {
		share += a.CurrentShare
	}
	require.InDelta(t, 1, share, 1e-9)
}

// The share of call-outs is counted, and told where it is large.
func TestCallOutsAreCounted(t *testing.T) {
	few := estimated(t, 131, 100, modelsWorld(), quick, brief)
	require.Zero(t, few.out.CallOuts)
	many := estimated(t, 131, 100, plainWith(func(w *demo.World) { w.CallOutsPerYear = 3 }), quick, brief)
	require.Greater(t, many.out.CallOuts, 0.1)
	require.True(t, many.hasNote("of visits are call-outs"))
}

// Without temperatures the climate stands in; without a climate the season, and
// where the visits do not cover the year nothing does. Every unit is forecast.
func TestTemperatureMissing(t *testing.T) {
	w := plainWith(func(w *demo.World) { w.AirMissing = 1 })
	curve := estimate.YearlyCurve(10, 10, 20, estimate.AirSpreadK)
	climate := estimate.Climate{Outdoor: curve, Room: curve, Given: true}
	given := estimated(t, 81, 300, w, quick, brief, func(r *estimate.Config) { r.Climate = &climate })
	c, ok := given.out.Fits[0].Beta.Coefficient("air temperature, fixed air")
	require.True(t, ok)
	require.InDelta(t, 0.033, c.Value, 4*c.SE)
	season := estimated(t, 81, 300, w, quick, brief)
	_, ok = season.out.Fits[0].Beta.Coefficient("season, sine")
	require.True(t, ok)
	require.Equal(t, len(given.judged()), len(season.judged()))
}

// How far the data carry: nothing fitted, wide priors, ratios estimated.
func TestAmountsOfData(t *testing.T) {
	for _, c := range []struct {
		units int
		how   drift.How
		why   estimate.WhyNot
	}{{3, drift.Defaults, estimate.NothingMeasured{}}, {40, drift.WithPriors, nil}, {300, drift.Estimated, nil}} {
		o := estimated(t, 91, c.units, modelsWorld())
		fit := &o.out.Fits[0]
		require.Equal(t, c.how, fit.Fit.How, "%d units: %s", c.units, words.Ended(fit.Ended()))
		if c.why != nil {
			require.Equal(t, c.why, fit.Effects[0].Why)
		}
		if c.how == drift.Estimated {
			require.Nil(t, fit.Fit.Ended().Search.Fallback)
			require.Equal(t, fit.Fit.Theta, o.out.Ratios()["high"])
			warmStart(t, o)
		}
	}
}

// warmStart runs again from the last optimum: the same ratios with fewer
// evaluations.
func warmStart(t *testing.T, o *world) {
	r := o.rules
	r.Start = o.out.Ratios()
	again, err := estimate.Run(context.Background(), o.histories, r)
	require.NoError(t, err)
	for i := range again.Fits {
		a, b := again.Fits[i].Fit, o.out.Fits[i].Fit
		require.InDelta(t, b.Crit, a.Crit, 0.02)
		require.LessOrEqual(t, a.Search.Evaluations, b.Search.Evaluations+60)
	}
}

// A canceled context ends a run with its error; no run leaves a goroutine behind.
func TestRunHonoursTheContext(t *testing.T) {
	before := runtime.NumGoroutine()
	o := estimated(t, 111, 60, demo.Default(), quick)
	for range 1000 { // a goroutine that is done may take a moment to go
		if runtime.NumGoroutine() > before {
			time.Sleep(time.Millisecond)
		}
	}
	require.LessOrEqual(t, runtime.NumGoroutine(), before)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := estimate.Run(ctx, o.histories, rulesFor(t, o.histories))
	require.ErrorIs(t, err, context.Canceled)
}

package estimate_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Identity: nothing of a fit depends on a visit being called a call-out. They are
// kept, and no column is for them: the same records with call-outs called annual give
// the same bits. Only what past forecasts teach differs: somebody called because the
// burner was off, and of a unit today nobody has.
func TestCallOutsAreVisitsLikeOthers(t *testing.T) {
	o := estimated(t, 132, 100, plainWith(func(w *demo.World) { w.CallOutsPerYear = 1 }), quick)
	changed := 0
	for _, h := range o.histories {
		for i := range h.Visits {
			if h.Visits[i].Reason == "call-out" {
				h.Visits[i].Reason, changed = "annual", changed+1
			}
		}
	}
	require.Greater(t, changed, 30)
	again, err := estimate.Run(context.Background(), o.histories, o.rules)
	require.NoError(t, err)
	for i := range again.Fits {
		past, now := o.out.Fits[i].Fit.Held.Past, again.Fits[i].Fit.Held.Past
		require.Less(t, past.Readings, now.Readings)
		require.Equal(t, o.out.Fits[i].Fit.Held.Population, again.Fits[i].Fit.Held.Population)
		require.Equal(t, fmt.Sprint(o.out.Fits[i].Fit.Periods), fmt.Sprint(again.Fits[i].Fit.Periods))
		require.Equal(t, o.out.Fits[i].Fit.Counts, again.Fits[i].Fit.Counts)
		require.Equal(t, fmt.Sprint(o.out.Fits[i].Fit.Coefficients), fmt.Sprint(again.Fits[i].Fit.Coefficients))
	}
}

// Where no calibration is on record a period is a calendar year, in order, and each
// has a bias of its own that is estimated.
func TestYearsStandForCalibrations(t *testing.T) {
	o := invented(72, 200, modelsWorld())
	for _, h := range o.histories {
		for i := range h.Readings {
			h.Readings[i].Calibrated = day.None
		}
	}
	r := rulesFor(t, o.histories)
	quick(&r)
	out, err := estimate.Run(context.Background(), o.histories, r)
	require.NoError(t, err)
	years, known := 0, 0
	for _, a := range out.Fits[0].Analyzers {
		var seen []int
		for _, p := range a.Periods {
			require.Equal(t, day.None, p.Calibrated)
			require.NotContains(t, seen, p.Year)
			seen = append(seen, p.Year)
			if b := out.Fits[0].Fit.Periods[p.Column]; b.Cross > 0 && b.Value != 0 {
				known++
			}
		}
		require.True(t, slices.IsSorted(seen))
		years += len(seen)
	}
	require.Greater(t, years, 3*len(out.Fits[0].Analyzers))
	require.Greater(t, known, years/2)
}

// Nothing is said of a day more than five years ahead: five years and a day are within
// reach of no forecast, and what does not happen before is "not within five years".
func TestNothingIsSaidBeyondFiveYears(t *testing.T) {
	o := estimated(t, 5, 120, modelsWorld(), quick)
	const last = int32(asOf + 5*365 + 2)
	later, within := 0, 0
	for _, f := range o.out.Forecasts {
		for _, x := range f.Fires {
			require.LessOrEqual(t, x.FirstOutsideFrom, last)
			require.LessOrEqual(t, x.FirstOutsideTo, last)
			for _, p := range x.Path {
				require.LessOrEqual(t, p.Day, last)
			}
			switch x.FirstOutside {
			case analysis.LeavingNot:
				later++
			case "":
			default:
				within++
			}
		}
	}
	require.Positive(t, later)
	require.Positive(t, within)
}

// The coefficients are from the others' readings: the as-found readings of flagged
// technicians are not in that fit, and in the one of the states they are.
func TestFlaggedAsFoundsDecideNothing(t *testing.T) {
	o := estimated(t, 21, 300, plainWith(func(w *demo.World) { w.SelectiveShare, w.AsFoundMissing = 0.3, 0 }), quick, brief)
	flagged := map[[2]string]bool{}
	for _, x := range o.out.Technicians {
		flagged[[2]string{x.Source, x.Name}] = x.Flagged
	}
	theirs := 0
	for k, h := range o.histories {
		for i := range h.Readings {
			x, v := &h.Readings[i], &h.Visits[h.Readings[i].Visit]
			if x.Condition == judge.AsFound && x.Fire != judge.Low && o.out.Judgements[k].Uses[i] < judge.LeftOut &&
				flagged[[2]string{v.Source, v.Technician}] {
				theirs++
			}
		}
	}
	require.Greater(t, theirs, 50)
	fit := &o.out.Fits[0]
	require.InDelta(t, theirs, fit.Fit.Counts.Readings-fit.Beta.Counts.Readings, 0.1*float64(theirs)) // the two are cleaned apart
}

// Visits of one season alone cannot tell the course of the year: without temperatures
// nothing stands in for them.
func TestNoSeasonFromAutumnAlone(t *testing.T) {
	o := invented(81, 150, plainWith(func(w *demo.World) { w.AirMissing = 1 }))
	for _, h := range o.histories {
		h.Unit.Installed = day.None
		for i := range h.Visits {
			h.Visits[i].Day = inAutumn(h.Visits[i].Day)
		}
		for i := range h.Readings {
			h.Readings[i].Day = inAutumn(h.Readings[i].Day)
		}
	}
	r := rulesFor(t, o.histories)
	quick(&r)
	var err error
	o.out, err = estimate.Run(context.Background(), o.histories, r)
	require.NoError(t, err)
	require.NotEmpty(t, o.out.Fits[0].Fit.Coefficients)
	for _, c := range o.out.Fits[0].Fit.Coefficients {
		require.NotContains(t, c.Name, "season")
		require.NotContains(t, c.Name, "air temperature")
	}
	require.NotEmpty(t, o.judged())
}

// inAutumn moves a day into September to November of its year, in the order of days.
func inAutumn(on day.Day) day.Day {
	d := time.Unix(int64(on)*86400, 0).UTC()
	return day.Of(d.Year(), 9, 1) + day.Day(int32(d.YearDay()-1)/4)
}

// Where the air of the day is not known its spread about the season widens the state:
// the variance grows by that of the air times the square of its effect (identity).
func TestSpreadOfTheAirWidensForecasts(t *testing.T) {
	o := invented(82, 120, plainWith(func(w *demo.World) { w.AirMissing = 1 }))
	widths := func(variance float64) (out *estimate.Fleet) {
		curve := estimate.YearlyCurve(10, 10, 20, estimate.AirSpreadK)
		curve.Var = variance
		r := rulesFor(t, o.histories)
		r.LeaveOut(estimate.EstimatedRatios)
		r.Climate = &estimate.Climate{Outdoor: curve, Room: curve, Given: true}
		out, err := estimate.Run(context.Background(), o.histories, r)
		require.NoError(t, err)
		return out
	}
	const airVar = 16 // K^2: small enough for states to stay within the fleet's own spread
	calm, wild := widths(0), widths(airVar)
	c, ok := calm.Fits[0].Fit.Coefficient("air temperature, fixed air")
	require.True(t, ok)
	checked := 0
	for i, h := range o.histories {
		for k, x := range calm.Forecasts[i].Fires {
			y := wild.Forecasts[i].Fires[k]
			if x.Fire == judge.Low || h.Unit.Control != "fixed air" || math.IsNaN(x.CO2Percent) ||
				math.Abs(x.HighPercent+x.LowPercent-2*x.CO2Percent) > 1e-9 {
				continue // a mixture of states
			}
			const z = 1.6448536269514722 // normal quantile of a two-sided 90 % interval
			a, b := (x.HighPercent-x.LowPercent)/2/z, (y.HighPercent-y.LowPercent)/2/z
			if b > wild.Fits[0].Fit.Held.Spread-1e-6 {
				continue // held to the fleet's own spread
			}
			require.InDelta(t, airVar*c.Value*c.Value, b*b-a*a, 1e-9)
			checked++
		}
	}
	require.Greater(t, checked, 10)
}

// Fast drift in the first year after an adjustment is found as planted.
func TestSettlingIsFound(t *testing.T) {
	o := estimated(t, 33, 300, plainWith(func(w *demo.World) { settleAll(w, -0.15) }), quick, brief)
	for _, f := range o.out.Fits {
		c, ok := f.Beta.Coefficient("settling after adjustment")
		require.True(t, ok)
		require.Less(t, c.Value, -4*c.SE)
		require.InDelta(t, -0.15, c.Value, 3.3*c.SE) // 1 in 1,000
	}
}

// As-found readings that read low while burners settle fast besides are not taken for
// either: the column of as-found readings is used only where settling says nothing.
func TestLowAsFoundsThatMayBeSettling(t *testing.T) {
	o := estimated(t, 32, 600, plainWith(func(w *demo.World) {
		w.AsFoundLow, w.CallOutsPerYear, w.AdjustShare = 0.12, 0.6, 0.6
		settleAll(w, -0.2)
	}), quick, brief)
	c := o.out.Fits[0].AsFound
	require.Less(t, c.AsFoundZ, -4.0, "%+v", c)
	require.Less(t, c.SettlingZ, -2.0, "%+v", c)
	require.False(t, c.Used)
	require.True(t, o.hasNote("z of settling after adjustment"))
	require.False(t, o.hasNote("as-found readings seem to be low"))
}

// Where a source shows CO2 in half points and O2 in tenths the model reads the O2: the
// noise it finds is a reading's own, and today's CO2 is known better than half points
// would have it, which count as intervals.
func TestFinerGasIsWhatIsRead(t *testing.T) {
	o := invented(52, 300, plainWith(func(w *demo.World) { w.DisplayStep, w.Display = 0.5, true }))
	o.histories = slices.DeleteFunc(o.histories, func(h *judge.History) bool {
		return slices.ContainsFunc(h.Visits, func(v judge.Visit) bool { return v.Source != "north" && v.Reason != judge.FactoryTest })
	})
	require.Greater(t, len(o.histories), 60)
	fitted := func(omit estimate.Remedy) (sigma, width float64) {
		r := rulesFor(t, o.histories)
		r.Brief = true
		r.LeaveOut(omit | estimate.EstimatedRatios)
		out, err := estimate.Run(context.Background(), o.histories, r)
		require.NoError(t, err)
		n := 0.0
		for _, f := range out.Forecasts {
			for _, x := range f.Fires {
				if !math.IsNaN(x.CO2Percent) {
					width, n = width+x.HighPercent-x.LowPercent, n+1
				}
			}
		}
		require.Greater(t, n, 60.0)
		return out.Fits[0].Fit.Sigma, width / n
	}
	sigma, fine := fitted(0)
	require.InDelta(t, 0.07, sigma, 0.02) // 0.06 planted, 0.02 for the steps of O2, and what the ratios take
	_, rough := fitted(estimate.FinestGas)
	t.Logf("90 %% intervals as wide as %.3f, and %.3f by half points", fine, rough)
	require.Greater(t, rough, 1.15*fine)
}

// What is believed of a vent effect is said per standard deviation of the fleet's vents,
// whatever they are measured by: where nothing is fitted the coefficient shows it, in
// points a year per longest run.
func TestPriorsOfVentsGoByTheirSpread(t *testing.T) {
	o := estimated(t, 91, 4, modelsWorld())
	require.Equal(t, drift.Defaults, o.out.Fits[0].Fit.How)
	spread := o.out.Vents.Spread.SD
	require.Greater(t, math.Abs(spread-1), 0.3)
	seen := 0
	for _, c := range o.out.Fits[0].Fit.Coefficients {
		if strings.HasPrefix(c.Name, "vent, ") {
			seen++
			require.InDelta(t, o.rules.Priors.Vent.Mean/spread, c.Value, 1e-12, c.Name)
			require.InDelta(t, o.rules.Priors.Vent.SD/spread, c.SE, 1e-12, c.Name)
		}
	}
	require.Positive(t, seen)
}

// The prior of the air follows from the physics of a burner control, and
// where that is not known or several share a column by what lies between: the figures
// are worked out from first principles at the columns.
func TestPriorsOfTheAirGoByControl(t *testing.T) {
	seen := map[string]bool{}
	for _, control := range []judge.Control{"fixed air", "ratio", "oxygen trim", "", "two"} {
		o := invented(91, 4, modelsWorld())
		for i, h := range o.histories {
			if h.Unit.Control = control; control == "two" {
				h.Unit.Control = []judge.Control{"ratio", "fixed air"}[i%2]
			}
		}
		r := rulesFor(t, o.histories)
		r.Climate = &estimate.Climate{Outdoor: estimate.YearlyCurve(10, 10, 20, estimate.AirSpreadK), Given: true}
		out, err := estimate.Run(context.Background(), o.histories, r)
		require.NoError(t, err)
		require.Equal(t, drift.Defaults, out.Fits[0].Fit.How)
		want := map[string]float64{"fixed air": 0.033, "ratio": 0.017, "oxygen trim": 0, "control not recorded": 0.02, "other": 0.02}
		for _, c := range out.Fits[0].Fit.Coefficients {
			if name, ok := strings.CutPrefix(c.Name, "air temperature, "); ok {
				seen[name] = true
				require.InDelta(t, want[name], c.Value, 1e-12, c.Name)
				require.InDelta(t, r.Priors.AirSD, c.SE, 1e-12, c.Name)
			}
		}
	}
	require.Len(t, seen, 5)
}

package estimate

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Startups tells from the fits of shifts at installation what a start-up on a vent
// run is to be expected to show.
type Startups struct {
	fits map[judge.Fire]*ShiftFit // by fire of the fit
	of   map[judge.Fire]map[*judge.History]*unitSeries
}

// Units says how many units the fit of each fire is of; high holds single.
func (s *Startups) Units() map[judge.Fire]int {
	out := map[judge.Fire]int{}
	for fire, fit := range s.fits {
		out[fire] = fit.Units
	}
	return out
}

// Expect tells what a start-up of a unit on a vent run on a day would show less the
// factory's last reading, points of CO2: where the bench, transport, gas and
// altitude, the vent by burner control and the air to be expected that day would
// bring it. The 90 % prediction interval is of one start-up by any analyzer: noise of
// the fit, analyzers' errors, weather of the day, and what the fit does not know of
// its effects. ok is false without a fit, where the vent's measure is not known, and
// where the fit could not tell an effect that is needed.
func (s *Startups) Expect(h *judge.History, fire judge.Fire, run *judge.VentRun, day day.Day) (points, low, high float64, ok bool) {
	nan, name := math.NaN(), fire
	if fire == judge.Single {
		name = judge.High
	}
	fit, u := s.fits[name], s.of[name][h]
	if fit == nil || u == nil || u.fire != fire {
		return nan, nan, nan, false
	}
	z := u.b.vents.measure(h, run)
	if math.IsNaN(z) {
		return nan, nan, nan, false
	}
	before, bench, benchC := u.leftFactory(), -1, float64(BenchAirC)
	prior := fit.Fit.Theta.B1 * fit.Fit.Sigma // of an analyzer nobody knows
	variance := prior*prior + 2*fit.Fit.Sigma*fit.Fit.Sigma
	if before >= 0 {
		benchC = u.airOf(before)
		bench, _ = u.tools.columns(h, &h.Readings[before])
	}
	if bench < 0 {
		variance += prior * prior
	}
	airC, airVar := u.airExpected(run.AirFrom == "room", day)
	class := fit.classes.class(string(h.Unit.Control))
	weights := map[string]float64{benchColumn(class): 1, u.b.vents.column(class): z, airColumn(class): airC - benchC}
	points, sd, ok := fit.Fit.Combined(weights, bench)
	if !ok {
		return nan, nan, nan, false
	}
	air, _ := fit.Fit.Coefficient(airColumn(class))
	if !math.IsNaN(air.Value) {
		variance += air.Value * air.Value * airVar
	}
	half := fit.quantile95() * math.Sqrt(variance+sd*sd)
	return points, points - half, points + half, true
}

// quantile95 is that of Student's t for what the fit's noise rests on.
func (s *ShiftFit) quantile95() float64 {
	free := s.Fit.Counts.Differences
	for _, c := range s.Fit.Coefficients {
		if c.Dropped == nil {
			free--
		}
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(float64(free), 1)}.Quantile(0.95)
}

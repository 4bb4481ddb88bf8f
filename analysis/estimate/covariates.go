package estimate

import (
	"math"
	"slices"
	"time"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

func monthOf(d day.Day) time.Month { return d.Month() }

// covariates are what holds at a unit on a day, in the columns of a fit.
type covariates struct {
	*record
	cols *columns
}

// level makes the level covariates of a reading: the temperature of the air
// burnt, less 10 degC, in the column of the unit's control; the steps there were.
// A temperature in doubt counts as not recorded.
func (u *covariates) level(reading int) []float64 {
	x := &u.h.Readings[reading]
	t := math.NaN()
	if intakeKnown(u.h, x) && !u.doubted[reading] {
		t = x.AirTempC
	}
	out, _ := u.levelOn(x.Day, drawsRoom(u.h, x), t)
	u.sinceCalibration(out, x.Day, u.tools.calibrated(x))
	if u.foundSo(x) {
		out[u.cols.level[colAsFound]] = 1
	}
	return out
}

// levelUnread makes the level covariates of a setting at a visit without a value:
// air as the climate implies, the age of the visit's analyzer.
func (u *covariates) levelUnread(v *judge.Visit) []float64 {
	run := u.runOn(v.Day)
	out, _ := u.levelOn(v.Day, run != nil && run.AirFrom == "room", math.NaN())
	_, _, calibrated := u.tools.ofVisit(v)
	u.sinceCalibration(out, v.Day, calibrated)
	return out
}

// sinceCalibration fills in what the age of an instrument is on a day.
func (u *covariates) sinceCalibration(level []float64, d, calibrated day.Day) {
	if calibrated == day.None {
		level[u.cols.level[colSinceNone]] = 1
		return
	}
	level[u.cols.level[colSince]] = years(d) - years(calibrated)
}

// levelOn makes the level covariates of a day and their variance; airC is NaN
// where it is to be expected from the climate.
func (u *covariates) levelOn(day day.Day, room bool, airC float64) (values, variance []float64) {
	c := u.cols
	values = make([]float64, len(c.design.Level))
	variance = make([]float64, len(values))
	for _, s := range c.steps {
		if day >= s.Day && (s.Area == "*" || s.Area == u.h.AreaOn(day)) {
			values[c.level[stepColumn(s)]] = 1
		}
	}
	if c.season {
		s, k := math.Sincos(phase(day))
		values[c.level[colSeasonCos]], values[c.level[colSeasonSin]] = k, s
		return values, variance
	}
	k, ok := c.level[airColumn(c.control.class(string(u.h.Unit.Control)))]
	if !ok {
		return values, variance
	}
	if math.IsNaN(airC) {
		curve := u.b.climate.curve(room)
		airC, variance[k] = curve.At(day), curve.Var
	}
	values[k] = airC - 10
	return values, variance
}

// runs makes the stretches of constant circumstances: vent runs with their
// uncertain days, and fuels.
func (u *covariates) runs() []drift.Run {
	days := []day.Day{u.start()}
	for _, v := range u.h.VentRuns {
		days = append(days, v.UncertainFrom, v.From)
	}
	for _, f := range u.h.Fuels {
		days = append(days, f.From)
	}
	slices.Sort(days)
	days = slices.Compact(days)
	var out []drift.Run
	for _, d := range days {
		if d == day.None || d < u.start() || d > u.b.rules.AsOf {
			continue
		}
		out = append(out, u.run(d))
	}
	return out
}

// run makes the rates that hold from a day on.
func (u *covariates) run(d day.Day) drift.Run {
	c := u.cols
	r := drift.Run{From: years(d), Rate: make([]float64, len(c.design.Drift)), Grow: make([]float64, len(c.design.Drift))}
	k := u.stratumOn(u.runOn(d))
	r.Rate[c.drift[timeColumn(k)]], r.Rate[c.drift[u.b.vents.column(k)]] = 1, u.ventOn(d)
	age := c.drift[colAge]
	r.Rate[age], r.Grow[age] = math.NaN(), 0
	if u.h.Unit.Installed != day.None {
		r.Rate[age], r.Grow[age] = years(d)-years(u.h.Unit.Installed)-c.middle, 1
	}
	if at, ok := c.drift[fuelColumn(c.fuel.class(u.fuelOn(d)))]; ok {
		r.Rate[at] = 1
	}
	return r
}

// today is the as-of day to forecast.
func (u *covariates) today(day day.Day) drift.Point {
	band, _ := u.b.rules.Judge.Action(&u.target, u.h.Unit.Fuel)
	return u.point(day, band)
}

// points are days to forecast.
func (u *covariates) points(days []day.Day, band judge.Band) []drift.Point {
	points := make([]drift.Point, len(days))
	for i, day := range days {
		points[i] = u.point(day, band)
	}
	return points
}

// point is a day to forecast, with the air temperature to be expected.
func (u *covariates) point(day day.Day, band judge.Band) drift.Point {
	room := len(u.h.VentRuns) > 0 && u.h.VentRuns[len(u.h.VentRuns)-1].AirFrom == "room"
	level, variance := u.levelOn(day, room, math.NaN())
	return drift.Point{T: years(day), Level: level, LevelVar: variance, Lo: band.Lean, Hi: band.Rich, Analyzer: -1, Period: -1}
}

// stratumOf is the class of a unit's drift on the as-of day.
func (u *covariates) stratumOf() string { return u.stratumOn(runNow(u.h)) }

// stratumOn is the class of its drift on a run.
func (u *covariates) stratumOn(r *judge.VentRun) string {
	word := string(u.h.Unit.Control)
	if u.b.rules.onCommonVent(r) {
		word += commonWords
	}
	return u.cols.stratum.class(word)
}

// imputation puts a unit's imputed rates in the places of its columns.
func (u *covariates) imputation(vent, age spread) drift.Imputation {
	n := len(u.cols.design.Drift)
	g := drift.Imputation{Rate: make([]float64, n), Var: make([]float64, n)}
	k := u.cols.drift[u.b.vents.column(u.stratumOf())]
	g.Rate[k], g.Var[k] = vent.median, vent.variance
	k = u.cols.drift[colAge]
	g.Rate[k], g.Var[k] = age.median-u.cols.middle, age.variance
	return g
}

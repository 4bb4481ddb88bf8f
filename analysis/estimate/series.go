package estimate

import (
	"math"
	"slices"
	"time"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

func monthOf(d int32) time.Month { return day.Day(d).Month() }

// fill gives the visits of a series their level covariates, and the series its
// runs, once the columns are known.
func (u *unitSeries) fill() {
	asFound := u.cols.level[colAsFound]
	for v := range u.s.Visits {
		vis := &u.s.Visits[v]
		for k := range vis.Readings {
			vis.Readings[k].Level = u.level(u.at[v][k])
		}
		if len(vis.Readings) > 0 { // of a setting: no as found
			vis.Level = slices.Clone(vis.Readings[0].Level)
			vis.Level[asFound] = 0
		} else {
			vis.Level = u.levelUnread(u.visitOf(v))
		}
	}
	u.s.Runs = u.runs()
}

// visitOf is the visit of the history that a visit of the series is from; a move is
// one that nobody wrote down.
func (u *unitSeries) visitOf(v int) *judge.Visit {
	if u.of[v] == ofMove {
		return &judge.Visit{Day: int32(math.Round(u.s.Visits[v].T * 365.25))}
	}
	return &u.h.Visits[u.of[v]]
}

// level makes the level covariates of a reading: the temperature of the air
// burnt, less 10 degC, in the column of the unit's control; the steps there were.
// A temperature in doubt counts as not recorded.
func (u *unitSeries) level(reading int) []float64 {
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
// air as the climate lets expect, the age of the visit's analyzer.
func (u *unitSeries) levelUnread(v *judge.Visit) []float64 {
	run := u.runOn(v.Day)
	out, _ := u.levelOn(v.Day, run != nil && run.AirFrom == "room", math.NaN())
	_, _, calibrated := u.tools.ofVisit(v)
	u.sinceCalibration(out, v.Day, calibrated)
	return out
}

// sinceCalibration fills in what the age of an instrument is on a day.
func (u *unitSeries) sinceCalibration(level []float64, day, calibrated int32) {
	if calibrated == judge.NoDay {
		level[u.cols.level[colSinceNone]] = 1
		return
	}
	level[u.cols.level[colSince]] = years(day) - years(calibrated)
}

// foundSo says whether a reading was taken as founds are: as found, or as left
// where nobody set anything and the values found were written once more.
func (u *unitSeries) foundSo(x *judge.Reading) bool {
	return x.Condition == judge.AsFound || x.Condition == judge.AsLeft && u.adjusted(&u.h.Visits[x.Visit]) == drift.No
}

// levelOn makes the level covariates of a day and their variance; airC is NaN
// where it is to be expected from the climate.
func (u *unitSeries) levelOn(day int32, room bool, airC float64) (values, variance []float64) {
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
	k, ok := c.level[airColumn(c.control.class(u.h.Unit.Control))]
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
func (u *unitSeries) runs() []drift.Run {
	days := []int32{u.start()}
	for _, v := range u.h.VentRuns {
		days = append(days, v.UncertainFrom, v.From)
	}
	for _, f := range u.h.Fuels {
		days = append(days, f.From)
	}
	slices.Sort(days)
	days = slices.Compact(days)
	var out []drift.Run
	for _, day := range days {
		if day == judge.NoDay || day < u.start() || day > u.b.rules.AsOf {
			continue
		}
		out = append(out, u.run(day))
	}
	return out
}

// run makes the rates that hold from a day on.
func (u *unitSeries) run(day int32) drift.Run {
	c := u.cols
	r := drift.Run{From: years(day), Rate: make([]float64, len(c.design.Drift)), Grow: make([]float64, len(c.design.Drift))}
	k := u.stratumOn(u.runOn(day))
	r.Rate[c.drift[timeColumn(k)]], r.Rate[c.drift[u.b.vents.column(k)]] = 1, u.ventOn(day)
	age := c.drift[colAge]
	r.Rate[age], r.Grow[age] = math.NaN(), 0
	if u.h.Unit.Installed != judge.NoDay {
		r.Rate[age], r.Grow[age] = years(day)-years(u.h.Unit.Installed)-c.middle, 1
	}
	if at, ok := c.drift[fuelColumn(c.fuel.class(u.fuelOn(day)))]; ok {
		r.Rate[at] = 1
	}
	return r
}

// runOn is the vent run of a day, nil before the first.
func (u *unitSeries) runOn(day int32) (run *judge.VentRun) {
	for i := range u.h.VentRuns {
		if v := &u.h.VentRuns[i]; v.From == judge.NoDay || v.From <= day {
			run = v
		}
	}
	return run
}

// ventOn is the vent measure of a day, NaN within a stretch in which the day
// of a change is not known.
func (u *unitSeries) ventOn(day int32) float64 {
	z := math.NaN()
	for i := range u.h.VentRuns {
		v := &u.h.VentRuns[i]
		if v.UncertainFrom != judge.NoDay && v.UncertainFrom <= day && day < v.From {
			return math.NaN()
		}
		if v.From == judge.NoDay || v.From <= day {
			z = u.b.vents.of(u.h, v)
		}
	}
	return z
}

// fuelOn is the fuel of a day.
func (u *unitSeries) fuelOn(day int32) string {
	fuel := u.h.Unit.Fuel
	for _, f := range u.h.Fuels {
		if f.From == judge.NoDay || f.From <= day {
			fuel = f.Fuel
		}
	}
	return fuel
}

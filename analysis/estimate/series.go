package estimate

import (
	"math"
	"slices"
	"strings"
	"time"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

func monthOf(day int32) time.Month { return time.Unix(int64(day)*86400, 0).UTC().Month() }

// vent is the vent covariate of a run on the model line of a target: straight
// length plus the elbows' lengths, over the longest run the line allows. NaN
// where length or limit is not known; an elbow count that is not known is taken
// as none only where the length is known to include it, so it is NaN as well.
func (b *builder) vent(v *judge.VentRun, longestM float64) float64 {
	if v == nil || !v.Known || v.Elbows90 < 0 || !(longestM > 0) {
		return math.NaN()
	}
	return (v.LengthM + b.rules.Elbow90M*float64(v.Elbows90) + b.rules.Elbow45M*float64(max(v.Elbows45, 0))) / longestM
}

// ventNow is the covariate of the run in force on the as-of day.
func (b *builder) ventNow(h *judge.History) float64 {
	if len(h.VentRuns) == 0 || len(h.Targets) == 0 {
		return math.NaN()
	}
	return b.vent(&h.VentRuns[len(h.VentRuns)-1], h.Targets[0].Target.LongestRunM)
}

// unitSeries is one unit's way into the series of a fire.
type unitSeries struct {
	b      *builder
	h      *judge.History
	uses   []judge.Use
	cols   *columns
	tools  *instruments
	holds  []string
	target judge.Target // in force on the as-of day
	fire   string       // the unit's own fire: high, single or low

	fuelInDoubt bool
}

// targetOf finds the fire a unit has of those a fit holds, with its target of
// the as-of day. ok is false where the unit has no such fire or no target.
func (b *builder) targetOf(h *judge.History, holds []string) (fire string, t judge.Target, ok bool) {
	for _, f := range h.Targets {
		if slices.Contains(holds, f.Fire) && f.Target.Declared() && hasFire(h, f.Fire, holds) {
			return f.Fire, f.Target, true
		}
	}
	return "", t, false
}

// hasFire says whether the readings speak for a fire: a model line may declare
// targets for high and single fire both, of which a unit has one.
func hasFire(h *judge.History, fire string, holds []string) bool {
	any := false
	for i := range h.Readings {
		f := h.Readings[i].Fire
		if f == fire {
			return true
		}
		any = any || slices.Contains(holds, f)
	}
	return !any
}

// series makes the series. Factory tests stay out: other analyzers, another vent
// and another place; what lies between them and the field is not drift.
func (u *unitSeries) series() drift.Series {
	s := drift.Series{Unit: u.h.Unit.Serial, Start: years(u.start())}
	targetNow := u.b.rules.Judge.TargetCO2(&u.target, u.h.Unit.Fuel)
	at := 0
	var last *judge.Reading // the newest reading of this fire so far
	for v := range u.h.Visits {
		visit := &u.h.Visits[v]
		from := at
		for at < len(u.h.Readings) && u.h.Readings[at].Visit == v {
			at++
		}
		if visit.Reason == judge.FactoryTest || visit.Day > u.b.rules.AsOf {
			continue
		}
		out, first, newest := u.visit(visit, from, at)
		if first == nil && !touches(visit, u.fire) {
			continue
		}
		if first != nil {
			out.TargetStep = u.b.rules.Judge.TargetCO2(&first.Target, first.Fuel) - targetNow
			if math.IsNaN(out.TargetStep) {
				out.TargetStep = 0
			}
			out.Before = u.changed(last, first)
			last = newest
		}
		out.Before |= partsChange(visit)
		s.Visits = append(s.Visits, out)
	}
	s.Runs = u.runs()
	return s
}

// start is the day the unit began to drift: installed, else first seen.
func (u *unitSeries) start() int32 {
	if u.h.Unit.Installed != judge.NoDay {
		return u.h.Unit.Installed
	}
	if u.h.Unit.FirstDay != judge.NoDay {
		return u.h.Unit.FirstDay
	}
	return u.b.rules.AsOf
}

// touches says whether a visit without a value of the fire may have changed it.
func touches(v *judge.Visit, fire string) bool {
	return v.Adjusted(fire) == judge.Yes || v.Parts != ""
}

// partsChange says what replaced parts change.
func partsChange(v *judge.Visit) drift.Change {
	if strings.Contains(v.Parts, "burner") || strings.Contains(v.Parts, "gas valve") || strings.Contains(v.Parts, "fan") {
		return drift.ChangeBurner
	}
	return 0
}

// visit makes one visit; first and newest are its first and last reading of the
// fire, nil without.
func (u *unitSeries) visit(v *judge.Visit, from, to int) (out drift.Visit, first, newest *judge.Reading) {
	out = drift.Visit{T: years(v.Day), Analyzer: -1, Period: -1, Work: v.Parts != "" || v.Reason == "after repair"}
	switch v.Adjusted(u.fire) {
	case judge.Yes:
		out.Adjusted = drift.Yes
	case judge.No:
		out.Adjusted = drift.No
	}
	for i := from; i < to; i++ {
		x := &u.h.Readings[i]
		if x.Fire != u.fire {
			continue
		}
		if first == nil {
			first = x
		}
		newest = x
		out.Readings = append(out.Readings, u.reading(x, u.uses[i]))
		out.Analyzer, out.Period = u.tools.of(u.h, x)
	}
	return out, first, newest
}

// reading makes one reading, as good as it was judged.
func (u *unitSeries) reading(x *judge.Reading, use judge.Use) drift.Reading {
	r := drift.Reading{Y: u.b.rules.Judge.Deviation(x), Level: u.level(x), W: 1}
	r.Analyzer, r.Period = u.tools.of(u.h, x)
	switch x.Condition {
	case judge.AsFound:
		r.Kind = drift.AsFound
	case judge.AsLeft:
		r.Kind = drift.AsLeft
	default:
		r.Kind = drift.Between
	}
	switch use {
	case judge.StateOnly:
		r.Use = drift.ForState
	case judge.LeftOut:
		r.Use = drift.ForNone
	}
	return r
}

// level makes the level covariates of a reading: the temperature of the air
// burnt, less 10 degC, in the column of the unit's control.
func (u *unitSeries) level(x *judge.Reading) []float64 {
	t := math.NaN()
	if intakeKnown(u.h, x) {
		t = x.AirTempC
	}
	out, _ := u.levelOn(x.Day, drawsRoom(u.h, x), t)
	return out
}

// levelOn makes the level covariates of a day and their variance; airC is NaN
// where it is to be expected from the climate.
func (u *unitSeries) levelOn(day int32, room bool, airC float64) (value, variance []float64) {
	value = make([]float64, len(u.cols.design.Level))
	variance = make([]float64, len(value))
	if len(value) == 0 {
		return value, variance
	}
	if u.cols.season {
		s, c := math.Sincos(phase(day))
		value[u.cols.level[colSeasonCos]], value[u.cols.level[colSeasonSin]] = c, s
		return value, variance
	}
	k := u.cols.level[airColumn(u.cols.control.class(u.h.Unit.Control))]
	curve := u.b.climate.Outdoor
	if room && u.b.climate.Room.known(u.b.climate.Given) || !curve.known(u.b.climate.Given) {
		curve = u.b.climate.Room
	}
	if math.IsNaN(airC) {
		airC, variance[k] = curve.At(day), curve.Var
	}
	value[k] = airC - 10
	return value, variance
}

// changed says what became different from one reading of a fire to the next.
func (u *unitSeries) changed(last, now *judge.Reading) (c drift.Change) {
	if last == nil {
		return 0
	}
	if last.Fuel != now.Fuel {
		c |= drift.ChangeFuel
	}
	if last.VentRun != now.VentRun || now.VentUncertain && !last.VentUncertain {
		c |= drift.ChangeVent
	}
	if !sameTarget(last.Target, now.Target) {
		c |= drift.ChangeTarget
	}
	return c
}

func sameTarget(a, b judge.Target) bool {
	same := func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }
	return same(a.CO2Percent, b.CO2Percent) && same(a.O2Percent, b.O2Percent)
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
	k := c.control.class(u.h.Unit.Control)
	r.Rate[c.drift[timeColumn(k)]], r.Rate[c.drift[ventColumn(k)]] = 1, u.ventOn(day)
	age := c.drift[colAge]
	r.Rate[age], r.Grow[age] = math.NaN(), 0
	if u.h.Unit.Installed != judge.NoDay {
		r.Rate[age], r.Grow[age] = years(day)-years(u.h.Unit.Installed), 1
	}
	if k := c.fuel.class(u.fuelOn(day)); k != c.fuel.reference {
		if at, ok := c.drift[fuelColumn(k)]; ok {
			r.Rate[at] = 1
		}
	}
	return r
}

// ventOn is the vent covariate of a day, NaN within a stretch in which the day
// of a change is not known.
func (u *unitSeries) ventOn(day int32) float64 {
	z := math.NaN()
	for i := range u.h.VentRuns {
		v := &u.h.VentRuns[i]
		if v.UncertainFrom != judge.NoDay && v.UncertainFrom <= day && day < v.From {
			return math.NaN()
		}
		if v.From == judge.NoDay || v.From <= day {
			z = u.b.vent(v, u.target.LongestRunM)
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

package estimate

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// record is what is known of a unit at a fire, and what it was read with.
type record struct {
	b       *builder
	h       *judge.History
	uses    []judge.Use
	doubted doubtedAir
	tools   *instruments
	target  judge.Target // in force on the as-of day
	fire    judge.Fire   // the unit's own fire: high, single or low
	set     []judge.Fire // the fires whose setting moves the response; nil: fire
}

// start is the day the unit began to drift: installed, else first seen.
func (u *record) start() day.Day {
	if u.h.Unit.Installed != day.None {
		return u.h.Unit.Installed
	}
	if u.h.Unit.FirstDay != day.None {
		return u.h.Unit.FirstDay
	}
	return u.b.rules.AsOf
}

// adjusted says what the record of a visit says of the fires that matter.
func (u *record) adjusted(v *judge.Visit) drift.Answer {
	fires := u.set
	if fires == nil {
		fires = []judge.Fire{u.fire}
	}
	out := drift.No
	for _, fire := range fires {
		switch v.Adjusted(fire) {
		case judge.Yes:
			return drift.Yes
		case judge.No:
		default:
			out = drift.Unknown
		}
	}
	return out
}

// settingUnknown says whether a visit, of the readings from..to-1, has no value
// of any gas and nothing of adjustment: somebody was there, and may have set the
// burner. Where the record says that nobody did, it is as if nobody had come.
func (u *record) settingUnknown(v *judge.Visit, from, to int) bool {
	for i := from; i < to; i++ {
		if hasGas(&u.h.Readings[i]) {
			return false
		}
	}
	return u.adjusted(v) == drift.Unknown
}

// foundSo says whether a reading was taken as found ones are: as found, or as left
// where nobody set anything and the values found were written once more.
func (u *record) foundSo(x *judge.Reading) bool {
	return x.Condition == judge.AsFound || x.Condition == judge.AsLeft && u.adjusted(&u.h.Visits[x.Visit]) == drift.No
}

// runOn is the vent run of a day, nil before the first.
func (u *record) runOn(d day.Day) (run *judge.VentRun) {
	for i := range u.h.VentRuns {
		if v := &u.h.VentRuns[i]; v.From == day.None || v.From <= d {
			run = v
		}
	}
	return run
}

// ventOn is the vent measure of a day, NaN within a stretch in which the day
// of a change is not known.
func (u *record) ventOn(d day.Day) float64 {
	z := math.NaN()
	for i := range u.h.VentRuns {
		v := &u.h.VentRuns[i]
		if v.UncertainFrom != day.None && v.UncertainFrom <= d && d < v.From {
			return math.NaN()
		}
		if v.From == day.None || v.From <= d {
			z = u.b.vents.measure(u.h, v)
		}
	}
	return z
}

// fuelOn is the fuel of a day.
func (u *record) fuelOn(d day.Day) string {
	fuel := u.h.Unit.Fuel
	for _, f := range u.h.Fuels {
		if f.From == day.None || f.From <= d {
			fuel = f.Fuel
		}
	}
	return fuel
}

// lastRead is the last visit in the field, up to the as-of day, that read a gas
// at the unit's fire, -1 without one.
func (u *record) lastRead() int {
	last := -1
	for i := range u.h.Readings {
		x := &u.h.Readings[i]
		if x.Fire == u.fire && hasGas(x) && x.Day <= u.b.rules.AsOf && u.h.Visits[x.Visit].Reason != judge.FactoryTest {
			last = x.Visit
		}
	}
	return last
}

// leftFactory is the last usable reading of the factory on the fuel the unit
// burns, -1 without one.
func (u *record) leftFactory() int {
	last := -1
	for i := range u.h.Readings {
		x := &u.h.Readings[i]
		if x.Fire == u.fire && u.uses[i] < judge.StateOnly && u.h.Visits[x.Visit].Reason == judge.FactoryTest && x.Fuel == u.h.Unit.Fuel {
			last = i
		}
	}
	return last
}

// airExpected is the combustion air to be expected on a day, degC, and how it
// varies from day to day, K^2.
func (u *record) airExpected(room bool, day day.Day) (airC, variance float64) {
	c := &u.b.climate
	curve := c.curve(room)
	if !curve.known(c.Given) {
		return noAirC, curve.Var
	}
	return curve.At(day), curve.Var
}

// airOf is the combustion-air temperature of a reading, as written or as to be
// expected.
func (u *record) airOf(reading int) float64 {
	x := &u.h.Readings[reading]
	switch {
	case u.h.Visits[x.Visit].Reason == judge.FactoryTest && math.IsNaN(x.AirTempC):
		return BenchAirC
	case u.h.Visits[x.Visit].Reason == judge.FactoryTest || intakeKnown(u.h, x) && !u.doubted[reading]:
		return x.AirTempC
	}
	airC, _ := u.airExpected(drawsRoom(u.h, x), x.Day)
	return airC
}

// shiftVisit is one side of a shift.
func (u *record) shiftVisit(reading int, kind drift.Kind, level []float64) drift.Visit {
	x := &u.h.Readings[reading]
	a, _ := u.tools.columns(u.h, x)
	r := drift.Reading{Y: u.b.sources.deviation(u.h, x), Kind: kind, Analyzer: a, Period: -1, Level: level}
	v := drift.Visit{T: years(x.Day), Readings: []drift.Reading{r}, Analyzer: a, Period: -1, Level: level, Adjusted: drift.No}
	if kind == drift.AsLeft {
		v.Adjusted = drift.Yes
	}
	return v
}

// atStartup says whether a first reading in the field is of the start-up. A later
// one follows a start-up that is not on record, at which the burner may have been set.
func (u *record) atStartup(x *judge.Reading) bool {
	return u.h.Visits[x.Visit].Reason == judge.StartUp || u.h.Unit.Installed != day.None && x.Day <= u.h.Unit.Installed+startUpDays
}

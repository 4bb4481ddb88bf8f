package worlds

import (
	"fmt"
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// world is what one of the worlds adds to the common one.
type world struct {
	id uint64
	// course makes how the settings of a unit move, by fire.
	course func(f *Fleet, u *unit) [2]course
	// gas is the share by which the gas of an area is richer than usual on a day
	// (Wobbe index); nil: never.
	gas func(f *Fleet, area int, day day.Day) float64

	losesPerYear float64 // points of CO2 an analyzer loses a year until it is calibrated
	certificates bool    // calibrations write down what they found
	habits       bool    // technicians set high, mind little, keep what they found to themselves

	callOuts    func(points float64) float64 // call-outs a year by true deviation; nil: none
	selective   float64                      // technicians who write as found only where it is bad
	ventMissing func(z float64) float64      // share of vents not on record by length
	lowSeason   bool
	plain       *plain // the base world
}

// course gives the points by which a setting has moved from the day it was made to
// a later one, on the scale of 10 degC and usual gas.
type course func(set, day day.Day) float64

// unit is one boiler as it truly is.
type unit struct {
	index, site, area int
	control           judge.Control
	line              string
	fuel              gas
	vent              float64 // length over the longest run the line allows
	installed         day.Day
	target            [2]float64
	act               float64 // points off target from which a visit is justified
	wrongLabel        bool    // the register has the other fuel
	courses           [2]course
	settings          [2][]setting
}

// setting is what was left on a day: points off target at 10 degC with usual gas.
type setting struct {
	day    day.Day
	points float64
}

// gas is what burns: the highest CO2 of its dry flue gas, and the dry flue gas
// over the air it needs (methane and propane, worked out from C and H).
type gas struct {
	name           string
	co2Max, dryAir float64
}

var (
	naturalGas = gas{"natural gas", 11.8, 0.895}
	propane    = gas{"propane", 13.7, 0.916}
)

// excess returns the air ratio that goes with a CO2, and the CO2 with an air ratio:
// lambda = 1 + (dry flue gas over air) x (CO2max/CO2 - 1), complete combustion in
// dry air.
func (g gas) excess(co2 float64) float64 { return 1 + g.dryAir*(g.co2Max/co2-1) }
func (g gas) co2(lambda float64) float64 { return g.co2Max / (1 + (lambda-1)/g.dryAir) }

// controls are the burner controls: share of the fleet, model line, longest run,
// and the power of the air's density in the air ratio. A fan of fixed speed and
// an orifice: its first power; control by ratio of pressures: its root (first
// principles: fixed volume, and equal pressure over air and gas).
var controls = []struct {
	name      judge.Control
	line      string
	share     float64
	longestM  float64
	density   float64
	high, low float64 // targets, natural gas
}{
	{judge.ControlRatio, "Ashcombe 60", 0.55, 30, 0.5, 9.0, 8.7},
	{judge.ControlFixedAir, "Birkfell 90", 0.27, 20, 1, 9.0, 8.5},
	{judge.ControlLinkage, "Cawdale 400", 0.18, 40, 1, 9.2, 8.0},
}

// propaneAbove is by how much more CO2 propane is set, points.
const propaneAbove = 1.2

// registered is the fuel the register has a unit burn.
func (u *unit) registered() gas {
	switch {
	case !u.wrongLabel:
		return u.fuel
	case u.fuel == naturalGas:
		return propane
	}
	return naturalGas
}

// kind returns the place of a unit's control in the table.
func (u *unit) kind() int {
	for i := range controls {
		if controls[i].name == u.control {
			return i
		}
	}
	return 0
}

// The common frame: areas of forty units, sites of four.
const (
	unitsPerArea = 40
	unitsPerSite = 4
)

// invent makes the fleet of a world.
func invent(o Options, w *world) *Fleet {
	if o.Units == 0 {
		o.Units = 600
	}
	if o.Years == 0 {
		o.Years = 12
	}
	if o.Seed == 0 {
		o.Seed = 1
	}
	if o.AsOf == 0 {
		o.AsOf = day.Of(2026, 3, 2)
	}
	f := &Fleet{opt: o, w: w}
	f.from = o.AsOf - day.Day(float64(o.Years)*daysPerYear)
	f.areas = (o.Units + unitsPerArea - 1) / unitsPerArea
	if w.plain != nil {
		f.areas = plainAreas
	}
	crews := f.crews()
	for i := range o.Units {
		u := f.unit(i)
		f.units = append(f.units, u)
		f.Histories = append(f.Histories, f.history(u))
		serve(f, u, &f.Histories[i], crews)
	}
	return f
}

// unit draws a unit.
func (f *Fleet) unit(i int) *unit {
	r := f.stream(ofUnit, uint64(i))
	u := &unit{index: i, site: i / unitsPerSite, area: i / unitsPerArea, fuel: naturalGas, act: ActionPoints}
	at, k := r.Float64(), 0
	for at >= controls[k].share && k < len(controls)-1 {
		at -= controls[k].share
		k++
	}
	c := &controls[k]
	u.control, u.line = c.name, c.line
	u.target = [2]float64{c.high, c.low}
	if r.Float64() < 0.15 {
		u.fuel = propane
		u.target = [2]float64{c.high + propaneAbove, c.low + propaneAbove}
	}
	u.vent = 0.05 + 0.95*math.Pow(r.Float64(), 1.3)
	if f.w.plain != nil {
		u.makePlain(r, f)
	}
	u.installed = f.opt.AsOf - day.Day((0.7+19*r.Float64())*daysPerYear)
	u.courses = f.w.course(f, u)
	return u
}

// begins is the first day a course is asked for.
func (f *Fleet) begins(u *unit) day.Day { return min(f.from, u.installed) - 500 }

// ends is the last day a course is asked for.
func (f *Fleet) ends() day.Day { return f.opt.AsOf + 800 }

// airC is the outdoor air of an area on a day: that of the season, and the weather.
func (f *Fleet) airC(area int, day day.Day) float64 {
	return ExpectedAirC(day) + WeatherSD*f.normal(ofWeather, uint64(area), uint64(day))
}

// ExpectedAirC is the air of a season, degC: a cosine about 10 degC, coldest on 20
// January.
func ExpectedAirC(day day.Day) float64 {
	return 10 - 5*math.Cos(2*math.Pi*float64(day.Time().YearDay()-20)/daysPerYear)
}

// pull is the factor on the air ratio of a day, against 10 degC and usual gas.
func (f *Fleet) pull(u *unit, day day.Day, airC float64) float64 {
	if f.w.plain != nil {
		return 1
	}
	factor := math.Pow((273.15+10)/(273.15+airC), controls[u.kind()].density)
	if f.w.gas != nil {
		factor /= 1 + f.w.gas(f, u.area, day)
	}
	return factor
}

// co2 is the true CO2 on the evening of a day.
func (f *Fleet) co2(u *unit, fire int, day day.Day, airC float64) float64 {
	s := u.settings[fire]
	k := len(s) - 1
	for k > 0 && s[k].day > day {
		k--
	}
	rest := u.target[fire] + s[k].points + u.courses[fire](s[k].day, day)
	return u.fuel.co2(u.fuel.excess(rest)*f.pull(u, day, airC)) + f.w.plain.air(airC)
}

// set leaves a fire at a true CO2 on a day.
func (f *Fleet) set(u *unit, fire int, day day.Day, airC, co2 float64) {
	rest := u.fuel.co2(u.fuel.excess(co2-f.w.plain.air(airC)) / f.pull(u, day, airC))
	u.settings[fire] = append(u.settings[fire], setting{day, rest - u.target[fire]})
}

// history is the register's line of a unit, without visits.
func (f *Fleet) history(u *unit) judge.History {
	nan, c := math.NaN(), &controls[u.kind()]
	h := judge.History{Unit: judge.Unit{
		Key: int32(u.index + 1), Serial: fmt.Sprintf("W%05d", u.index+1), Source: "central", Site: fmt.Sprintf("site %04d", u.site+1),
		Area: areaName(u.area), ModelLine: u.line, Control: u.control, Firing: "modulating", State: judge.InService,
		Fuel: u.registered().name, Plant: "",
		InputKW: 60, Installed: u.installed, StateFrom: day.None, RemovedDay: day.None, FirstDay: day.None, AltitudeM: nan,
		LatitudeDeg: nan, LongitudeDeg: nan, InRegister: true,
	}}
	run := judge.VentRun{
		From: day.None, Until: day.None, UncertainFrom: day.None, Known: true, DiameterM: nan,
		LengthM: math.Round(10*u.vent*c.longestM) / 10,
		RiseM:   nan, AirFrom: "own run", IntakeDiameterM: nan, IntakeLengthM: nan, IntakeElbows90: -1, IntakeElbows45: -1,
	}
	if f.w.ventMissing != nil && f.stream(ofUnit, uint64(u.index), 1).Float64() < f.w.ventMissing(u.vent) {
		run.LengthM = nan
	}
	h.VentRuns = []judge.VentRun{run}
	h.Fuels = []judge.FuelPeriod{{From: day.None, Until: day.None, UncertainFrom: day.None, Fuel: u.registered().name}}
	for k, fire := range Fires() {
		h.Targets = append(h.Targets, judge.FireTarget{Fire: fire, Target: u.targetAt(k)})
	}
	return h
}

// targetAt is what the instructions ask for.
func (u *unit) targetAt(fire int) judge.Target {
	nan := math.NaN()
	target := u.target[fire]
	switch {
	case u.registered() == u.fuel:
	case u.fuel == naturalGas:
		target += propaneAbove
	default:
		target -= propaneAbove
	}
	return judge.Target{
		CO2Percent: target, O2Percent: nan, SetRich: SettingPoints, SetLean: SettingPoints, ActRich: u.act, ActLean: u.act,
		LongestRunM: controls[u.kind()].longestM, FanPa: nan, Origin: "lines.csv:" + u.line,
	}
}

func areaName(area int) string { return fmt.Sprintf("area %02d", area+1) }

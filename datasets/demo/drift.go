package demo

import "math"

// epoch is the time from one setting of a burner to the next: the level it was
// set to, in CO2 points, on top of the unit's path.
type epoch struct {
	day   int32
	level float64
}

// Jump is a failing part: the setting of every fire moves by the given points
// on one day and stays there until the burner is set again.
type Jump struct {
	Unit      int
	Serial    string
	Day       int32
	CO2Points float64
	Repaired  int32 // day of the next adjustment, NoDay while it stands open
}

// OpenAtLastVisit reports whether a jump happened before the unit's last
// recorded visit and nobody set the burner since: the case a reader of the
// records could see.
func (f *Fleet) OpenAtLastVisit(j Jump) bool {
	if j.Repaired != noDay {
		return false
	}
	return f.units[j.Unit].lastRecorded >= j.Day
}

// path is a unit's drift at one fire, before levels: what the model calls
// A'beta + v t + W, and the jumps and vent levels on top.
type path struct {
	f      *Fleet
	u      *unit
	fire   int
	effect Effects
	wander []float64 // Brownian part at weekly steps from the first day of records
}

// ahead is how long after the as-of day the Brownian part goes on, days.
const ahead = 1150

// steps of the Brownian part, days.
const wanderStep = 7

// pathOf returns the path of a unit at a fire.
func (f *Fleet) pathOf(u *unit, fire int) *path {
	p := &path{f: f, u: u, fire: fire, effect: f.effect(u, fire)}
	n := int(f.opt.AsOf-f.from)/wanderStep + 2 + ahead/wanderStep
	p.wander = make([]float64, n)
	r := f.stream(kindWander, uint64(u.index), uint64(fire))
	sd := f.world.WanderSD * math.Sqrt(wanderStep/daysPerYear)
	for i := 1; i < n; i++ {
		p.wander[i] = p.wander[i-1] + sd*r.NormFloat64()
	}
	return p
}

// effect returns the planted effects of a unit's control at a fire.
func (f *Fleet) effect(u *unit, fire int) Effects {
	e := f.world.Effects[u.line.control]
	if fire == second {
		return e.Low
	}
	return e.High
}

// at returns the path on a day, CO2 points. Before the install day nothing
// drifts, and the vent is the factory's.
func (p *path) at(day int32) float64 {
	u, e := p.u, p.effect
	if day < u.installed {
		return e.VentLevel * p.f.factoryZ(u)
	}
	age := years(u.installed, day)
	y := (e.RatePerYear+u.slope[p.fire])*p.f.lasting(age) + e.AgeRatePerYear*age*age/2
	y += e.VentRatePerYear * p.exposure(day)
	y += e.VentLevel * u.runOn(day).z
	y += p.wandered(max(day, p.f.from))
	for _, j := range u.jumps {
		if j.Day <= day {
			y += j.CO2Points
		}
	}
	for _, s := range p.f.world.LevelSteps {
		if s.Day <= day && (s.Area == "*" || s.Area == areaName(u.siteOn(day).area)) {
			y += s.CO2Points
		}
	}
	return y
}

// exposure is the integral of the vent covariate over the years in service.
func (p *path) exposure(day int32) float64 {
	sum, from, z := 0.0, p.u.installed, p.u.runs[0].z
	for _, v := range p.u.runs[1:] {
		if v.from >= day {
			break
		}
		sum += z * (p.age(v.from) - p.age(from))
		from, z = v.from, v.z
	}
	return sum + z*(p.age(day)-p.age(from))
}

// age is the years in service that count for the drift.
func (p *path) age(day int32) float64 { return p.f.lasting(years(p.u.installed, day)) }

// lasting turns years in service into years of full drift.
func (f *Fleet) lasting(age float64) float64 {
	if s := f.world.Saturates; s > 0 {
		return s * (1 - math.Exp(-age/s))
	}
	return age
}

// wandered returns the Brownian part, straight between its weekly steps.
func (p *path) wandered(day int32) float64 {
	k, rest := int(day-p.f.from)/wanderStep, float64(int(day-p.f.from)%wanderStep)/wanderStep
	if k+1 >= len(p.wander) {
		return p.wander[len(p.wander)-1]
	}
	return p.wander[k] + rest*(p.wander[k+1]-p.wander[k])
}

// above returns what an epoch adds to its level on a day with a given
// combustion-air temperature: path, settling and temperature.
func (p *path) above(e epoch, day int32, airC float64) float64 {
	settled := math.Min(math.Max(years(max(e.day, p.u.installed), day), 0), 1)
	return p.at(day) + p.effect.Settling*settled + p.effect.PerKelvin*(airC-10)
}

// co2 returns the true CO2 on a day, % by volume dry, between 1 and the most
// that the fuel allows.
func (p *path) co2(day int32, airC float64) float64 {
	epochs := p.u.epochs[p.fire]
	e := epochs[0]
	for _, x := range epochs[1:] {
		if x.day <= day {
			e = x
		}
	}
	return clampCO2(e.level+p.above(e, day, airC), fuelNamed(p.u.fuelOn(day)).CO2MaxPercent)
}

// clampCO2 keeps CO2 where a burner burns.
func clampCO2(co2, most float64) float64 { return math.Min(math.Max(co2, 1), 0.985*most) }

// set starts a new epoch so that the true CO2 is the given one on the day.
func (p *path) set(day int32, airC, co2 float64) {
	e := epoch{day: day}
	e.level = co2 - p.above(e, day, airC)
	p.u.epochs[p.fire] = append(p.u.epochs[p.fire], e)
}

// ExpectedAirC returns the combustion-air temperature to be expected at a unit
// on a day: the climate's, through the unit's air supply.
func (f *Fleet) ExpectedAirC(unit int, day int32) float64 {
	u := f.units[unit]
	return intakeC(u.runOn(day).airFrom, f.world.expectedOutdoorC(u.siteOn(day).climateOffsetC, day))
}

// TrueCO2 returns the true CO2 of a unit at a fire ("high", "low", "single") on
// a day, % by volume dry, at that day's expected combustion-air temperature.
// After the as-of day nobody visits and nothing fails; drift goes on. NaN for a
// fire the unit has not.
func (f *Fleet) TrueCO2(unit int, fire string, day int32) float64 {
	return f.TrueCO2Days(unit, fire, []int32{day})[0]
}

// TrueCO2Days is TrueCO2 for several days of one unit, at the cost of one.
func (f *Fleet) TrueCO2Days(unit int, fire string, days []int32) []float64 {
	out := make([]float64, len(days))
	u := f.units[unit]
	k := u.fireIndex(fire)
	if k < 0 {
		for i := range out {
			out[i] = math.NaN()
		}
		return out
	}
	p := f.pathOf(u, k)
	for i, day := range days {
		out[i] = p.co2(day, f.ExpectedAirC(unit, day))
	}
	return out
}

// TrueCO2At is TrueCO2 with the combustion air at a given temperature, degC.
func (f *Fleet) TrueCO2At(unit int, fire string, day int32, airC float64) float64 {
	k := f.units[unit].fireIndex(fire)
	if k < 0 {
		return math.NaN()
	}
	return f.pathOf(f.units[unit], k).co2(day, airC)
}

// AirC returns the combustion-air temperature at a unit on a day, with that
// day's weather: what a probe at the intake would show.
func (f *Fleet) AirC(unit int, day int32) float64 {
	u := f.units[unit]
	return intakeC(u.runOn(day).airFrom, f.outdoorC(u.siteOn(day), day))
}

// outdoorC is the outdoor temperature at a site on a day: season and the
// weather of its area.
func (f *Fleet) outdoorC(s *site, day int32) float64 {
	return f.world.expectedOutdoorC(s.climateOffsetC, day) + f.world.WeatherSD*f.normal(kindWeather, uint64(s.area), uint64(day))
}

// TrueTarget returns the CO2 target of the fuel a unit truly burns, % by volume
// dry; NaN for a fire the unit has not.
func (f *Fleet) TrueTarget(unit int, fire string, day int32) float64 {
	u := f.units[unit]
	k := u.fireIndex(fire)
	if k < 0 {
		return math.NaN()
	}
	return u.line.targetCO2(u.fuelOn(day), k, day)
}

// ActionBand returns the action band of a unit at a fire in CO2 points about
// its target, rich and lean side: the declared one, else twice the setting band.
func (f *Fleet) ActionBand(unit int, fire string) (rich, lean float64) {
	u := f.units[unit]
	k := u.fireIndex(fire)
	if k < 0 {
		return math.NaN(), math.NaN()
	}
	b := u.line.action(u.fuelOn(f.opt.AsOf), k)
	return b.rich, b.lean
}

// Fires returns the names of a unit's fires.
func (f *Fleet) Fires(unit int) []string {
	l := f.units[unit].line
	names := []string{l.fireName(first)}
	if l.fires() == 2 {
		names = append(names, l.fireName(second))
	}
	return names
}

// fireIndex returns the index of a fire, -1 for one the unit has not.
func (u *unit) fireIndex(name string) int {
	for k := range u.line.fires() {
		if u.line.fireName(k) == name {
			return k
		}
	}
	return -1
}

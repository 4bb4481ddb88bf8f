package demo

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Truth is what truly was: the estate, the people, and what happened to every
// burner, of which the records show only a part.
type Truth struct {
	*estate
	*people
	Jumps    []Jump         // failing parts, by unit and day
	Settings []WrongSetting // visits with the analyzer set to the other fuel
}

// newTruth invents an estate and lives through the years of its units.
func newTruth(g *ground) *Truth {
	t := &Truth{estate: &estate{ground: g, lines: modelLines(), untilSite: math.MaxInt}, people: newPeople(g)}
	t.invent()
	return t
}

// invent makes the sites of the estate and lives through the years of its units.
func (t *Truth) invent() {
	t.makeSites()
	for _, u := range t.Units {
		t.simulate(u)
	}
}

// Epoch is the time from one setting of a burner to the next: the level it was
// set to, in CO2 points, on top of the unit's path.
type Epoch struct {
	day   day.Day
	level float64
}

// Jump is a failing part: the setting of every fire moves by the given points
// on one day and stays there until the burner is set again.
type Jump struct {
	Unit      int
	Serial    string
	Day       day.Day
	CO2Points float64
	Repaired  day.Day // day of the next adjustment, day.None while it stands open
}

// Path is a unit's drift at one fire, before levels: what the model calls
// A'beta + v t + W, and the jumps and vent levels on top.
type Path struct {
	t      *Truth
	u      *Unit
	fire   int
	Effect Effects
	wander []float64 // Brownian part at weekly steps from the first day of records
}

// ahead is how long after the as-of day the Brownian part goes on, days.
const ahead = 1150

// steps of the Brownian part, days.
const wanderStep = 7

// PathOf returns the path of a unit at a fire.
func (t *Truth) PathOf(u *Unit, fire int) *Path {
	p := &Path{t: t, u: u, fire: fire, Effect: t.effect(u, fire)}
	n := int(t.Options.AsOf-t.from)/wanderStep + 2 + ahead/wanderStep
	p.wander = make([]float64, n)
	r := t.stream(kindWander, uint64(u.index), uint64(fire))
	sd := t.world.WanderSD * math.Sqrt(wanderStep/daysPerYear)
	for i := 1; i < n; i++ {
		p.wander[i] = p.wander[i-1] + sd*r.NormFloat64()
	}
	return p
}

// effect returns the planted effects of a unit's control at a fire.
func (t *Truth) effect(u *Unit, fire int) Effects {
	e := t.world.Effects[u.Line.Control]
	if fire == second {
		return e.Low
	}
	return e.High
}

// at returns the path on a day, CO2 points. Before the install day nothing
// drifts, and the vent is the factory's.
func (p *Path) at(day day.Day) float64 {
	u, e := p.u, p.Effect
	if day < u.Installed {
		return e.VentLevel * p.t.FactoryZ(u)
	}
	age := years(u.Installed, day)
	y := (e.RatePerYear+u.Slope[p.fire])*p.t.lasting(age) + e.AgeRatePerYear*age*age/2
	y += e.VentRatePerYear * p.exposure(day)
	y += e.VentLevel * u.runOn(day).Z
	y += p.wandered(max(day, p.t.from))
	for _, j := range u.jumps {
		if j.Day <= day {
			y += j.CO2Points
		}
	}
	for _, s := range p.t.world.LevelSteps {
		if s.Day <= day && (s.Area == "*" || s.Area == AreaName(u.SiteOn(day).Area)) {
			y += s.CO2Points
		}
	}
	return y
}

// exposure is the integral of the vent covariate over the years in service.
func (p *Path) exposure(day day.Day) float64 {
	sum, from, z := 0.0, p.u.Installed, p.u.Runs[0].Z
	for _, v := range p.u.Runs[1:] {
		if v.From >= day {
			break
		}
		sum += z * (p.age(v.From) - p.age(from))
		from, z = v.From, v.Z
	}
	return sum + z*(p.age(day)-p.age(from))
}

// age is the years in service that count for the drift.
func (p *Path) age(day day.Day) float64 { return p.t.lasting(years(p.u.Installed, day)) }

// lasting turns years in service into years of full drift.
func (t *Truth) lasting(age float64) float64 {
	if s := t.world.Saturates; s > 0 {
		return s * (1 - math.Exp(-age/s))
	}
	return age
}

// wandered returns the Brownian part, straight between its weekly steps.
func (p *Path) wandered(day day.Day) float64 {
	k, rest := int(day-p.t.from)/wanderStep, float64(int(day-p.t.from)%wanderStep)/wanderStep
	if k+1 >= len(p.wander) {
		return p.wander[len(p.wander)-1]
	}
	return p.wander[k] + rest*(p.wander[k+1]-p.wander[k])
}

// Above returns what an epoch adds to its level on a day with a given
// combustion-air temperature: path, settling and temperature.
func (p *Path) Above(e Epoch, day day.Day, airC float64) float64 {
	settled := math.Min(math.Max(years(max(e.day, p.u.Installed), day), 0), 1)
	return p.at(day) + p.Effect.Settling*settled + p.Effect.PerKelvin*(airC-10)
}

// CO2 returns the true CO2 on a day, % by volume dry, between 1 and the most
// that the fuel allows.
func (p *Path) CO2(day day.Day, airC float64) float64 {
	epochs := p.u.Epochs[p.fire]
	e := epochs[0]
	for _, x := range epochs[1:] {
		if x.day <= day {
			e = x
		}
	}
	return clampCO2(e.level+p.Above(e, day, airC), fuelNamed(p.u.FuelOn(day)).CO2MaxPercent)
}

// clampCO2 keeps CO2 where a burner burns.
func clampCO2(co2, most float64) float64 { return math.Min(math.Max(co2, 1), 0.985*most) }

// set starts a new epoch so that the true CO2 is the given one on the day.
func (p *Path) set(day day.Day, airC, co2 float64) {
	e := Epoch{day: day}
	e.level = co2 - p.Above(e, day, airC)
	p.u.Epochs[p.fire] = append(p.u.Epochs[p.fire], e)
}

// ExpectedAirC returns the combustion-air temperature to be expected at a unit
// on a day: the climate's, through the unit's air supply.
func (t *Truth) ExpectedAirC(unit int, day day.Day) float64 {
	u := t.unit(unit)
	return intakeC(u.runOn(day).AirFrom, t.world.expectedOutdoorC(u.SiteOn(day).climateOffsetC, day))
}

// TrueCO2Days is TrueCO2 for several days of one unit, at the cost of one.
func (t *Truth) TrueCO2Days(unit int, fire judge.Fire, days []day.Day) []float64 {
	out := make([]float64, len(days))
	u := t.unit(unit)
	k := u.FireIndex(fire)
	if k < 0 {
		for i := range out {
			out[i] = math.NaN()
		}
		return out
	}
	p := t.PathOf(u, k)
	for i, day := range days {
		out[i] = p.CO2(day, t.ExpectedAirC(unit, day))
	}
	return out
}

// AirC returns the combustion-air temperature at a unit on a day, with that
// day's weather: what a probe at the intake would show.
func (t *Truth) AirC(unit int, day day.Day) float64 {
	u := t.unit(unit)
	return intakeC(u.runOn(day).AirFrom, t.outdoorC(u.SiteOn(day), day))
}

// outdoorC is the outdoor temperature at a site on a day: season and the
// weather of its area.
func (t *Truth) outdoorC(s *Site, day day.Day) float64 {
	return t.world.expectedOutdoorC(s.climateOffsetC, day) + t.world.WeatherSD*t.normal(kindWeather, uint64(s.Area), uint64(day))
}

// TrueTarget returns the CO2 target of the fuel a unit truly burns, % by volume
// dry; NaN for a fire the unit has not.
func (t *Truth) TrueTarget(unit int, fire judge.Fire, day day.Day) float64 {
	u := t.unit(unit)
	k := u.FireIndex(fire)
	if k < 0 {
		return math.NaN()
	}
	return u.Line.targetCO2(u.FuelOn(day), k, day)
}

// Fires returns the names of a unit's fires.
func (t *Truth) Fires(unit int) []judge.Fire {
	l := t.unit(unit).Line
	names := []judge.Fire{l.FireName(first)}
	if l.Fires() == 2 {
		names = append(names, l.FireName(second))
	}
	return names
}

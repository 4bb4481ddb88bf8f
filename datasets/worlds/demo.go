package worlds

import (
	"math"

	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// DemoFleet is the demo's fleet as only a test may see it: what a perfect reader
// of its exports would hold, and what truly was.
type DemoFleet struct{ *demo.Fleet }

// Demo invents the demo's fleet.
func Demo(o demo.Options) *DemoFleet { return &DemoFleet{demo.New(o)} }

// AsOf returns the day the fleet is looked at.
func (f *DemoFleet) AsOf() day.Day { return f.Options.AsOf }

// Len returns the number of units.
func (f *DemoFleet) Len() int { return len(f.Units) }

// Serial returns the serial of a unit (0 to Len-1, in the order of invention).
func (f *DemoFleet) Serial(unit int) string { return f.Units[unit].Serial }

// UnitBySerial returns the unit with a serial as registered, and false where
// there is none.
func (f *DemoFleet) UnitBySerial(serial string) (int, bool) {
	for i, u := range f.Units {
		if u.Serial == serial {
			return i, true
		}
	}
	return 0, false
}

// OpenAtLastVisit reports whether a jump happened before the unit's last
// recorded visit and nobody set the burner since: the case a reader of the
// records could see.
func (f *DemoFleet) OpenAtLastVisit(j demo.Jump) bool {
	if j.Repaired != day.None {
		return false
	}
	return f.Units[j.Unit].LastRecorded >= j.Day
}

// TrueCO2 returns the true CO2 of a unit at a fire ("high", "low", "single") on
// a day, % by volume dry, at that day's expected combustion-air temperature.
// After the as-of day nobody visits and nothing fails; drift goes on. NaN for a
// fire the unit has not.
func (f *DemoFleet) TrueCO2(unit int, fire judge.Fire, d day.Day) float64 {
	return f.TrueCO2Days(unit, fire, []day.Day{d})[0]
}

// TrueCO2At is TrueCO2 with the combustion air at a given temperature, degC.
func (f *DemoFleet) TrueCO2At(unit int, fire judge.Fire, day day.Day, airC float64) float64 {
	k := f.Units[unit].FireIndex(fire)
	if k < 0 {
		return math.NaN()
	}
	return f.PathOf(f.Units[unit], k).CO2(day, airC)
}

// ActionBand returns the action band of a unit at a fire in CO2 points about
// its target, rich and lean side: the declared one, else twice the setting band.
func (f *DemoFleet) ActionBand(unit int, fire judge.Fire) (rich, lean float64) {
	u := f.Units[unit]
	k := u.FireIndex(fire)
	if k < 0 {
		return math.NaN(), math.NaN()
	}
	b := actionBand(u.Line, u.FuelOn(f.Options.AsOf), k)
	return b.Rich, b.Lean
}

// actionBand returns the action band in CO2 points: the declared one, else twice
// the setting band.
func actionBand(l *demo.ModelLine, fuel string, fire int) demo.Band {
	b := l.Act[fire]
	if math.IsNaN(b.Rich) {
		b = demo.Band{Rich: 2 * l.Set[fire].Rich, Lean: 2 * l.Set[fire].Lean}
	}
	return l.BandCO2(fuel, b)
}

// TrueSlope returns a unit's own drift at a fire, points a year; NaN for a fire
// it has not.
func (f *DemoFleet) TrueSlope(unit int, fire judge.Fire) float64 {
	k := f.Units[unit].FireIndex(fire)
	if k < 0 {
		return math.NaN()
	}
	return f.Units[unit].Slope[k]
}

// StartupShift returns by how much the true CO2 of a unit differs on its install day,
// before anybody sets it there, from what the factory's bench left, points: the whole
// shift at a temperature of the combustion air, degC, and the part of it that vent
// and air make, without what happened to this unit alone. NaN where the factory has no
// test of it.
func (f *DemoFleet) StartupShift(unit int, fire judge.Fire, airC float64) (whole, expected float64) {
	u := f.Units[unit]
	k := u.FireIndex(fire)
	if k < 0 || u.FactoryDay == day.None {
		return math.NaN(), math.NaN()
	}
	p, bench := f.PathOf(u, k), u.Epochs[k][0]
	whole = p.Above(bench, u.Installed, airC) - p.Above(bench, u.FactoryDay, demo.FactoryAirC)
	expected = p.Effect.VentLevel*(u.Runs[0].Z-f.FactoryZ(u)) + p.Effect.PerKelvin*(airC-demo.FactoryAirC)
	return whole, expected
}

// TrueFuel returns the fuel a unit truly burns on a day.
func (f *DemoFleet) TrueFuel(unit int, day day.Day) string { return f.Units[unit].FuelOn(day) }

// WrongLabel reports whether the register gives a unit the other fuel.
func (f *DemoFleet) WrongLabel(unit int) bool { return f.Units[unit].WrongLabel }

// AnalyzerBias returns what an analyzer of the fleet adds to the CO2 of natural
// gas on a day, points; NaN for an id nobody carries.
func (f *DemoFleet) AnalyzerBias(id string, day day.Day) float64 {
	a, ok := f.Analyzers[id]
	if !ok {
		return math.NaN()
	}
	return a.BiasOn(day)
}

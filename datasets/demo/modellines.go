package demo

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Indices of a unit's fires. A unit with one fire uses the first.
const (
	first  = 0 // high, or the only fire
	second = 1 // low
)

// Band is how far a reading may be from its target, in points of the declared
// gas. A side that is not declared is NaN.
type Band struct{ Rich, Lean float64 }

// ModelLine is what the instructions of one invented line of boilers say.
type ModelLine struct {
	Name        string
	Control     judge.Control
	Firing      string
	inputsMBH   []int
	weight      float64 // share in the fleet
	InO2        bool    // targets and bands declared in O2
	gas, lp     [2]float64
	Set, Act    [2]Band
	longestFt   float64
	fanPa       float64
	RevisedFrom day.Day // day from which the targets hold; earlier ones were higher by revisedBy
	revisedBy   float64
	NoPropane   bool
	fanDeclared bool // in the instructions
}

// noBand is the action band of a line that declares none.
var noBand = [2]Band{{math.NaN(), math.NaN()}, {math.NaN(), math.NaN()}}

// modelLines are the invented lines. Targets in CO2 unless inO2.
func modelLines() []ModelLine {
	even := func(high, low float64) [2]Band { return [2]Band{{high, high}, {low, low}} }
	return []ModelLine{
		{
			Name: "Brindlow 40", Control: judge.ControlFixedAir, Firing: "on-off", inputsMBH: []int{100, 125}, weight: 0.10,
			gas: [2]float64{9.0}, lp: [2]float64{10.2}, Set: even(0.2, 0), Act: even(0.4, 0), longestFt: 60, fanPa: 90, RevisedFrom: day.None,
		},
		{
			Name: "Brindlow 65", Control: judge.ControlRatio, Firing: "modulating", inputsMBH: []int{150, 199}, weight: 0.16,
			gas: [2]float64{9.0, 8.7}, lp: [2]float64{10.2, 9.9}, Set: even(0.2, 0.2), Act: even(0.3, 0.35), longestFt: 100, fanPa: 250,
			RevisedFrom: day.None,
		},
		{
			Name: "Corvayne 120", Control: judge.ControlRatio, Firing: "modulating", inputsMBH: []int{399, 499}, weight: 0.10,
			gas: [2]float64{9.6, 9.0}, lp: [2]float64{10.8, 10.2}, Set: even(0.2, 0.25), Act: noBand, longestFt: 120, fanPa: 300,
			RevisedFrom: day.None, fanDeclared: true,
		},
		{
			Name: "Dunvarre 300", Control: judge.ControlLinkage, Firing: "modulating", inputsMBH: []int{999, 1250}, weight: 0.08,
			gas: [2]float64{9.2, 7.2}, lp: [2]float64{10.4, 8.4}, Set: even(0.2, 0.25), Act: even(0.4, 0.45), longestFt: 150,
			fanPa: 400, RevisedFrom: day.None,
		},
		{
			Name: "Hespel 80", Control: judge.ControlRatio, Firing: "modulating", inputsMBH: []int{250, 285}, weight: 0.12, InO2: true,
			gas: [2]float64{4.9, 5.5}, lp: [2]float64{5.3, 5.9}, Set: even(0.4, 0.4), Act: even(0.6, 0.65), longestFt: 80, fanPa: 220,
			RevisedFrom: day.None,
		},
		{
			Name: "Ostrim 200", Control: judge.ControlFixedAir, Firing: "staged", inputsMBH: []int{650, 750}, weight: 0.10,
			gas: [2]float64{8.6, 6.8}, lp: [2]float64{9.8, 8.0}, Set: [2]Band{{0.2, 0.3}, {0.2, 0.3}},
			Act: [2]Band{{0.35, 0.45}, {0.4, 0.5}}, longestFt: 70, fanPa: 150, RevisedFrom: day.None, fanDeclared: true,
		},
		{
			Name: "Pelvane 90", Control: judge.ControlRatio, Firing: "modulating", inputsMBH: []int{285, 300}, weight: 0.11,
			gas: [2]float64{9.4, 8.2}, lp: [2]float64{10.6, 9.4}, Set: even(0.2, 0.2), Act: even(0.3, 0.3), longestFt: 100, fanPa: 280,
			RevisedFrom: day.None, fanDeclared: true,
		},
		{
			Name: "Pelvane 150", Control: judge.ControlRatio, Firing: "modulating", inputsMBH: []int{500, 600}, weight: 0.08,
			gas: [2]float64{8.8, 8.9}, lp: [2]float64{10.0, 10.1}, Set: even(0.15, 0.2), Act: even(0.3, 0.35), longestFt: 110, fanPa: 320,
			RevisedFrom: day.Of(2019, 6, 1), revisedBy: 0.2, fanDeclared: true,
		},
		{
			Name: "Quarrane 250", Control: judge.ControlFixedAir, Firing: "modulating", inputsMBH: []int{800, 920}, weight: 0.07,
			gas: [2]float64{8.9, 8.4}, lp: [2]float64{10.3, 9.8}, Set: even(0.2, 0.2), Act: even(0.35, 0.4), longestFt: 90, fanPa: 180,
			RevisedFrom: day.None, fanDeclared: true,
		},
		{
			Name: "Tarnwick 50", Control: judge.ControlFixedAir, Firing: "on-off", inputsMBH: []int{125, 140}, weight: 0.05,
			gas: [2]float64{8.4}, lp: [2]float64{9.9}, Set: even(0.2, 0), Act: noBand, longestFt: 50, fanPa: 80, RevisedFrom: day.None,
		},
		{
			Name: "Ulmerre 500", Control: judge.ControlOxygenTrim, Firing: "modulating", inputsMBH: []int{1500, 2000}, weight: 0.03,
			gas: [2]float64{9.5, 8.5}, Set: even(0.2, 0.3), Act: even(0.4, 0.5), longestFt: 200, fanPa: 500, RevisedFrom: day.None,
			NoPropane: true,
		},
	}
}

// Fires returns how many fires the line is set at.
func (l *ModelLine) Fires() int {
	if l.Firing == "on-off" {
		return 1
	}
	return 2
}

// FireName returns the record's word for a fire.
func (l *ModelLine) FireName(fire int) judge.Fire {
	switch {
	case l.Fires() == 1:
		return judge.Single
	case fire == first:
		return judge.High
	}
	return judge.Low
}

// Declared returns the target in force on a day, in the declared gas.
func (l *ModelLine) Declared(fuel string, fire int, d day.Day) float64 {
	t := l.gas[fire]
	if fuel == Propane.Name {
		t = l.lp[fire]
	}
	if l.RevisedFrom != day.None && d < l.RevisedFrom {
		t += l.revisedBy
	}
	return t
}

// targetCO2 returns the target in force on a day as CO2, % by volume dry.
func (l *ModelLine) targetCO2(fuel string, fire int, day day.Day) float64 {
	t := l.Declared(fuel, fire, day)
	if l.InO2 {
		return fuelNamed(fuel).CO2FromO2(t)
	}
	return t
}

// BandCO2 returns a band in CO2 points; rich is towards more CO2.
func (l *ModelLine) BandCO2(fuel string, b Band) Band {
	if l.InO2 {
		k := fuelNamed(fuel).CO2PerO2()
		return Band{b.Rich * k, b.Lean * k}
	}
	return b
}

// DeclaredFanPa is the fan's pressure as the instructions give it, Pa; NaN where
// they do not.
func (reg *registry) DeclaredFanPa(l *ModelLine) float64 {
	if reg.world.Fans == FansOfNone || reg.world.Fans == FansOfSome && !l.fanDeclared {
		return math.NaN()
	}
	return round(l.fanPa/PaPerInWC, 3) * PaPerInWC
}

// LongestM returns the longest run allowed, m.
func (l *ModelLine) LongestM() float64 { return l.longestFt * MetresPerFoot }

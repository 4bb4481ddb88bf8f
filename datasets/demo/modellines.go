package demo

import "math"

// Indices of a unit's fires. A unit with one fire uses the first.
const (
	first  = 0 // high, or the only fire
	second = 1 // low
)

// band is how far a reading may be from its target, in points of the declared
// gas. A side that is not declared is NaN.
type band struct{ rich, lean float64 }

// modelLine is what the instructions of one invented line of boilers say.
type modelLine struct {
	name            string
	control, firing string
	inputsMBH       []int
	weight          float64 // share in the fleet
	inO2            bool    // targets and bands declared in O2
	gas, lp         [2]float64
	set, act        [2]band
	longestFt       float64
	fanPa           float64
	revisedFrom     int32 // day from which the targets hold; earlier ones were higher by revisedBy
	revisedBy       float64
	noPropane       bool
	fanDeclared     bool // in the instructions
}

// noBand is the action band of a line that declares none.
var noBand = [2]band{{math.NaN(), math.NaN()}, {math.NaN(), math.NaN()}}

// modelLines are the invented lines. Targets in CO2 unless inO2.
func modelLines() []modelLine {
	even := func(high, low float64) [2]band { return [2]band{{high, high}, {low, low}} }
	return []modelLine{
		{name: "Brindlow 40", control: "fixed air", firing: "on-off", inputsMBH: []int{100, 125}, weight: 0.10,
			gas: [2]float64{9.0}, lp: [2]float64{10.2}, set: even(0.2, 0), act: even(0.4, 0), longestFt: 60, fanPa: 90, revisedFrom: noDay},
		{name: "Brindlow 65", control: "ratio", firing: "modulating", inputsMBH: []int{150, 199}, weight: 0.16,
			gas: [2]float64{9.0, 8.7}, lp: [2]float64{10.2, 9.9}, set: even(0.2, 0.2), act: even(0.3, 0.35), longestFt: 100, fanPa: 250, revisedFrom: noDay},
		{name: "Corvayne 120", control: "ratio", firing: "modulating", inputsMBH: []int{399, 499}, weight: 0.10,
			gas: [2]float64{9.6, 9.0}, lp: [2]float64{10.8, 10.2}, set: even(0.2, 0.25), act: noBand, longestFt: 120, fanPa: 300, revisedFrom: noDay, fanDeclared: true},
		{name: "Dunvarre 300", control: "linkage", firing: "modulating", inputsMBH: []int{999, 1250}, weight: 0.08,
			gas: [2]float64{9.2, 7.2}, lp: [2]float64{10.4, 8.4}, set: even(0.2, 0.25), act: even(0.4, 0.45), longestFt: 150, fanPa: 400, revisedFrom: noDay},
		{name: "Hespel 80", control: "ratio", firing: "modulating", inputsMBH: []int{250, 285}, weight: 0.12, inO2: true,
			gas: [2]float64{4.9, 5.5}, lp: [2]float64{5.3, 5.9}, set: even(0.4, 0.4), act: even(0.6, 0.65), longestFt: 80, fanPa: 220, revisedFrom: noDay},
		{name: "Ostrim 200", control: "fixed air", firing: "staged", inputsMBH: []int{650, 750}, weight: 0.10,
			gas: [2]float64{8.6, 6.8}, lp: [2]float64{9.8, 8.0}, set: [2]band{{0.2, 0.3}, {0.2, 0.3}}, act: [2]band{{0.35, 0.45}, {0.4, 0.5}}, longestFt: 70, fanPa: 150, revisedFrom: noDay, fanDeclared: true},
		{name: "Pelvane 90", control: "ratio", firing: "modulating", inputsMBH: []int{285, 300}, weight: 0.11,
			gas: [2]float64{9.4, 8.2}, lp: [2]float64{10.6, 9.4}, set: even(0.2, 0.2), act: even(0.3, 0.3), longestFt: 100, fanPa: 280, revisedFrom: noDay, fanDeclared: true},
		{name: "Pelvane 150", control: "ratio", firing: "modulating", inputsMBH: []int{500, 600}, weight: 0.08,
			gas: [2]float64{8.8, 8.9}, lp: [2]float64{10.0, 10.1}, set: even(0.15, 0.2), act: even(0.3, 0.35), longestFt: 110, fanPa: 320,
			revisedFrom: Day(2019, 6, 1), revisedBy: 0.2, fanDeclared: true},
		{name: "Quarrane 250", control: "fixed air", firing: "modulating", inputsMBH: []int{800, 920}, weight: 0.07,
			gas: [2]float64{8.9, 8.4}, lp: [2]float64{10.3, 9.8}, set: even(0.2, 0.2), act: even(0.35, 0.4), longestFt: 90, fanPa: 180, revisedFrom: noDay, fanDeclared: true},
		{name: "Tarnwick 50", control: "fixed air", firing: "on-off", inputsMBH: []int{125, 140}, weight: 0.05,
			gas: [2]float64{8.4}, lp: [2]float64{9.9}, set: even(0.2, 0), act: noBand, longestFt: 50, fanPa: 80, revisedFrom: noDay},
		{name: "Ulmerre 500", control: "oxygen trim", firing: "modulating", inputsMBH: []int{1500, 2000}, weight: 0.03,
			gas: [2]float64{9.5, 8.5}, set: even(0.2, 0.3), act: even(0.4, 0.5), longestFt: 200, fanPa: 500, revisedFrom: noDay, noPropane: true},
	}
}

// fires returns how many fires the line is set at.
func (l *modelLine) fires() int {
	if l.firing == "on-off" {
		return 1
	}
	return 2
}

// fireName returns the record's word for a fire.
func (l *modelLine) fireName(fire int) string {
	switch {
	case l.fires() == 1:
		return "single"
	case fire == first:
		return "high"
	}
	return "low"
}

// declared returns the target in force on a day, in the declared gas.
func (l *modelLine) declared(fuel string, fire int, day int32) float64 {
	t := l.gas[fire]
	if fuel == propane.Name {
		t = l.lp[fire]
	}
	if l.revisedFrom != noDay && day < l.revisedFrom {
		t += l.revisedBy
	}
	return t
}

// targetCO2 returns the target in force on a day as CO2, % by volume dry.
func (l *modelLine) targetCO2(fuel string, fire int, day int32) float64 {
	t := l.declared(fuel, fire, day)
	if l.inO2 {
		return fuelNamed(fuel).CO2FromO2(t)
	}
	return t
}

// bandCO2 returns a band in CO2 points; rich is towards more CO2.
func (l *modelLine) bandCO2(fuel string, b band) band {
	if l.inO2 {
		k := fuelNamed(fuel).CO2PerO2()
		return band{b.rich * k, b.lean * k}
	}
	return b
}

// action returns the action band in CO2 points: the declared one, else twice
// the setting band.
func (l *modelLine) action(fuel string, fire int) band {
	b := l.act[fire]
	if math.IsNaN(b.rich) {
		b = band{2 * l.set[fire].rich, 2 * l.set[fire].lean}
	}
	return l.bandCO2(fuel, b)
}

// declaredFanPa is the fan's pressure as the instructions give it, Pa; NaN where
// they do not.
func (f *Fleet) declaredFanPa(l *modelLine) float64 {
	if f.world.Fans == FansOfNone || f.world.Fans == FansOfSome && !l.fanDeclared {
		return math.NaN()
	}
	return round(l.fanPa/paPerInWC, 3) * paPerInWC
}

// longestM returns the longest run allowed, m.
func (l *modelLine) longestM() float64 { return l.longestFt * metresPerFoot }

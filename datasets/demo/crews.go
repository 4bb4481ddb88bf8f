package demo

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/model/day"
)

// offices that export readings, in the order of area numbers.
const (
	LongOffice = iota // readings in long form
	WideOffice        // a row a visit
	BookOffice        // a workbook, O2 only
)

// techniciansPerArea work together out of one area.
const techniciansPerArea = 3

type technicianKey struct{ area, number int }

// technician is one invented person, with habits.
type technician struct {
	id        string
	habit     float64 // points set above the target
	threshold float64 // points off at which the burner is set again
	copies    bool    // writes as left = as found where nothing was adjusted
	noAsFound bool    // never writes as found
	selective bool    // writes as found only where it is bad
	swap      float64 // years after which the analyzer is replaced
	phase     float64 // years of the first analyzer used up at the start of 2000
	key       technicianKey
}

// Analyzer is one instrument.
type Analyzer struct {
	id         string
	area       int     // of whoever carries it; -1: the factory
	bias       float64 // constant part, CO2 points
	parts      []float64
	noise      float64   // times the noise of all
	Calibrated []day.Day // days, ascending; the i-th starts period i+1
	used       bool
	exported   bool // in a region before
}

// BiasOn returns the bias on a day, CO2 points.
func (a *Analyzer) BiasOn(day day.Day) float64 {
	return a.bias + a.parts[a.Period(day)]
}

// Period returns the number of calibrations on or before a day.
func (a *Analyzer) Period(day day.Day) int {
	n := 0
	for n < len(a.Calibrated) && a.Calibrated[n] <= day {
		n++
	}
	return n
}

// people are the technicians and the instruments they carry.
type people struct {
	Analyzers map[string]*Analyzer // by id

	base        *ground
	technicians map[technicianKey]*technician
}

func newPeople(g *ground) *people {
	return &people{base: g, technicians: map[technicianKey]*technician{}, Analyzers: map[string]*Analyzer{}}
}

// technicianOf returns a technician of an area.
func (p *people) technicianOf(area, number int) *technician {
	key := technicianKey{area, number}
	if t, ok := p.technicians[key]; ok {
		return t
	}
	r := p.base.stream(kindTechnician, uint64(area), uint64(number))
	t := &technician{
		id:        fmt.Sprintf("%s%02d", []string{"N", "S", "W"}[area%3], area/3*techniciansPerArea+number+1),
		threshold: 0.1, swap: 5 + 3*r.Float64(), phase: 8 * r.Float64(), key: key,
	}
	t.copies = r.Float64() < 0.5
	high, lazy, silent, selective := r.Float64(), r.Float64(), r.Float64(), r.Float64()
	if p.base.world.Habits {
		t.habit = map[bool]float64{true: 0.1}[high < 0.25]
		t.threshold = map[bool]float64{true: 0.2, false: 0.1}[lazy < 0.3]
		t.noAsFound = silent < 0.06
	}
	t.selective = selective < p.base.world.SelectiveShare
	p.technicians[key] = t
	return t
}

// analyzerOf returns the analyzer a technician carries on a day.
func (p *people) analyzerOf(t *technician, d day.Day) *Analyzer {
	n := int((years(day.Of(2000, 1, 1), d) + t.phase) / t.swap)
	id := fmt.Sprintf("A%d%02d%d", 1+t.key.area, 10+t.key.number, n)
	a, ok := p.Analyzers[id]
	if !ok {
		a = p.makeAnalyzer(id, mix(uint64(t.key.area), uint64(t.key.number), uint64(n)),
			day.Of(2000, 1, 1)+day.Day(math.Round((float64(n)*t.swap-t.phase)*daysPerYear)))
		a.area = t.key.area
		p.Analyzers[id] = a
	}
	a.used = true
	return a
}

// makeAnalyzer invents an instrument bought on a day, calibrated about yearly.
func (p *people) makeAnalyzer(id string, key uint64, bought day.Day) *Analyzer {
	r := p.base.stream(kindAnalyzer, key)
	a := &Analyzer{
		id: id, bias: p.base.world.AnalyzerSD * r.NormFloat64(),
		noise: math.Exp(p.base.world.NoiseSpread * p.base.normal(kindAnalyzer, key, 3)),
	}
	a.parts = append(a.parts, p.base.world.CalibrationSD*r.NormFloat64())
	for d := bought; d < bought+9*365; d += day.Day(330 + int32(r.IntN(80))) {
		a.Calibrated = append(a.Calibrated, d)
		a.parts = append(a.parts, p.base.world.CalibrationSD*r.NormFloat64())
	}
	return a
}

// bench returns the analyzer of the factory's test bench in a year.
func (p *people) bench(on day.Day) *Analyzer {
	id := "BENCH-" + string(rune('1'+yearOf(on)%2))
	a, ok := p.Analyzers[id]
	if !ok {
		r := p.base.stream(kindBench, uint64(id[len(id)-1]))
		a = &Analyzer{id: id, area: -1, bias: 0.5 * p.base.world.AnalyzerSD * r.NormFloat64(), parts: []float64{0}, noise: 1}
		for d := day.Of(2000, 2, 1); d < day.Of(2060, 1, 1); d += 182 {
			a.Calibrated = append(a.Calibrated, d)
			a.parts = append(a.parts, 0.3*p.base.world.CalibrationSD*r.NormFloat64())
		}
		p.Analyzers[id] = a
	}
	a.used = true
	return a
}

// foundError returns what a calibration found the analyzer to be off by, in
// CO2 points, NaN where it was not written down.
func (p *people) foundError(a *Analyzer, n int) float64 {
	r := p.base.stream(kindAnalyzer, mix(uint64(len(a.id)), uint64(n), textKey(a.id)), 7)
	if r.Float64() < 0.1 {
		return math.NaN()
	}
	return round(a.bias+a.parts[n]+0.02*r.NormFloat64(), 2)
}

// analyzerIDs returns the analyzers in use, in order.
func (p *people) analyzerIDs() []string {
	var ids []string
	for id, a := range p.Analyzers {
		if a.used && !a.exported {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

// textKey turns a text into a key of a stream.
func textKey(s string) uint64 {
	h := uint64(len(s))
	for _, c := range s {
		h = mix(h, uint64(c))
	}
	return h
}

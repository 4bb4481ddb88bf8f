// Package demo invents a fleet of commercial gas boilers from a seed, with the
// truth that made it: sites, units, vent runs, a dozen years of visits by
// technicians with analyzers of their own bias, and the files three offices
// would have exported from that, damaged lines and all.
//
// Everything here is invented: places, names, serials, model lines, targets and
// the sizes of all effects. Only signs and ranges of the effects follow from
// first principles (see World). Nothing here may be used as a figure of the
// trade.
//
// The steps in order: World says what holds; units.go makes sites and units;
// drift.go says what a unit's CO2 truly is on a day; visits.go sends technicians;
// records.go turns what they saw into what an office wrote, and faults.go spoils
// some of it; office_*.go and register.go lay the records out as files; truth.go
// writes what was planted. What a perfect reader of the files would hold, for
// tests, is worlds.Demo.
//
// The same options give the same bytes. A bigger fleet begins with the smaller
// one: unit i is the same unit. The package has no clock and reads no file.
package demo

import (
	"math"

	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

const noDay = judge.NoDay

// Options say which fleet to invent. Zero fields take the defaults named.
type Options struct {
	Units int    // 600
	Years int    // of records before the as-of day; 12
	Seed  uint64 // 1
	AsOf  int32  // days from 1970-01-01; 2026-03-02
	World World  // Default()
}

// Fleet is an invented fleet with its records: what the exports are written
// from, and what truly was.
type Fleet struct {
	Options   Options              // with every default filled in
	Units     []*Unit              // in the order of invention
	Analyzers map[string]*Analyzer // by id
	Jumps     []Jump               // failing parts, by unit and day
	Settings  []WrongSetting       // visits with the analyzer set to the other fuel
	Entries   []*Entry             // every recorded visit, by unit and day

	world World
	from  int32 // first day of the records

	lines       []ModelLine
	sites       []*Site
	technicians map[technicianKey]*technician
	files       []*File // exports in the order of their names
	faults      []Fault
	damaged     [3]int // lines spoilt so far, by office
}

// The fuels of the fleet, by the conversion most analyzers use (common practice).
var (
	naturalGas = combustion.Fuel{Name: "natural gas", CO2MaxPercent: 11.8, Air: combustion.AirO2Field}
	Propane    = combustion.Fuel{Name: "propane", CO2MaxPercent: 13.7, Air: combustion.AirO2Field}
)

// New invents a fleet.
func New(o Options) *Fleet {
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
		o.AsOf = Day(2026, 3, 2)
	}
	if o.World.Effects == nil {
		o.World = Default()
	}
	f := &Fleet{Options: o, world: o.World, lines: modelLines(),
		technicians: map[technicianKey]*technician{}, Analyzers: map[string]*Analyzer{}}
	f.from = o.AsOf - int32(math.Round(float64(o.Years)*daysPerYear))
	f.makeSites()
	for _, u := range f.Units {
		f.simulate(u)
	}
	f.record()
	f.assemble()
	return f
}

// fuelNamed returns the fuel with a name.
func fuelNamed(name string) combustion.Fuel {
	if name == Propane.Name {
		return Propane
	}
	return naturalGas
}

// otherFuel returns the name of the fleet's other fuel.
func otherFuel(name string) string {
	if name == Propane.Name {
		return naturalGas.Name
	}
	return Propane.Name
}
